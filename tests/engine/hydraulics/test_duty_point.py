"""Duty points. Judge: the EPANET engine itself, run through wntr, on systems of our own."""

import math
import warnings

import pytest

from drainservice.engine.hydraulics.curves import (
    PumpPoint,
    fit_least_squares,
    fit_power_curve,
    fit_pump_curve,
)
from drainservice.engine.hydraulics.duty_point import (
    NoPump,
    PumpCannotReachTheLift,
    balance,
    find_duty_point,
)
from drainservice.engine.hydraulics.friction import DarcyColebrook, HazenWilliams
from drainservice.engine.hydraulics.line import Section, loss_factor
from drainservice.engine.units import CUBIC_FOOT_M3, FOOT_M, GPM_M3S, INCH_M
from tests.engine.cases import case, convert

STRONG = [(0, 25.0), (25, 18.0), (45, 6.0)]
WEAK = [(0, 20.0), (20, 14.0), (36, 4.0)]


def trade_points(pairs):
    return [PumpPoint(gpm * GPM_M3S, feet * FOOT_M) for gpm, feet in pairs]


def sections_of(pipes, c):
    return [
        Section(
            length_m=pipe["length_ft"] * FOOT_M,
            inside_diameter_m=pipe["id_in"] * INCH_M,
            friction=HazenWilliams(c),
            extra_k=pipe["minor_K"],
        )
        for pipe in pipes
    ]


def solve_case(one):
    curve = fit_power_curve(trade_points(one.raw("pump_points")))
    return find_duty_point(
        [curve] * one.raw("identical_pumps_in_parallel"),
        one.raw("static_head") * FOOT_M,
        sections_of(one.raw("pipes"), one.raw("C")),
    )


