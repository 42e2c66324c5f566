"""Pits that share a main.

pit a --> lateral --\\            pit b --> lateral --\\
   (far end) ====== joint a ========================= joint b ========> end
"""

from dataclasses import replace

import pytest
from scipy.optimize import fsolve

from drainservice.engine.hydraulics.amounts import ImpossibleAmount, NegativeDepth
from drainservice.engine.hydraulics.branches import converging_branch
from drainservice.engine.hydraulics.curves import PumpPoint, fit_power_curve
from drainservice.engine.hydraulics.duty_point import PumpCannotReachTheLift
from drainservice.engine.hydraulics.line import Section, line_loss
from drainservice.engine.hydraulics.main_line import Main, PitOnMain, duties_on_main, resting
from drainservice.engine.hydraulics.shared_main import SharedMain
from drainservice.engine.hydraulics.system_duty import DutyInput, duty_at
from drainservice.engine.units import FOOT_M, GPM_M3S, GRAVITY_MS2, INCH_M

CURVE = fit_power_curve(
    [PumpPoint(q * GPM_M3S, h * FOOT_M) for q, h in [(0, 25.0), (25, 18.0), (45, 6.0)]]
)
WEAK = CURVE.at_speed(0.72)
LINE = (Section(12 * FOOT_M, 1.61 * INCH_M, extra_k=4.5), Section(30 * FOOT_M, 2.067 * INCH_M))
# 3 in at 0.5 % with n 0.010 carries 0.00445 m3/s or 70 gpm by its fall.
MAIN = Main(inside_diameter_m=3.068 * INCH_M, slope=0.005)
PIT_A = PitOnMain("a", (CURVE,), LINE, 0.3, to_end_m=40.0, invert_above_floor_m=1.6)
PIT_B = PitOnMain("b", (CURVE,), LINE, 0.3, to_end_m=15.0, invert_above_floor_m=1.4)
NARROW = replace(MAIN, inside_diameter_m=2.067 * INCH_M)


@pytest.mark.parametrize("main", [MAIN, NARROW])
def test_one_pit_alone_is_the_duty_with_a_shared_main(main):
    shared = SharedMain(main.inside_diameter_m, main.slope, 40.0, 1.6)
    given = DutyInput((CURVE,), LINE, 0.0, 0.9, 0.3, joint=shared)

    (found,) = duties_on_main(main, [PIT_A])

    assert found.duty.flow_m3s == pytest.approx(duty_at(given, 0.3).flow_m3s, rel=1e-9)
    assert found.lost_share == pytest.approx(0, abs=1e-9)


def test_an_empty_main_takes_nothing_from_either():
    found = duties_on_main(replace(MAIN, inside_diameter_m=6.065 * INCH_M), [PIT_A, PIT_B])

    # A part-full main stands a little higher with both running: less than 1 % of the flow.
    assert all(0 <= one.lost_share < 0.01 for one in found)
    assert not any(one.joint.is_surcharged for one in found)


def test_two_pits_on_a_full_main_agree_with_all_equations_solved_at_once():
    # Judge: scipy's fsolve on the two head balances, written out with Manning's friction slope
    # S_f = (Q n / (A R^(2/3)))^2 reach by reach from the crown at the end.
    bore, slope, n = NARROW.inside_diameter_m, NARROW.slope, NARROW.manning_n
    area = 3.141592653589793 * bore**2 / 4

    def friction_slope(flow):
        return (flow * n / (area * (bore / 4) ** (2 / 3))) ** 2

    def enter(run, own):
        speed_head = ((run + own) / area) ** 2 / (2 * GRAVITY_MS2)
        k = converging_branch(run, own, bore, LINE[-1].inside_diameter_m, 45.0).branch_k
        return (1 + k) * speed_head

    def unbalanced(flows):
        qa, qb = flows
        depth_b = bore + (friction_slope(qa + qb) - slope) * 15.0
        depth_a = depth_b + (friction_slope(qa) - slope) * 25.0
        head_a = 1.6 + depth_a - 0.3 + line_loss(LINE, qa) + enter(0.0, qa)
        head_b = 1.4 + depth_b - 0.3 + line_loss(LINE, qb) + enter(qa, qb)
        return [head_a - CURVE.head_at(qa), head_b - CURVE.head_at(qb)]

    together = duties_on_main(NARROW, [PIT_A, PIT_B])
    judged = fsolve(unbalanced, [one.alone.flow_m3s for one in together], xtol=1e-13)

    assert [one.duty.flow_m3s for one in together] == pytest.approx(list(judged), rel=1e-6)
    assert all(0.02 < one.lost_share < 0.9 for one in together)
    assert all(one.joint.is_surcharged for one in together)


