"""The duty of a whole system, against plain numerical emptying of the band."""

import json
from dataclasses import replace

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount, NegativeDepth
from drainservice.engine.hydraulics.curves import PumpPoint, fit_power_curve
from drainservice.engine.hydraulics.duty_point import PumpCannotReachTheLift, find_duty_point
from drainservice.engine.hydraulics.fittings import Fitting, FittingKind
from drainservice.engine.hydraulics.friction import DarcyColebrook
from drainservice.engine.hydraulics.gravity_main import full_flow
from drainservice.engine.hydraulics.line import Section
from drainservice.engine.hydraulics.shared_main import SharedMain
from drainservice.engine.hydraulics.system_duty import (
    DutyInput,
    average_duty,
    duty_at,
)
from drainservice.engine.interval.plain import from_plain, to_plain
from drainservice.engine.units import FOOT_M, GPM_M3S, INCH_M

PUMP = fit_power_curve(
    [PumpPoint(q * GPM_M3S, h * FOOT_M) for q, h in [(0, 25.0), (25, 18.0), (45, 6.0)]]
)
RISER = Section(
    8 * FOOT_M,
    1.61 * INCH_M,
    fittings=(Fitting(FittingKind.SWING_CHECK), Fitting(FittingKind.ELBOW_90, 2)),
)
LATERAL = Section(60 * FOOT_M, 2.067 * INCH_M, fittings=(Fitting(FittingKind.EXIT),))
SYSTEM = DutyInput(
    pumps=(PUMP,),
    sections=(RISER, LATERAL),
    outlet_above_floor_m=10 * FOOT_M,
    on_above_floor_m=16 * INCH_M,
    off_above_floor_m=6 * INCH_M,
)
MAIN = SharedMain(
    inside_diameter_m=4.026 * INCH_M,
    slope=0.01,
    length_m=20.0,
    invert_above_floor_m=10 * FOOT_M,
)


def test_empties_the_band_as_plain_stepping_does():
    # 1000 thin slices, each emptied at its own duty: mean flow = band / sum(dh / Q).
    band_m = SYSTEM.on_above_floor_m - SYSTEM.off_above_floor_m
    slices = [SYSTEM.off_above_floor_m + (i + 0.5) * band_m / 1000 for i in range(1000)]
    plain_m3s = 1000 / sum(1 / duty_at(SYSTEM, level_m).flow_m3s for level_m in slices)

    assert average_duty(SYSTEM).flow.value == pytest.approx(plain_m3s, rel=1e-7)


def test_gives_back_through_the_weep_hole_what_plain_stepping_gives_back():
    weeping = replace(SYSTEM, weep_hole_m=3 / 16 * INCH_M)
    band_m = SYSTEM.on_above_floor_m - SYSTEM.off_above_floor_m
    slices = [
        duty_at(weeping, SYSTEM.off_above_floor_m + (i + 0.5) * band_m / 200) for i in range(200)
    ]
    times = [1 / point.flow_m3s for point in slices]
    pumped = sum(sum(p.pump_flows_m3s) * t for p, t in zip(slices, times, strict=True))

    assert average_duty(weeping).pump_flow_m3s == pytest.approx(pumped / sum(times), rel=1e-6)


def test_stands_on_the_plain_duty_point():
    static_m = SYSTEM.outlet_above_floor_m - SYSTEM.off_above_floor_m

    plain = find_duty_point([PUMP], static_m, SYSTEM.sections)

    assert average_duty(SYSTEM).at_off.flow_m3s == pytest.approx(plain.flow_m3s)


def test_shows_where_the_head_goes():
    result = average_duty(SYSTEM)

    lost_m = sum(loss.total_m for loss in result.losses)
    assert result.at_middle.head_m == pytest.approx(result.at_middle.static_head_m + lost_m)


def test_leaves_less_for_the_line_with_a_weep_hole():
    tight, weeping = (average_duty(replace(SYSTEM, weep_hole_m=d)) for d in (0.0, 3 / 16 * INCH_M))

    assert weeping.flow.value < tight.flow.value
    assert weeping.pump_flow_m3s > tight.pump_flow_m3s
    assert tight.pump_flow_m3s == pytest.approx(tight.flow.value)


