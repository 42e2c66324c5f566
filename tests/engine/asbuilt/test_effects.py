"""Effects of several findings put together, as judged in the table of defects."""

import pytest

from drainservice.engine.asbuilt import facts as f
from drainservice.engine.asbuilt.check import RULES, defects_of
from drainservice.engine.asbuilt.effects import combined_effects
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.finding import NO_EFFECTS, Effects
from drainservice.engine.asbuilt.finding import DefectKind as D
from drainservice.engine.asbuilt.known import told
from drainservice.engine.failure_mode import FailureMode as M
from drainservice.engine.reliability.rates import rates_with


def effects_of(**values):
    return combined_effects(defects_of(AsBuilt(**{n: told(v) for n, v in values.items()})))


# Computed: nominal rate a year of each poor build.
POOR = [
    ({"valve_attitude": f.ValveAttitude.ON_SIDE, "weep_hole_is_present": False}, 0.260),
    ({"pump_base": f.PumpBase.LOOSE_STONE}, 0.255),
    (
        {
            "valve_attitude": f.ValveAttitude.ON_SIDE,
            "weep_hole_is_present": False,
            "pump_base": f.PumpBase.LOOSE_STONE,
            "tree_is_near": True,
        },
        0.350,
    ),
    # Valve 0.01 x 1.5, discharge 0.03 x 1.3: 0.195 + 0.005 + 0.009.
    ({"valve_place": f.ValvePlace.BURIED, "joint": f.Joint.TEE}, 0.209),
]


@pytest.mark.parametrize(("values", "rate"), POOR)
def test_poor_builds_raise_the_rate_as_computed(values, rate):
    assert sum(rates_with(effects_of(**values).rate_factors).values()) == pytest.approx(rate)


def test_drain_slopes_add_up():
    # Fabric 0.10, graded stone 0.05, trees 0.03, no leaf trap 0.03 a year.
    got = effects_of(
        fabric=f.Fabric.LANDSCAPING,
        stone=f.Stone.GRADED,
        tree_is_near=True,
        leaf_trap_is_present=False,
    )

    assert got.drain_slope_per_a == pytest.approx(0.21)
    assert got.soak_factor == pytest.approx(0.7)


def test_several_mistakes_on_one_part_stop_at_four():
    # Pump: loose stone 1.7, no valve 1.5, runs without rain 1.5 = 3.8; with its float 1.3 x 1.5 x
    # 1.5 x 1.3 (insert) = 3.8; starts 2 x 3 = 6, capped at 4.
    got = effects_of(
        pump_base=f.PumpBase.LOOSE_STONE,
        valve_is_present=False,
        runs_without_rain=True,
        insert_is_supported=False,
    )

    assert dict(got.rate_factors)[M.PUMP] == pytest.approx(3.825)
    assert dict(got.rate_factors)[M.FLOAT] == pytest.approx(3.8025)
    assert got.starts_factor == 4


def test_missing_weep_hole_alone_keeps_its_factor_of_ten():
    assert dict(effects_of(weep_hole_is_present=False).rate_factors) == {M.AIR_LOCK: 10}


def test_without_a_lid_a_test_shows_nothing_in_the_pit():
    got = dict(effects_of(cover=f.Cover.NO_LID).proof_coverage)

    assert got == {M.FLOAT: 0, M.PUMP: 0, M.VALVE: 0, M.AIR_LOCK: 0}


def test_no_findings_change_nothing():
    got = combined_effects([])

    assert got.rate_factors == ()
    assert (got.drain_slope_per_a, got.sediment_factor, got.soak_factor) == (0, 1, 1)


# The table of defects as it was judged (no source): factors on rates, then what else it changes.
JUDGED = {
    D.NO_CHECK_VALVE: Effects(((M.PUMP, 1.5), (M.FLOAT, 1.5)), starts_factor=2.0),
    D.VALVE_LEAKS: Effects(((M.PUMP, 1.3), (M.FLOAT, 1.3)), starts_factor=1.5),
    D.VALVE_ON_SIDE: Effects(((M.VALVE, 3.0),), leak_back_factor=3.0),
    D.VALVE_UPSIDE_DOWN: Effects(((M.VALVE, 4.0),), leak_back_factor=3.0),
    D.VALVE_AGAINST_FLOW: Effects(((M.VALVE, 4.0),)),
    D.VALVE_BURIED: Effects(((M.VALVE, 1.5),), ((M.VALVE, 0.3),)),
    D.NO_WEEP_HOLE: Effects(((M.AIR_LOCK, 10.0),)),
    D.PUMP_ON_LOOSE_STONE: Effects(((M.PUMP, 1.7), (M.FLOAT, 1.3)), sediment_factor=1.5),
    D.RUNS_WITHOUT_RAIN: Effects(((M.PUMP, 1.5), (M.FLOAT, 1.5)), starts_factor=3.0),
    D.TEE_JOINT: Effects(((M.DISCHARGE, 1.3),)),
    D.INSERT_NOT_SUPPORTED: Effects(((M.FLOAT, 1.3),)),
    D.FINE_STONE: Effects(drain_slope_per_a=0.05),
    D.WRONG_FABRIC: Effects(drain_slope_per_a=0.10, soak_factor=0.7),
    D.NEAR_TREES: Effects(((M.DISCHARGE, 2.0),), drain_slope_per_a=0.03),
    D.NO_LEAF_TRAP: Effects(drain_slope_per_a=0.03),
    D.NO_ACCESS_LID: Effects(
        proof_coverage=((M.FLOAT, 0.0), (M.PUMP, 0.0), (M.VALVE, 0.0), (M.AIR_LOCK, 0.0))
    ),
}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.kind)
def test_each_rule_has_the_effects_it_was_judged_to_have(rule):
    assert rule.effects == JUDGED.get(rule.kind, NO_EFFECTS)
