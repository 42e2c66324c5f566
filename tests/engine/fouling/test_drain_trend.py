"""Trend of the drain time. Judges: the reference cases and scipy.stats.theilslopes."""

import math

import pytest
from scipy.stats import theilslopes

from drainservice.engine.fouling.bayesian_line import LinePrior
from drainservice.engine.fouling.drain_prior import CLEAN_BUILD, find_drain_prior
from drainservice.engine.fouling.drain_trend import (
    DefinitionsAreMixed,
    DrainLimit,
    DrainReading,
    DrainReadingIsImpossible,
    FoundDry,
    LimitIsImpossible,
    NotRead,
    find_drain_trend,
    find_robust_drain_trend,
    find_straight_crossing,
)
from drainservice.engine.fouling.robust_line import TooFewReadings
from drainservice.engine.soakage.drain_time import END_OF_RAIN_TO_EMPTY, FULL_TO_EMPTY
from tests.engine.cases import case

HOUR_S = 3600.0
COUNTS = "full>empty"
LIMIT = DrainLimit(72 * HOUR_S, COUNTS)
PRIOR = find_drain_prior(14 * HOUR_S, CLEAN_BUILD)


def take_readings(from_case):
    pairs = zip(from_case.raw("years"), from_case.raw("drain_time"), strict=True)
    return [DrainReading(years, hours * HOUR_S, True, COUNTS) for years, hours in pairs]


def test_C12_log_trend_reaches_72_hours():
    c = case("C12")

    trend = find_robust_drain_trend(take_readings(c), DrainLimit(c.raw("limit") * HOUR_S, COUNTS))

    assert trend.mann_kendall.s == 13
    c.assert_holds("slope", trend.line.slope, "1/a")
    c.assert_holds("slope_lo", trend.line.slope_low, "1/a")
    c.assert_holds("slope_hi", trend.line.slope_high, "1/a")
    c.assert_holds("t_cross", trend.crossing_years, "a")
    c.assert_holds("t_cross_early", trend.crossing_early_years, "a")


def test_C13_bayesian_line_through_six_readings():
    c = case("C13")
    start, start_sd = c.raw("prior_intercept")
    # The case counts in hours, the engine in seconds.
    prior = LinePrior(start + math.log(HOUR_S), start_sd, *c.raw("prior_slope"))
    readings = take_readings(c)[: c.raw("use_first")]
    assert {r.noise_sd_ln for r in readings} == {c.raw("noise_sd_ln")}

    trend = find_drain_trend(readings, prior, DrainLimit(c.raw("limit") * HOUR_S, COUNTS))

    c.assert_holds("slope", trend.line.slope, "1/a")
    c.assert_holds("slope_sd", trend.line.slope_sd, "1/a")
    c.assert_holds("t10", trend.crossing.t10_years, "a")
    c.assert_holds("t50", trend.crossing.t50_years, "a")


def test_goes_by_the_build_alone_before_the_first_reading():
    trend = find_drain_trend([], PRIOR, LIMIT)

    # ln(72/14) / 0.05 = 32.75 years at even odds
    assert trend.crossing.t50_years == pytest.approx(32.75, abs=0.01)
    assert trend.readings_used == 0


def test_a_reading_without_temperature_weighs_a_quarter():
    cold = [DrainReading(3.0, 30 * HOUR_S, False, COUNTS)] * 1
    four = [DrainReading(3.0 + 1e-9 * i, 30 * HOUR_S, False, COUNTS) for i in range(4)]
    one = [DrainReading(3.0, 30 * HOUR_S, True, COUNTS)]

    by_one = find_drain_trend(one, PRIOR, LIMIT).line

    # (0.30 / 0.15)^2 = 4
    assert find_drain_trend(four, PRIOR, LIMIT).line.slope == pytest.approx(by_one.slope)
    assert find_drain_trend(cold, PRIOR, LIMIT).line.slope < by_one.slope