def test_the_order_of_the_pits_does_not_matter():
    there = duties_on_main(NARROW, [PIT_A, PIT_B])
    back = duties_on_main(NARROW, [PIT_B, PIT_A])

    assert [d.duty.flow_m3s for d in there] == pytest.approx(
        [d.duty.flow_m3s for d in reversed(back)], rel=1e-6
    )


def test_a_weak_pump_is_shut_out_by_a_main_that_others_fill():
    # A twentieth of a metre below its shut-off head with the main empty, far above it when full.
    weak = replace(PIT_B, pumps=(WEAK,), invert_above_floor_m=WEAK.shutoff_head_m + 0.15)
    strong = [replace(PIT_A, name=str(i), invert_above_floor_m=0.5) for i in range(2)]

    *_, found = duties_on_main(NARROW, [*strong, weak])

    assert found.is_shut_out
    assert found.duty is None
    assert found.alone.flow_m3s > 0
    assert found.lost_share == 1


def test_a_main_just_full_still_settles():
    # Base flow such that one pit's own flow carries the main over its full capacity or not.
    for gpm in range(30, 72, 3):
        main = replace(MAIN, base_flow_m3s=gpm * GPM_M3S)
        found = duties_on_main(main, [PIT_A, PIT_B])
        assert all(0 < one.duty.flow_m3s <= one.alone.flow_m3s * (1 + 1e-9) for one in found)


def test_a_resting_pit_sees_the_main_that_the_other_fills():
    _, quiet = duties_on_main(NARROW, [PIT_A, resting(PIT_B)])

    assert quiet.duty is None
    assert not quiet.is_shut_out
    assert quiet.lost_share == 0
    assert quiet.joint.level_above_floor_m > 1.4 + NARROW.inside_diameter_m


def test_tailwater_reaches_up_the_main():
    drowned = replace(MAIN, tailwater_m=1.0)

    (found,) = duties_on_main(drowned, [PIT_B])

    # 1.0 m over the end's invert, which lies 15 m * 0.005 = 0.075 m below the joint's, plus the
    # little that friction adds.
    assert found.joint.level_above_floor_m == pytest.approx(1.4 + 1.0 - 0.075, abs=0.08)
    assert found.duty.flow_m3s < duties_on_main(MAIN, [PIT_B])[0].duty.flow_m3s


def test_refuses_what_cannot_be():
    with pytest.raises(ImpossibleAmount, match="share the main"):
        duties_on_main(MAIN, [])
    with pytest.raises(NegativeDepth):
        duties_on_main(MAIN, [replace(PIT_A, water_above_floor_m=-0.1)])
    with pytest.raises(ImpossibleAmount, match="last section"):
        duties_on_main(MAIN, [replace(PIT_A, sections=())])
    with pytest.raises(ImpossibleAmount, match="slope"):
        duties_on_main(replace(MAIN, slope=0.0), [PIT_A])
    with pytest.raises(PumpCannotReachTheLift):
        duties_on_main(MAIN, [replace(PIT_A, invert_above_floor_m=9.0)])