def run_epanet(tmp_path, pumps, static_ft, pipes, c, emitter_si=0.0):
    """pit (0) ==> pumps in parallel ==> n0 (weep) -- pipe -- n1 -- pipe -- outlet (static)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import wntr

        net = wntr.network.WaterNetworkModel()
        net.options.time.duration = 0
        net.options.hydraulic.accuracy = 1e-8
        net.add_reservoir("pit", base_head=0.0)
        net.add_reservoir("outlet", base_head=static_ft * FOOT_M)
        names = [f"n{i}" for i in range(len(pipes))] + ["outlet"]
        for name in names[:-1]:
            net.add_junction(name, base_demand=0.0, elevation=0.0)
        for i, points in enumerate(pumps):
            si = [(gpm * GPM_M3S, feet * FOOT_M) for gpm, feet in points]
            net.add_curve(f"c{i}", "HEAD", si)
            net.add_pump(f"p{i}", "pit", "n0", pump_type="HEAD", pump_parameter=f"c{i}")
        for i, pipe in enumerate(pipes):
            net.add_pipe(
                f"l{i}",
                names[i],
                names[i + 1],
                length=pipe["length_ft"] * FOOT_M,
                diameter=pipe["id_in"] * INCH_M,
                roughness=c,
                minor_loss=pipe["minor_K"],
            )
        if emitter_si:
            net.get_node("n0").emitter_coefficient = emitter_si
        results = wntr.sim.EpanetSimulator(net).run_sim(file_prefix=str(tmp_path / "e"))
    flow_m3s = float(results.link["flowrate"]["l0"].iloc[0])
    head_m = float(results.node["head"]["n0"].iloc[0])
    return flow_m3s, head_m


def test_A04_operating_point_with_friction_frozen():
    a04 = case("A04")
    pump = fit_least_squares(trade_points(a04.raw("pump_points_gpm_ft")))
    viscosity_m2s = convert(a04.raw("kinematic_viscosity"), "ft2/s", "m2/s")
    pipe = Section(
        length_m=a04.raw("length") * FOOT_M,
        inside_diameter_m=a04.raw("diameter") * INCH_M,
        friction=DarcyColebrook(a04.raw("roughness") * FOOT_M, viscosity_m2s),
    )
    static_m = a04.raw("static_head") * FOOT_M

    # The source evaluates K once, at 1 ft3/s: K ft/(ft3/s)^2 = K_si * (ft3)^2 / ft.
    frozen = loss_factor([pipe], CUBIC_FOOT_M3)
    duty = balance([pump], lambda flow_m3s: static_m + frozen * flow_m3s**2)

    a04.assert_holds("K", frozen * CUBIC_FOOT_M3**2 / FOOT_M, "ft/(ft3/s)^2")
    a04.assert_holds("Q", duty.flow_m3s, "m3/s")
    a04.assert_holds("h", duty.head_m, "m")


def test_gives_more_flow_when_friction_is_evaluated_anew():
    # The frozen factor of A04 is too high at 12 ft3/s: about 6 % more flow without it.
    a04 = case("A04")
    pump = fit_least_squares(trade_points(a04.raw("pump_points_gpm_ft")))
    viscosity_m2s = convert(a04.raw("kinematic_viscosity"), "ft2/s", "m2/s")
    pipe = Section(
        a04.raw("length") * FOOT_M,
        a04.raw("diameter") * INCH_M,
        DarcyColebrook(a04.raw("roughness") * FOOT_M, viscosity_m2s),
    )

    duty = find_duty_point([pump], a04.raw("static_head") * FOOT_M, [pipe])

    assert duty.flow_m3s / CUBIC_FOOT_M3 / 12.051 == pytest.approx(1.06, abs=0.02)


def test_A13_duty_point_of_one_pump():
    a13 = case("A13")

    duty = solve_case(a13)

    a13.assert_holds("flow", duty.flow_m3s, "m3/s")
    a13.assert_holds("head", duty.head_m, "m")


def test_A14_duty_point_with_fittings_on_two_pipe_sizes():
    a14 = case("A14")

    duty = solve_case(a14)

    a14.assert_holds("flow", duty.flow_m3s, "m3/s")
    a14.assert_holds("head", duty.head_m, "m")


OWN_SYSTEMS = [
    pytest.param([STRONG], 7.0, [(30, 1.38, 2.5)], 150, id="one pump"),
    pytest.param([STRONG], 9.0, [(9, 1.61, 5.1), (140, 3.068, 2.0)], 140, id="two pipe sizes"),
    pytest.param([STRONG, STRONG], 10.0, [(15, 2.067, 6.0)], 150, id="two equal pumps"),
    pytest.param([STRONG, WEAK], 6.0, [(15, 2.067, 6.0)], 150, id="two unlike pumps"),
    pytest.param([STRONG], -3.0, [(60, 1.61, 3.0)], 150, id="outlet below the water"),
]


@pytest.mark.slow
@pytest.mark.parametrize(("pumps", "static_ft", "runs", "c"), OWN_SYSTEMS)
def test_meets_where_epanet_meets(tmp_path, pumps, static_ft, runs, c):
    pipes = [{"length_ft": a, "id_in": b, "minor_K": k} for a, b, k in runs]
    flow_m3s, head_m = run_epanet(tmp_path, pumps, static_ft, pipes, c)

    duty = find_duty_point(
        [fit_power_curve(trade_points(points)) for points in pumps],
        static_ft * FOOT_M,
        sections_of(pipes, c),
    )

    # EPANET's own rounding of constants (4.727, 1.852) is the same; single precision output.
    assert duty.flow_m3s == pytest.approx(flow_m3s, rel=0.002)
    assert duty.head_m == pytest.approx(head_m, rel=0.002)


@pytest.mark.slow
def test_loses_through_the_weep_hole_what_an_epanet_emitter_loses(tmp_path):
    # Emitter q = c sqrt(p): c = Cd a sqrt(2g) = 0.61 * pi/4 * 0.0047625^2 * sqrt(19.6133).
    hole_m = 3 / 16 * INCH_M
    emitter = 0.61 * math.pi / 4 * hole_m**2 * math.sqrt(2 * 9.80665)
    pipes = [{"length_ft": 40, "id_in": 1.61, "minor_K": 4.0}]
    flow_m3s, _ = run_epanet(tmp_path, [STRONG], 9.0, pipes, 150, emitter)

    duty = find_duty_point(
        [fit_power_curve(trade_points(STRONG))], 9.0 * FOOT_M, sections_of(pipes, 150), hole_m
    )

    assert duty.flow_m3s == pytest.approx(flow_m3s, rel=0.002)
    assert duty.weep_flow_m3s == pytest.approx(duty.pump_flows_m3s[0] - duty.flow_m3s)


def test_lets_each_of_two_risers_carry_half():
    # Two equal pumps, each through its own riser: by symmetry each sees its riser at half flow.
    pump = fit_power_curve(trade_points(STRONG))
    riser = {"length_m": 3.0, "inside_diameter_m": 1.61 * INCH_M, "extra_k": 4.0}
    alone = find_duty_point([pump], 8 * FOOT_M, [Section(**riser)])

    both = find_duty_point([pump, pump], 8 * FOOT_M, [Section(**riser, flow_share=0.5)])

    assert both.flow_m3s == pytest.approx(2 * alone.flow_m3s)


def test_a_pump_below_the_common_head_gives_nothing():
    strong = fit_power_curve(trade_points([(0, 60.0), (40, 50.0), (80, 30.0)]))
    weak = fit_power_curve(trade_points(WEAK))

    duty = find_duty_point([strong, weak], 22 * FOOT_M, [Section(10.0, 2.067 * INCH_M)])

    assert duty.pump_flows_m3s[1] == 0
    assert duty.flow_m3s == pytest.approx(duty.pump_flows_m3s[0])


def test_says_when_it_reads_beyond_the_last_point():
    pump = fit_power_curve(trade_points(STRONG))

    low, high = (find_duty_point([pump], h * FOOT_M, [Section(2.0, 0.1)]) for h in (1.0, 15.0))

    assert low.is_beyond_curve
    assert not high.is_beyond_curve


def test_refuses_a_lift_that_the_pump_cannot_reach():
    # 25 ft is 7.62 m.
    pump = fit_power_curve(trade_points(STRONG))

    with pytest.raises(PumpCannotReachTheLift, match=r"rise 7\.92 m, but the pump lifts 7\.62 m"):
        find_duty_point([pump], 26 * FOOT_M, [Section(2.0, 0.04)])


def test_refuses_a_weep_hole_that_takes_everything():
    pump = fit_power_curve(trade_points(STRONG))

    with pytest.raises(PumpCannotReachTheLift, match="hole is too large"):
        find_duty_point([pump], 20 * FOOT_M, [Section(2.0, 0.04)], weep_hole_m=0.03)


def test_refuses_no_pump():
    with pytest.raises(NoPump, match="enter the pump"):
        find_duty_point([], 2.0, [Section(2.0, 0.04)])


def test_moves_with_level_age_and_riser_as_computed_before():
    # A14's system, computed when the cases were written, to their own rounding: a foot of level
    # about 4 % of flow, C 150 to 130 -2.5 %, a 1-1/4 in riser -7.6 %.
    pump = fit_pump_curve(trade_points(STRONG))

    def flow(static_ft=10.0, riser_in=1.61, c=150.0):
        runs = [(12, riser_in, 4.5), (90, 2.067, 3.2)]
        pipes = [{"length_ft": a, "id_in": b, "minor_K": k} for a, b, k in runs]
        return find_duty_point([pump], static_ft * FOOT_M, sections_of(pipes, c)).flow_m3s

    assert flow(static_ft=11.0) / flow() - 1 == pytest.approx(-0.04, abs=0.01)
    assert flow(c=130.0) / flow() - 1 == pytest.approx(-0.025, abs=0.01)
    assert flow(riser_in=1.38) / flow() - 1 == pytest.approx(-0.076, abs=0.02)


def test_a_lift_of_just_the_shutoff_head_is_out_of_reach():
    curve = fit_power_curve(trade_points(STRONG))

    with pytest.raises(PumpCannotReachTheLift, match=r"lifts 7\.62 m at most"):
        find_duty_point([curve], curve.shutoff_head_m, [])


def test_a_line_that_loses_nothing_gives_the_flow_at_the_lift():
    curve = fit_power_curve(trade_points(STRONG))

    assert find_duty_point([curve], 5.0, []).flow_m3s == pytest.approx(curve.flow_at(5.0))


def test_a_riser_that_hangs_below_the_water_does_not_weep():
    # Outlet 2 m below the water: the head behind the hole is below nothing.
    curve = fit_power_curve(trade_points(STRONG))
    line = [Section(1.0, 3.068 * INCH_M)]

    point = find_duty_point([curve], -2.0, line, weep_hole_m=0.1875 * INCH_M)

    assert point.head_m < 0
    assert point.weep_flow_m3s == 0
    assert point.flow_m3s == pytest.approx(sum(point.pump_flows_m3s))