def test_dry_and_not_read_are_told_apart_and_neither_bends_the_line():
    reading = DrainReading(1.0, 15 * HOUR_S, True, COUNTS)

    alone = find_drain_trend([reading], PRIOR, LIMIT)
    among = find_drain_trend([reading, FoundDry(2.0), FoundDry(3.0), NotRead(4.0)], PRIOR, LIMIT)

    assert among.line == alone.line
    assert (among.readings_used, among.found_dry, among.not_read) == (1, 2, 1)


def test_a_pit_that_never_slows_has_no_crossing_by_the_robust_line():
    steady = [DrainReading(float(i), 20 * HOUR_S, True, COUNTS) for i in range(5)]

    trend = find_robust_drain_trend(steady, LIMIT)

    assert trend.crossing_years == trend.crossing_early_years == math.inf


def test_robust_line_agrees_with_scipy():
    years, hours = (0.1, 1.2, 2.0, 3.1, 4.4), (11.0, 19.0, 14.0, 21.0, 24.0)
    readings = [
        DrainReading(t, h * HOUR_S, True, COUNTS) for t, h in zip(years, hours, strict=True)
    ]

    ours = find_robust_drain_trend(readings, LIMIT, confidence=0.80).line

    theirs = theilslopes([math.log(h * HOUR_S) for h in hours], years, alpha=0.80)
    assert (ours.slope, ours.slope_low, ours.slope_high) == pytest.approx(
        (theirs.slope, theirs.low_slope, theirs.high_slope)
    )


def test_robust_line_waits_for_the_fourth_reading():
    three = [DrainReading(float(i), (10.0 + i) * HOUR_S, True, COUNTS) for i in range(3)]

    with pytest.raises(TooFewReadings, match="needs 4 measured drain times and has 3"):
        find_robust_drain_trend([*three, FoundDry(4.0)], LIMIT)


def test_straight_line_at_its_limit_has_crossed():
    assert find_straight_crossing(5.0, 0.1, 5.0) == 0.0
    assert find_straight_crossing(4.0, 0.1, 5.0) == pytest.approx(10.0)


@pytest.mark.parametrize("time_s", [0.0, -1.0, math.nan, math.inf])
def test_refuses_a_drain_time_that_cannot_be(time_s):
    with pytest.raises(DrainReadingIsImpossible, match="found dry"):
        DrainReading(1.0, time_s, True, COUNTS)


def test_refuses_tests_out_of_order_and_names_them():
    readings = [DrainReading(t, HOUR_S, True, COUNTS) for t in (0.0, 2.0, 1.0)]

    with pytest.raises(DrainReadingIsImpossible, match="Drain test 3 is not later than test 2"):
        find_drain_trend(readings, PRIOR, LIMIT)


def test_refuses_a_reading_without_its_day():
    with pytest.raises(DrainReadingIsImpossible, match="day"):
        DrainReading(math.nan, HOUR_S, True, COUNTS)


@pytest.mark.parametrize("limit_s", [0.0, -1.0, math.nan])
def test_refuses_a_limit_that_cannot_be(limit_s):
    with pytest.raises(LimitIsImpossible):
        DrainLimit(limit_s, COUNTS)


@pytest.mark.parametrize(
    "find", [find_robust_drain_trend, lambda *a: find_drain_trend(a[0], PRIOR, a[1])]
)
def test_never_mixes_two_ways_of_counting(find):
    readings = [DrainReading(float(i), 20 * HOUR_S, True, COUNTS) for i in range(4)]
    readings.append(DrainReading(4.0, 20 * HOUR_S, True, END_OF_RAIN_TO_EMPTY.code))

    with pytest.raises(DefinitionsAreMixed, match="Drain test 5 counts 'end_of_rain>empty'"):
        find(readings, LIMIT)


def test_counts_are_written_as_the_definition_writes_itself():
    assert FULL_TO_EMPTY.code == COUNTS
