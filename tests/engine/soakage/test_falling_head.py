"""Water falling in a pit. Judge of the falling head: a numerical solution by scipy.integrate."""

import math

import pytest
from scipy.integrate import solve_ivp

from drainservice.engine.soakage.falling_head import (
    DepthIsImpossible,
    RateIsImpossible,
    TimeIsImpossible,
    find_deepest_store,
    find_deepest_store_bottom_only,
    find_drain_time,
    find_drain_time_bottom_only,
    find_fall_slope,
    find_level_after,
    measure_fall,
)
from drainservice.engine.soakage.pit import Pit, PitCannotExist, box_pit
from tests.engine.cases import case, convert

PIT = box_pit(1.2, 1.3, 0.4, insert_diameter_m=0.6)
RATE_MS = convert(0.8, "in/h", "m/s")


def take(from_case, name, unit):
    """One input of a case in SI."""
    given = from_case.inputs[name]
    return convert(given["value"], given["unit"], unit)


def test_C04_deepest_store_through_the_bottom():
    c = case("C04")
    rate, void = take(c, "infiltration_rate", "m/s"), c.raw("void_ratio")

    deepest = find_deepest_store_bottom_only(take(c, "time", "s"), rate, void)
    # The case asks for the drain time of 42 in of water in the store.
    time = find_drain_time_bottom_only(convert(42, "in", "m"), rate, void)

    c.assert_holds("d_max", deepest, "m")
    c.assert_holds("drain_time_of_42_in", time, "s")


def test_C06_drain_time_of_a_four_foot_pit():
    c = case("C06")
    depth, rate = take(c, "depth", "m"), take(c, "infiltration_rate", "m/s")
    pit = Pit(take(c, "area", "m2"), take(c, "perimeter", "m"), c.raw("porosity"))

    c.assert_holds("drain_time_bottom_only", find_drain_time_bottom_only(depth, rate, 0.4), "s")
    c.assert_holds("drain_time_3d", find_drain_time(depth, rate, pit), "s")


def solve_by_steps(depth_m, rate_ms, pit, end_m):
    """Time for n A dh/dt = -f (A + x h) to fall to a level, by a Runge-Kutta solver."""

    def fall(_, h):
        wetted = pit.plan_area_m2 + pit.perimeter_m * h
        return -rate_ms * wetted / (pit.void_ratio * pit.plan_area_m2)

    def reached(_, h):
        return h[0] - end_m

    reached.terminal = True
    longest = 2 * depth_m / rate_ms
    solved = solve_ivp(fall, (0, longest), [depth_m], events=reached, rtol=1e-10, atol=1e-12)
    return solved.t_events[0][0]


@pytest.mark.parametrize("end_m", [0.0, 0.3])
def test_falls_as_a_numerical_solution_does(end_m):
    by_steps = solve_by_steps(1.1, RATE_MS, PIT, end_m)

    assert find_drain_time(1.1, RATE_MS, PIT, end_m) == pytest.approx(by_steps, rel=1e-7)


def test_soaks_through_the_bottom_alone_where_no_wall_is_wet():
    pit = Pit(2.0, 0.0, 0.4)

    assert find_drain_time(1.0, RATE_MS, pit) == find_drain_time_bottom_only(1.0, RATE_MS, 0.4)
    assert find_deepest_store(1000.0, RATE_MS, pit) == pytest.approx(
        find_deepest_store_bottom_only(1000.0, RATE_MS, 0.4)
    )


def test_is_empty_and_stays_empty_after_the_drain_time():
    time = find_drain_time(1.0, RATE_MS, PIT)

    assert find_level_after(0.5 * time, 1.0, RATE_MS, PIT) > 0.1
    assert find_level_after(2.0 * time, 1.0, RATE_MS, PIT) == 0.0


@pytest.mark.parametrize(("start", "end"), [(-0.1, 0.0), (1.0, -0.2), (0.3, 0.4), (math.nan, 0.0)])
def test_refuses_a_depth_that_cannot_be(start, end):
    with pytest.raises(DepthIsImpossible):
        find_drain_time(start, RATE_MS, PIT, end)


@pytest.mark.parametrize("rate", [0.0, -1e-6, math.inf, math.nan])
def test_has_no_drain_time_without_a_rate(rate):
    with pytest.raises(RateIsImpossible, match="clogged"):
        find_drain_time(1.0, rate, PIT)


def test_refuses_a_negative_time():
    with pytest.raises(TimeIsImpossible):
        find_level_after(-1.0, 1.0, RATE_MS, PIT)


def test_refuses_a_store_without_voids():
    with pytest.raises(PitCannotExist):
        find_deepest_store_bottom_only(1000.0, RATE_MS, 0.0)


def test_says_so_where_any_depth_would_drain():
    with pytest.raises(RateIsImpossible, match="any depth"):
        find_deepest_store(1e12, 1.0, PIT)


@pytest.mark.parametrize("pit", [PIT, Pit(2.0, 0.0, 0.4)])
@pytest.mark.parametrize("depth_m", [0.0, 0.3, 1.4])
def test_the_weight_of_a_level_is_the_slope_of_the_stretched_depth(pit, depth_m):
    step = 1e-6
    rise = measure_fall(depth_m + step, pit) - measure_fall(depth_m, pit)

    assert find_fall_slope(depth_m, pit) == pytest.approx(rise / step, rel=1e-5)


def test_soaks_between_two_levels_through_the_bottom():
    # 0.4 x (1.0 - 0.25) m at 1e-5 m/s: 30,000 s.
    assert find_drain_time_bottom_only(1.0, 1e-5, 0.4, 0.25) == pytest.approx(30_000)


def test_a_shallow_level_falls_too_and_no_time_changes_nothing():
    assert 0 < find_level_after(60.0, 0.05, RATE_MS, PIT) < 0.05
    assert find_level_after(0.0, 0.05, RATE_MS, PIT) == pytest.approx(0.05)
    assert find_deepest_store(0.0, RATE_MS, PIT) == 0
