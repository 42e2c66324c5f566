"""Sediment: the cleaning limit and the day it is met."""

import math

import pytest

from drainservice.engine.fouling.drain_prior import Answer
from drainservice.engine.fouling.robust_line import TooFewReadings
from drainservice.engine.fouling.sediment import (
    Feeds,
    LimitBy,
    SedimentReading,
    SedimentReadingIsImpossible,
    Sump,
    SumpIsImpossible,
    SumpWithPump,
    find_robust_sediment_trend,
    find_sediment_limit,
    find_sediment_prior,
    find_sediment_trend,
    needs_cleaning,
)
from drainservice.engine.fouling.sediment_rules import (
    CALIFORNIA,
    HALF_FULL,
    MICHIGAN,
    SEDIMENT_RULES,
    WASHINGTON,
    RuleIsImpossible,
    SedimentRule,
)
from tests.engine.cases import case

INCH_M = 0.0254


def take_readings(inches):
    return [SedimentReading(float(i), depth * INCH_M) for i, depth in enumerate(inches)]


@pytest.mark.parametrize("row", case("F05").raw("cases"), ids=str)
def test_F05_cleaning_rule(row):
    sump_in, sediment_in = row

    verdict = needs_cleaning(sediment_in * INCH_M, Sump(sump_in * INCH_M))

    case("F05").assert_holds(f"clean_{sump_in:g}_{sediment_in:g}", verdict)


def test_C15_sediment_trend_to_the_cleaning_limit():
    c = case("C15")
    readings = [
        SedimentReading(years, depth * INCH_M)
        for years, depth in zip(c.raw("years"), c.raw("depth"), strict=True)
    ]

    limit = find_sediment_limit(Sump(c.raw("sump_depth") * INCH_M))
    trend = find_robust_sediment_trend(readings, limit.depth_m)

    c.assert_holds("limit", limit.depth_m, "m")
    c.assert_holds("slope", trend.line.slope / INCH_M, "in/a")
    c.assert_holds("t_limit", trend.crossing_years, "a")
    assert trend.crossing_early_years <= trend.crossing_years


@pytest.mark.parametrize(
    ("sump", "inches", "rule"),
    [
        # 0.6 * 24 = 14.4 against 24 - 6 = 18
        (Sump(24 * INCH_M), 14.4, LimitBy.SHARE_OF_SUMP),
        # 0.6 * 12 = 7.2 against 6
        (Sump(12 * INCH_M), 6.0, LimitBy.CLEARANCE_TO_INVERT),
        # an intake at 3 in leaves 2
        (SumpWithPump(12 * INCH_M, 3 * INCH_M), 2.0, LimitBy.PUMP_INTAKE),
        (SumpWithPump(12 * INCH_M, 9 * INCH_M), 6.0, LimitBy.CLEARANCE_TO_INVERT),
        # shallower than the clearance: nothing may lie there
        (Sump(5 * INCH_M), 0.0, LimitBy.CLEARANCE_TO_INVERT),
        (SumpWithPump(12 * INCH_M, 0.5 * INCH_M), 0.0, LimitBy.PUMP_INTAKE),
    ],
)
def test_lowest_rule_sets_the_limit(sump, inches, rule):
    limit = find_sediment_limit(sump)

    assert limit.depth_m / INCH_M == pytest.approx(inches)
    assert limit.limit_by is rule


def test_at_the_limit_itself_nothing_needs_cleaning_yet():
    # The standard says "exceeds": 60 % of 15 in is 9 in, and 15 - 9 leaves the 6 in.
    sump = Sump(15 * INCH_M)

    assert not needs_cleaning(9.0 * INCH_M, sump)
    assert needs_cleaning(9.01 * INCH_M, sump)


def test_a_clean_sump_never_needs_cleaning():
    assert not needs_cleaning(0.0, Sump(4 * INCH_M))
    assert needs_cleaning(0.1 * INCH_M, Sump(4 * INCH_M))


@pytest.mark.parametrize(
    ("feeds", "on_stone", "slope", "sd"),
    [
        (Feeds.ROOF_ONLY, Answer.NO, 0.5, 0.4),
        (Feeds.YARD_INLETS, Answer.NO, 1.0, 0.7),
        (Feeds.ROOF_ONLY, Answer.YES, 0.75, 0.6),
        # mean of 0.5 and 1.0; variance (0.16 + 0.49) / 2 + 0.25^2 = 0.3875
        (Feeds.UNKNOWN, Answer.NO, 0.75, 0.6225),
        # mean of 0.5 and 0.75; variance (0.16 + 0.36) / 2 + 0.125^2 = 0.275625
        (Feeds.ROOF_ONLY, Answer.UNKNOWN, 0.625, 0.525),
    ],
)
def test_prior_goes_by_what_runs_in(feeds, on_stone, slope, sd):
    prior = find_sediment_prior(feeds, on_stone)

    assert prior.slope_mean / INCH_M == pytest.approx(slope)
    assert prior.slope_sd / INCH_M == pytest.approx(sd, abs=5e-5)


