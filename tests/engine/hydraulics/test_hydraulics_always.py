"""Laws that hold for every pump, line and pit."""

import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from drainservice.engine.hydraulics.curves import PumpPoint, fit_pump_curve
from drainservice.engine.hydraulics.cycling import cycle_pump, shortest_cycle
from drainservice.engine.hydraulics.drawdown import DrawdownTest, measure_flow
from drainservice.engine.hydraulics.duty_point import PumpCannotReachTheLift, find_duty_point
from drainservice.engine.hydraulics.flow_against_duty import judge_flow
from drainservice.engine.hydraulics.friction import (
    DarcyColebrook,
    HazenWilliams,
    friction_factor,
    friction_loss,
)
from drainservice.engine.hydraulics.gravity_main import depth_at_flow, flow_at_depth, full_flow
from drainservice.engine.hydraulics.line import Section
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.shared_main import SharedMain, state_at_joint
from drainservice.engine.hydraulics.system_duty import DutyInput, duty_at
from drainservice.engine.hydraulics.weep_hole import weep_loss

BORES_M = st.floats(0.02, 0.15)
FRICTIONS = st.one_of(
    st.builds(HazenWilliams, st.floats(80, 160)), st.builds(DarcyColebrook, st.floats(0, 5e-4))
)
SECTIONS = st.builds(Section, st.floats(0.5, 80), BORES_M, FRICTIONS, st.just(()), st.floats(0, 20))


@st.composite
def pumps(draw):
    shutoff_m, flow_m3s = draw(st.floats(3, 15)), draw(st.floats(5e-4, 6e-3))
    middle, last = draw(st.floats(0.6, 0.95)), draw(st.floats(0.1, 0.5))
    heads_m = (shutoff_m, middle * shutoff_m, last * shutoff_m)
    flows_m3s = (0.0, flow_m3s, flow_m3s * draw(st.floats(1.3, 3)))
    return fit_pump_curve([PumpPoint(*p) for p in zip(flows_m3s, heads_m, strict=True)])


@settings(deadline=None, max_examples=60)
@given(pumps(), st.lists(SECTIONS, min_size=1, max_size=3), st.floats(0, 0.9))
def test_duty_lies_on_both_curves(pump, sections, lift_share):
    static_m = lift_share * pump.shutoff_head_m

    duty = find_duty_point([pump], static_m, sections)

    assert abs(pump.head_at(duty.pump_flows_m3s[0]) - duty.head_m) < 1e-7
    assert static_m <= duty.head_m < pump.shutoff_head_m


@settings(deadline=None, max_examples=60)
@given(pumps(), SECTIONS, st.floats(0, 0.8), st.floats(0.01, 0.15))
def test_more_lift_gives_less_flow(pump, section, share, more):
    low, high = (
        find_duty_point([pump], s * pump.shutoff_head_m, [section]) for s in (share, share + more)
    )

    assert high.flow_m3s < low.flow_m3s


@settings(deadline=None, max_examples=60)
@given(pumps(), SECTIONS, st.floats(1.02, 2.0), st.floats(0, 0.8))
def test_a_larger_pipe_gives_more_flow(pump, section, wider, share):
    wide = Section(
        section.length_m,
        section.inside_diameter_m * wider,
        section.friction,
        (),
        section.extra_k,
    )
    static_m = share * pump.shutoff_head_m

    before, after = (find_duty_point([pump], static_m, [s]) for s in (section, wide))

    assert after.flow_m3s >= before.flow_m3s * (1 - 1e-9)


@settings(deadline=None, max_examples=60)
@given(pumps(), SECTIONS, st.floats(0, 0.8))
def test_a_second_pump_gives_more_but_never_twice(pump, section, share):
    static_m = share * pump.shutoff_head_m

    one, two = (find_duty_point([pump] * n, static_m, [section]) for n in (1, 2))

    assert one.flow_m3s * (1 - 1e-9) <= two.flow_m3s <= 2 * one.flow_m3s * (1 + 1e-9)


@settings(deadline=None, max_examples=60)
@given(pumps(), SECTIONS, st.integers(2, 4))
def test_unlike_solver_agrees_with_one_curve_for_equal_pumps(pump, section, count):
    static_m = 0.4 * pump.shutoff_head_m

    many = find_duty_point([pump] * count, static_m, [section])
    merged = find_duty_point([pump.in_parallel(count)], static_m, [section])

    assert abs(many.flow_m3s - merged.flow_m3s) <= 1e-8 * merged.flow_m3s


