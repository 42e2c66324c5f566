"""Laws of the falling head that hold for every pit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.soakage.falling_head import (
    find_deepest_store,
    find_drain_time,
    find_drain_time_bottom_only,
    find_level_after,
)
from drainservice.engine.soakage.pit import Pit
from drainservice.engine.soakage.rate import find_rate_from_readings, find_rate_from_two_readings

pits = st.builds(
    Pit,
    plan_area_m2=st.floats(0.2, 50.0),
    perimeter_m=st.floats(0.5, 40.0),
    void_ratio=st.floats(0.2, 1.0),
)
depths = st.floats(0.1, 3.0)
# 0.05 to 50 in/h.
rates = st.floats(3.5e-7, 3.5e-4)


@given(pits, depths, rates, st.floats(1.01, 3.0))
def test_takes_longer_from_deeper_and_shorter_at_a_higher_rate(pit, depth, rate, factor):
    time = find_drain_time(depth, rate, pit)

    assert find_drain_time(depth * factor, rate, pit) > time
    assert find_drain_time(depth, rate * factor, pit) == pytest.approx(time / factor)


@given(pits, depths, rates)
def test_is_never_slower_than_through_the_bottom_alone(pit, depth, rate):
    assert find_drain_time(depth, rate, pit) < find_drain_time_bottom_only(
        depth, rate, pit.void_ratio
    )


@given(pits, depths, rates)
def test_comes_to_the_bottom_alone_as_the_wall_shrinks(pit, depth, rate):
    flat = Pit(pit.plan_area_m2, 1e-9 * pit.plan_area_m2, pit.void_ratio)

    assert find_drain_time(depth, rate, flat) == pytest.approx(
        find_drain_time_bottom_only(depth, rate, pit.void_ratio), rel=1e-6
    )


@given(pits, depths, rates, st.floats(0.0, 0.95))
def test_adds_up_over_two_stretches(pit, depth, rate, share):
    whole = find_drain_time(depth, rate, pit)
    upper = find_drain_time(depth, rate, pit, share * depth)

    assert upper + find_drain_time(share * depth, rate, pit) == pytest.approx(whole)


@given(pits, depths, rates)
def test_deepest_store_is_the_depth_whose_drain_time_it_was_given(pit, depth, rate):
    time = find_drain_time(depth, rate, pit)

    assert find_deepest_store(time, rate, pit) == pytest.approx(depth)


@given(pits, depths, rates, st.floats(0.05, 0.95))
def test_gives_the_rate_back_from_two_levels(pit, depth, rate, share):
    seconds = share * find_drain_time(depth, rate, pit)
    later = find_level_after(seconds, depth, rate, pit)

    assert find_rate_from_two_readings(depth, later, seconds, pit) == pytest.approx(rate)


@given(pits, depths, rates, st.lists(st.floats(0.01, 0.2), min_size=2, max_size=9))
def test_gives_the_rate_back_from_many_levels(pit, depth, rate, steps):
    # Steps are kept within the time the pit still holds water.
    scale = find_drain_time(depth, rate, pit) / (1.01 * sum(steps))
    seconds = [scale * sum(steps[: i + 1]) for i in range(len(steps))]
    levels = [find_level_after(t, depth, rate, pit) for t in seconds]

    found = find_rate_from_readings(seconds, levels, pit)

    assert found.rate_ms == pytest.approx(rate)
    assert found.rate_sd_ms > 0.0