def test_without_readings_the_even_chance_is_limit_over_slope():
    # 6 in at 0.5 in a year
    trend = find_sediment_trend([], find_sediment_prior(Feeds.ROOF_ONLY, Answer.NO), 6 * INCH_M)

    assert trend.crossing.t50_years == pytest.approx(12.0)
    assert trend.crossing.t10_years < 12.0 < trend.crossing.t90_years


def test_readings_pull_the_line_from_the_prior_to_themselves():
    prior = find_sediment_prior(Feeds.ROOF_ONLY, Answer.NO)

    trend = find_sediment_trend(take_readings([0.0, 1.0, 2.0, 3.0]), prior, 6 * INCH_M)

    # One inch a year measured, half an inch expected; four readings outweigh the prior.
    assert 0.9 < trend.line.slope / INCH_M < 1.0
    assert trend.crossing.t50_years == pytest.approx(6.1, abs=0.2)


def test_robust_line_waits_for_the_fourth_reading():
    with pytest.raises(TooFewReadings, match="needs 4 sediment readings and has 3"):
        find_robust_sediment_trend(take_readings([0.0, 1.0, 2.0]), 6 * INCH_M)


@pytest.mark.parametrize("depth_m", [-0.01, math.nan])
def test_refuses_a_depth_that_cannot_be_and_tells_it_from_zero(depth_m):
    with pytest.raises(SedimentReadingIsImpossible, match="instead of writing zero"):
        SedimentReading(1.0, depth_m)


def test_refuses_a_reading_without_its_day():
    with pytest.raises(SedimentReadingIsImpossible, match="day"):
        SedimentReading(math.nan, 0.1)


def test_refuses_readings_out_of_order_and_names_them():
    readings = [SedimentReading(1.0, 0.01), SedimentReading(1.0, 0.02)]

    with pytest.raises(SedimentReadingIsImpossible, match="reading 2 is not later than reading 1"):
        find_sediment_trend(readings, find_sediment_prior(Feeds.ROOF_ONLY, Answer.NO), 0.1)


@pytest.mark.parametrize("make", [lambda: Sump(0.0), lambda: SumpWithPump(0.3, -0.1)])
def test_refuses_a_sump_that_cannot_be(make):
    with pytest.raises(SumpIsImpossible):
        make()


@pytest.mark.parametrize(
    ("rule", "sump_in", "limit_in", "limit_by"),
    [
        # Sums by hand: 60 % of 24 = 14.4 and 24 - 6 = 18; half of 24; 40 % of 24; 24 - 12 = 12.
        (WASHINGTON, 24, 14.4, LimitBy.SHARE_OF_SUMP),
        (HALF_FULL, 24, 12.0, LimitBy.SHARE_OF_SUMP),
        (CALIFORNIA, 24, 9.6, LimitBy.SHARE_OF_SUMP),
        (MICHIGAN, 20, 8.0, LimitBy.CLEARANCE_TO_INVERT),
        (MICHIGAN, 36, 18.0, LimitBy.SHARE_OF_SUMP),
    ],
)
def test_each_published_rule_has_its_own_limit(rule, sump_in, limit_in, limit_by):
    limit = find_sediment_limit(Sump(sump_in * INCH_M), rule)

    assert limit.depth_m / INCH_M == pytest.approx(limit_in)
    assert limit.limit_by is limit_by
    assert not needs_cleaning(limit_in * INCH_M, Sump(sump_in * INCH_M), rule)
    assert needs_cleaning((limit_in + 0.1) * INCH_M, Sump(sump_in * INCH_M), rule)


@pytest.mark.parametrize(("share", "clearance_m"), [(0.0, 0.0), (1.1, 0.0), (0.5, -0.1)])
def test_a_rule_that_cannot_be_is_refused(share, clearance_m):
    with pytest.raises(RuleIsImpossible, match=r"enter 60 % as 0\.60"):
        SedimentRule("mine", share, clearance_m, "the firm's own")


def test_every_rule_names_its_source():
    assert len({rule.name for rule in SEDIMENT_RULES}) == len(SEDIMENT_RULES) == 4
    assert all(rule.source for rule in SEDIMENT_RULES)