@settings(deadline=None, max_examples=60)
@given(
    pumps(),
    SECTIONS,
    st.floats(0, 2),
    st.floats(0, 0.6),
    st.sampled_from([30.0, 45.0, 90.0]),
    st.floats(0.05, 0.2),
)
def test_a_joined_line_balances_or_says_it_cannot(pump, section, share, tailwater_m, angle, bore_m):
    main = SharedMain(
        inside_diameter_m=bore_m,
        slope=0.01,
        length_m=20.0,
        invert_above_floor_m=1.2,
        other_flow_m3s=share * full_flow(bore_m, 0.01, 0.010),
        tailwater_m=tailwater_m,
        branch_angle_degrees=angle,
    )
    given_system = DutyInput((pump,), (section,), 1.3, 0.4, 0.1, joint=main)

    try:
        duty = duty_at(given_system, 0.2)
    except PumpCannotReachTheLift:
        joint = state_at_joint(main, 0.0, section.inside_diameter_m)
        assert joint.level_above_floor_m + joint.entry_loss_m - 0.2 >= pump.shutoff_head_m
    else:
        assert abs(pump.head_at(duty.flow_m3s) - duty.head_m) < 1e-7


@settings(deadline=None, max_examples=60)
@given(pumps(), st.floats(0.3, 1.5), st.floats(0.1, 0.9))
def test_affinity_moves_every_point_of_the_curve(pump, ratio, share):
    flow_m3s = share * pump.largest_flow_m3s

    moved_m = pump.at_speed(ratio).head_at(ratio * flow_m3s)

    assert abs(moved_m - ratio**2 * pump.head_at(flow_m3s)) < 1e-9


@settings(deadline=None)
@given(FRICTIONS, BORES_M, st.floats(1e-5, 0.01), st.floats(1.01, 3))
def test_more_flow_loses_more(friction, bore_m, flow_m3s, more):
    # Kept out of the jump between laminar and turbulent by comparing losses, which both rise.
    low_m, high_m = (friction_loss(q, 10.0, bore_m, friction) for q in (flow_m3s, more * flow_m3s))

    assert high_m > low_m


@given(st.floats(2000, 1e8), st.floats(0, 0.05))
def test_colebrook_holds_at_its_own_answer(reynolds, roughness):
    f = friction_factor(reynolds, roughness)

    right = -2 * math.log10(roughness / 3.7 + 2.51 / (reynolds * math.sqrt(f)))
    assert abs(1 / math.sqrt(f) - right) < 1e-9


@given(BORES_M, st.floats(0.001, 0.1), st.floats(0.0, 0.93))
def test_depth_and_flow_are_each_others_inverse(bore_m, slope, filled):
    flow_m3s = flow_at_depth(filled * bore_m, bore_m, slope, 0.010).flow_m3s

    depth_m = depth_at_flow(flow_m3s, bore_m, slope, 0.010).depth_m

    assert abs(depth_m - filled * bore_m) < 1e-6


@given(st.floats(0, 2.5), st.floats(0, 0.004), st.floats(1e-5, 0.004))
def test_the_joint_never_sinks_as_more_flows(other_share, branch_m3s, more_m3s):
    full_m3s = full_flow(0.102, 0.01, 0.010)
    main = SharedMain(0.102, 0.01, 20.0, 1.0, other_share * full_m3s)

    before, after = (state_at_joint(main, q, 0.052) for q in (branch_m3s, branch_m3s + more_m3s))

    assert after.level_above_floor_m >= before.level_above_floor_m


@given(st.floats(0.01, 1), st.floats(1e-4, 0.01), st.floats(0.02, 0.98))
def test_no_cycle_is_shorter_than_at_half_the_pump(volume_m3, pump_m3s, share):
    cycle = cycle_pump(volume_m3, pump_m3s, share * pump_m3s)

    assert cycle.cycle_time_s >= shortest_cycle(volume_m3, pump_m3s) * (1 - 1e-12)


@given(st.floats(0.1, 2), st.floats(0.02, 0.5), st.floats(5, 300), st.floats(0.01, 0.2))
def test_the_flow_is_as_uncertain_as_its_parts(area_m2, drop_m, time_s, share):
    result = measure_flow(
        DrawdownTest(
            Measured(area_m2, share * area_m2), Measured(drop_m, 0.0), Measured(time_s, 0.0)
        )
    )

    assert abs(result.flow.relative_sd - share) < 1e-6


@given(st.floats(0.1, 5), st.floats(0.01, 1), st.floats(0.5, 5), st.floats(0.01, 1))
def test_a_weaker_test_is_never_judged_less_likely_bad(flow, flow_sd, duty, duty_sd):
    assume(flow > 0.2)
    weaker, stronger = (
        judge_flow(Measured(f, flow_sd), Measured(duty, duty_sd)) for f in (flow / 2, flow)
    )

    if stronger.ratio < 0.75:
        assert weaker.chance_below_limit >= 0.5
    assert 0 <= weaker.chance_below_limit <= 1


@given(st.floats(0.001, 0.01), st.floats(0.1, 10))
def test_four_times_the_head_doubles_the_weep(hole_m, head_m):
    once, twice = weep_loss(hole_m, head_m), weep_loss(hole_m, 4 * head_m)

    assert abs(twice - 2 * once) < 1e-12
