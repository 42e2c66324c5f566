"""Verdicts against published drain-time limits."""

import pytest

from drainservice.engine.soakage.drain_time import (
    END_OF_RAIN_TO_EMPTY,
    FULL_TO_EMPTY,
    PEAK_TO_EMPTY,
    DefinitionsDiffer,
    DrainTime,
)
from drainservice.engine.soakage.limits import (
    PUBLISHED_LIMITS,
    FieldRateIsImpossible,
    LimitIsUnknown,
    find_design_rate,
    find_limit,
    judge_drain_time,
)
from drainservice.engine.units import UnitSystem
from tests.engine.cases import case, convert

HOUR_S = 3600.0
IN_H_MS = convert(1.0, "in/h", "m/s")


def test_F03_verdict_against_published_limits():
    c = case("F03")
    time_s = c.raw("drain_time") * HOUR_S
    field_ms = convert(c.raw("field_rate"), "in/h", "m/s")
    new_jersey, georgia = find_limit("new_jersey"), find_limit("georgia_coast")

    of_72 = judge_drain_time(DrainTime(time_s, FULL_TO_EMPTY), new_jersey)
    of_24 = judge_drain_time(DrainTime(time_s, END_OF_RAIN_TO_EMPTY), georgia)
    design = find_design_rate(field_ms, new_jersey)

    c.assert_holds("ok_72h", of_72.is_within)
    c.assert_holds("ok_24h", of_24.is_within)
    c.assert_holds("design_rate_NJ", design.rate_ms, "m/s")
    c.assert_holds("rate_allowed_NJ", design.is_allowed)


def test_meets_the_limit_at_the_limit_itself():
    limit = find_limit("massachusetts")

    assert judge_drain_time(DrainTime(72 * HOUR_S, FULL_TO_EMPTY), limit).is_within
    assert not judge_drain_time(DrainTime(72 * HOUR_S + 1, FULL_TO_EMPTY), limit).is_within


def test_refuses_to_judge_a_time_that_counts_otherwise():
    poured = DrainTime(20 * HOUR_S, FULL_TO_EMPTY)

    with pytest.raises(DefinitionsDiffer, match="cannot be compared"):
        judge_drain_time(poured, find_limit("georgia_coast"))


def test_judges_a_restated_time_and_keeps_the_assumption_beside_it():
    poured = DrainTime(20 * HOUR_S, FULL_TO_EMPTY)
    restated = poured.restate(END_OF_RAIN_TO_EMPTY, "filled as a full storm would")

    verdict = judge_drain_time(restated, find_limit("georgia_coast"))

    assert verdict.is_within
    assert "filled as a full storm would" in verdict.describe(UnitSystem.TRADE)


def test_says_so_where_the_source_does_not_state_how_its_limit_counts():
    verdict = judge_drain_time(DrainTime(50 * HOUR_S, PEAK_TO_EMPTY), find_limit("maryland"))

    assert not verdict.is_within
    assert "does not state" in verdict.describe(UnitSystem.TRADE)
    assert "from the highest level until empty" in verdict.describe(UnitSystem.TRADE)


@pytest.mark.parametrize(
    ("field_in_h", "is_allowed"), [(0.99, False), (1.0, True), (20.0, True), (20.1, False)]
)
def test_new_jersey_bounds_half_the_tested_rate(field_in_h, is_allowed):
    # New Jersey BMP manual ch. 9.3: half of 1.0 in/h is the lowest rate, half of 20 the highest.
    design = find_design_rate(field_in_h * IN_H_MS, find_limit("new_jersey"))

    assert design.is_allowed is is_allowed


def test_takes_any_rate_where_the_source_names_none():
    assert find_design_rate(0.01 * IN_H_MS, find_limit("minnesota")).is_allowed


def test_every_limit_has_a_code_of_its_own_a_source_and_a_mark():
    codes = [limit.code for limit in PUBLISHED_LIMITS]

    assert len(set(codes)) == len(codes)
    assert all(limit.source for limit in PUBLISHED_LIMITS)
    assert {limit.mark for limit in PUBLISHED_LIMITS} == {"read", "from memory"}


def test_limits_lie_between_one_and_four_days():
    # 24 h is the shortest and 96 h the longest of the sources.
    hours = sorted({limit.limit_s / HOUR_S for limit in PUBLISHED_LIMITS})

    assert hours == [24.0, 48.0, 72.0, 96.0]


def test_unknown_limit_names_the_known_ones():
    with pytest.raises(LimitIsUnknown, match="new_jersey"):
        find_limit("atlantis")


@pytest.mark.parametrize("rate", [0.0, -1.0, float("nan")])
def test_refuses_a_tested_rate_that_cannot_be(rate):
    with pytest.raises(FieldRateIsImpossible):
        find_design_rate(rate, find_limit("new_jersey"))
