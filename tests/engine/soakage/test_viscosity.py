"""Viscosity of water, and readings brought to 20 C."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.soakage.viscosity import (
    WaterTemperatureIsImpossible,
    find_water_viscosity,
    reduce_rate_to_20c,
    reduce_time_to_20c,
)

water = st.floats(0.0, 60.0)
# CRC Handbook of Chemistry and Physics, viscosity of liquid water in mPa s (from memory).
HANDBOOK = [
    (0, 1.792),
    (5, 1.518),
    (10, 1.306),
    (20, 1.0016),
    (25, 0.890),
    (30, 0.7972),
    (40, 0.653),
]


@pytest.mark.parametrize(("temperature_c", "mpa_s"), HANDBOOK)
def test_agrees_with_the_handbook(temperature_c, mpa_s):
    assert 1e3 * find_water_viscosity(temperature_c) == pytest.approx(mpa_s, rel=1e-3)


@given(water)
def test_agrees_with_an_independent_formula(temperature_c):
    # Popiel and Wojtkowiak, Heat Transfer Engineering 19 (1998), as printed in the manual of an
    # R package: mu = 1 / (a + b t + c t^2 + d t^3), t in C (read there).
    t = temperature_c
    other = 1.0 / (557.82468 + 19.408782 * t + 0.1360459 * t**2 - 3.1160832e-4 * t**3)

    assert find_water_viscosity(t) == pytest.approx(other, rel=2e-3)


def test_cold_water_soaks_slower_by_more_than_half():
    # 5 C against 25 C: a factor 1.7
    assert find_water_viscosity(5.0) / find_water_viscosity(25.0) == pytest.approx(1.706, abs=0.002)


def test_brings_a_cold_reading_to_a_shorter_time_and_a_higher_rate():
    # mu(20) / mu(5) = 1.0016 / 1.5182 = 0.6597: 30 h at 5 C are 19.8 h at 20 C
    assert reduce_time_to_20c(30.0, 5.0) == pytest.approx(19.79, abs=0.01)
    assert reduce_rate_to_20c(1.0, 5.0) == pytest.approx(1.0 / 0.6597, rel=1e-3)


def test_leaves_a_reading_at_20_c_as_it_is():
    assert reduce_time_to_20c(30.0, 20.0) == 30.0


@given(water, st.floats(1.0, 1e6))
def test_time_and_rate_are_reduced_the_opposite_way(temperature_c, value):
    product = reduce_time_to_20c(value, temperature_c) * reduce_rate_to_20c(1.0, temperature_c)

    assert product == pytest.approx(value)


@given(water, water)
def test_falls_as_water_warms(one, other):
    low, high = min(one, other), max(one, other)

    assert find_water_viscosity(low) >= find_water_viscosity(high)


@pytest.mark.parametrize("temperature_c", [-1.0, 68.0, float("nan")])
def test_refuses_water_that_is_no_water_or_fahrenheit(temperature_c):
    with pytest.raises(WaterTemperatureIsImpossible, match="Fahrenheit"):
        find_water_viscosity(temperature_c)