def test_lifts_to_the_high_point_when_that_is_higher():
    over_a_bank = replace(SYSTEM, outlet_above_floor_m=2.0, high_point_above_floor_m=10 * FOOT_M)

    assert average_duty(over_a_bank).flow.value == pytest.approx(average_duty(SYSTEM).flow.value)


def test_carries_the_uncertainty_of_curve_and_lift():
    sure = average_duty(replace(SYSTEM, curve_sd_share=0.0, lift_sd_m=0.0))
    curve_only = average_duty(replace(SYSTEM, curve_sd_share=0.04, lift_sd_m=0.0))
    lift_only = average_duty(replace(SYSTEM, curve_sd_share=0.0, lift_sd_m=0.1))
    higher = average_duty(replace(SYSTEM, outlet_above_floor_m=10 * FOOT_M + 0.1))

    assert sure.flow.sd == 0
    assert curve_only.flow.sd == pytest.approx(0.04 * sure.flow.value)
    assert lift_only.flow.sd == pytest.approx(sure.flow.value - higher.flow.value, rel=0.05)


def test_says_when_the_flap_is_not_held_open():
    wide = replace(RISER, inside_diameter_m=2.067 * INCH_M)

    # 29.7 gpm opens a 1-1/2 in swing check fully (test_fittings); this system gives about 33.
    assert average_duty(SYSTEM).is_valve_fully_open
    assert not average_duty(replace(SYSTEM, sections=(wide, LATERAL))).is_valve_fully_open


def test_gives_less_into_a_main_that_others_fill():
    full_m3s = full_flow(MAIN.inside_diameter_m, MAIN.slope, MAIN.manning_n)
    quiet = average_duty(replace(SYSTEM, joint=MAIN))
    busy = average_duty(replace(SYSTEM, joint=replace(MAIN, other_flow_m3s=1.5 * full_m3s)))

    assert not quiet.joint.is_surcharged
    assert busy.joint.is_surcharged
    assert busy.flow.value < quiet.flow.value


def test_balances_the_heads_against_a_surcharged_main():
    full_m3s = full_flow(MAIN.inside_diameter_m, MAIN.slope, MAIN.manning_n)
    busy = replace(SYSTEM, joint=replace(MAIN, other_flow_m3s=1.5 * full_m3s))

    result = average_duty(busy)

    # Pump head = grade line - water level + line losses + entry, each taken from the result.
    water_m = (SYSTEM.on_above_floor_m + SYSTEM.off_above_floor_m) / 2
    against_m = result.joint.level_above_floor_m - water_m + result.joint.entry_loss_m
    lost_m = sum(loss.total_m for loss in result.losses)
    pump_head_m = PUMP.head_at(result.at_middle.flow_m3s)
    assert pump_head_m == pytest.approx(against_m + lost_m, abs=1e-6)


@pytest.mark.parametrize("joint", [SYSTEM.joint, MAIN])
def test_replays_from_a_stored_sheet(joint):
    rough = replace(LATERAL, friction=DarcyColebrook(1.5e-6))
    given = replace(SYSTEM, sections=(RISER, rough), joint=joint)

    again = from_plain(DutyInput, json.loads(json.dumps(to_plain(given))))

    assert again.joint == given.joint
    assert average_duty(again) == average_duty(given)


def test_refuses_a_lift_that_the_pump_cannot_reach_at_the_off_level():
    # Off level 6 in; 25 ft of shut-off head reaches an outlet 25.5 ft above the floor and no more.
    with pytest.raises(PumpCannotReachTheLift, match="stronger pump"):
        average_duty(replace(SYSTEM, outlet_above_floor_m=25.6 * FOOT_M))


def test_refuses_an_on_level_below_the_off_level():
    with pytest.raises(ImpossibleAmount, match="swap the two"):
        average_duty(replace(SYSTEM, on_above_floor_m=0.1))


def test_refuses_a_level_below_the_floor():
    with pytest.raises(NegativeDepth, match="measure it upwards from the floor"):
        average_duty(replace(SYSTEM, off_above_floor_m=-0.1))


def test_refuses_a_main_joined_by_no_pipe():
    with pytest.raises(ImpossibleAmount, match="enter its bore"):
        average_duty(replace(SYSTEM, sections=(), joint=MAIN))
