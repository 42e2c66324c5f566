"""The soakage rate from levels read in the pit. Judge of the fit: numpy's least squares."""

import math

import numpy as np
import pytest

from drainservice.engine.soakage.falling_head import find_level_after
from drainservice.engine.soakage.pit import Pit
from drainservice.engine.soakage.rate import (
    LevelDoesNotFall,
    LevelIsImpossible,
    LevelRises,
    OneReadingIsNotEnough,
    TimesDoNotRise,
    find_rate_from_readings,
    find_rate_from_two_readings,
)

PIT = Pit(1.5, 5.0, 0.5)
TIMES = (0.0, 600.0, 1500.0, 3000.0, 5400.0)


def test_two_readings_give_the_logarithm_formula():
    # f = n A / (x dt) ln[(h1 + A/x) / (h2 + A/x)], A/x = 0.3, by hand:
    # 0.5 * 0.3 / 3600 * ln(1.3 / 0.8) = 4.16667e-5 * 0.485508 = 2.02295e-5
    assert find_rate_from_two_readings(1.0, 0.5, 3600.0, PIT) == pytest.approx(2.02295e-5, rel=1e-5)


def test_bottom_only_is_void_ratio_times_fall_over_time():
    # 0.4 * 0.25 / 1000
    assert find_rate_from_two_readings(1.0, 0.75, 1000.0, Pit(2.0, 0.0, 0.4)) == pytest.approx(1e-4)


def test_fits_scattered_levels_by_least_squares():
    levels = [find_level_after(t, 1.0, 2e-5, PIT) for t in TIMES]
    levels = [h + e for h, e in zip(levels, (0.002, -0.003, 0.001, 0.002, -0.002), strict=True)]
    stretched = [0.5 * 0.3 * math.log(h + 0.3) for h in levels]

    found = find_rate_from_readings(TIMES, levels, PIT)

    assert found.rate_ms == pytest.approx(-np.polyfit(TIMES, stretched, 1)[0], rel=1e-9)
    assert abs(found.rate_ms - 2e-5) < 3 * found.rate_sd_ms


def test_states_the_spread_that_many_trials_show():
    # Made noise of 3 mm on each level, the same each time: standard deviation of 4000 fits.
    true = np.array([find_level_after(t, 1.0, 1e-5, PIT) for t in TIMES])
    noise = np.random.default_rng(7).normal(0.0, 0.003, (4000, len(TIMES)))
    stretched = 0.5 * 0.3 * np.log(true + noise + 0.3)

    spread = np.polyfit(TIMES, stretched.T, 1)[0].std()

    assert find_rate_from_readings(TIMES, true, PIT).rate_sd_ms == pytest.approx(spread, rel=0.05)


def test_leaves_out_what_was_read_after_the_pit_was_dry():
    with_dry = find_rate_from_readings((0, 600, 900, 1200), (0.3, 0.1, 0.0, 0.0), PIT)

    assert with_dry.levels_used == 3
    assert with_dry == find_rate_from_readings((0, 600, 900), (0.3, 0.1, 0.0), PIT)


def test_refuses_one_reading():
    with pytest.raises(OneReadingIsNotEnough, match="at least twice"):
        find_rate_from_readings((0.0,), (1.0,), PIT)


def test_refuses_a_level_without_its_time():
    with pytest.raises(OneReadingIsNotEnough, match="needs its time"):
        find_rate_from_readings((0.0, 60.0), (1.0, 0.9, 0.8), PIT)


@pytest.mark.parametrize(
    "times",
    [(0.0, 900.0, 600.0), (0.0, 600.0, 600.0), (0.0, 600.0, math.nan), (0.0, 600.0, math.inf)],
)
def test_refuses_times_that_do_not_rise_and_names_the_reading(times):
    with pytest.raises(TimesDoNotRise, match="Reading 3 is not later than reading 2"):
        find_rate_from_readings(times, (1.0, 0.9, 0.8), PIT)


def test_refuses_a_level_that_rises_and_names_the_two_readings():
    with pytest.raises(LevelRises, match="between readings 2 and 3"):
        find_rate_from_readings((0.0, 600.0, 1200.0), (1.0, 0.8, 0.9), PIT)


def test_lets_a_rise_within_the_error_of_a_reading_pass():
    found = find_rate_from_readings((0.0, 600.0, 1200.0), (1.0, 0.8, 0.803), PIT)

    assert found.levels_used == 3


def test_refuses_a_level_that_stands_still():
    with pytest.raises(LevelDoesNotFall, match="wait longer"):
        find_rate_from_readings((0.0, 600.0), (0.7, 0.7), PIT)


def test_refuses_a_level_that_wavers_without_falling():
    # The last level is lower than the first, yet the line through all four rises.
    with pytest.raises(LevelDoesNotFall):
        find_rate_from_readings((0.0, 1.0, 2.0, 3.0), (0.700, 0.694, 0.702, 0.6999), PIT)


def test_refuses_a_reading_without_an_error():
    with pytest.raises(LevelIsImpossible, match="error of a level"):
        find_rate_from_readings((0.0, 600.0), (1.0, 0.5), PIT, level_error_m=0.0)


@pytest.mark.parametrize("level", [-0.01, math.nan, math.inf])
def test_refuses_a_level_that_cannot_be(level):
    with pytest.raises(LevelIsImpossible, match="No reading is not the same as dry"):
        find_rate_from_readings((0.0, 600.0), (1.0, level), PIT)


def test_a_pit_dry_from_the_start_has_no_rate():
    with pytest.raises(LevelDoesNotFall, match="did not fall"):
        find_rate_from_readings((0.0, 600.0), (0.0, 0.0), PIT)


def test_a_pit_dry_at_the_second_reading_uses_two():
    found = find_rate_from_readings((0.0, 600.0, 1200.0), (0.4, 0.0, 0.0), PIT)

    assert found.levels_used == 2
    assert found.rate_ms == pytest.approx(find_rate_from_two_readings(0.4, 0.0, 600.0, PIT))
