"""Thresholds that must be exceeded, windows that merge, spells."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from drainservice.engine.rainfall.ghcn import read_ghcn_daily
from drainservice.engine.rainfall.storms import (
    EPA_DRY_WELL,
    NORTH_CAROLINA_DETENTION,
    PENNSYLVANIA_DRY_WELL,
    RULES,
    days_over,
    is_storm,
    spells_of_rain,
    storms_over,
)
from drainservice.engine.units import INCH_M
from tests.engine.cases import case

RAIN = Path(__file__).parents[2] / "data" / "rain"
MAY = [date(2026, 5, day) for day in range(1, 32)]


def test_F01_storm_triggered_dry_well_inspection():
    given = case("F01")

    for rain_in in given.raw("storms_in"):
        triggers = is_storm(rain_in * INCH_M, EPA_DRY_WELL.threshold_m)
        given.assert_holds(f"trigger_{rain_in:.2f}", triggers)
    given.assert_holds("routine_visits_per_year", EPA_DRY_WELL.routine_visits_per_year, "1/a")


# 3 x 0.0254 is a hair below 0.0762 as a double: a plain comparison would raise a storm.
@pytest.mark.parametrize("tenths_of_mm", [127, 254, 762])
def test_rain_in_millimetres_that_is_just_the_inches_is_no_storm(tenths_of_mm):
    threshold_m = tenths_of_mm / 254 * INCH_M

    assert not is_storm(tenths_of_mm / 10000, threshold_m)
    assert is_storm((tenths_of_mm + 1) / 10000, threshold_m)


def test_each_rule_names_its_source():
    # EPA 402-F-13053 app. F: 0.5 in, four a year; Pennsylvania: 1 in; a North Carolina manual:
    # 3 in, monthly.
    assert [round(rule.threshold_m / INCH_M, 6) for rule in RULES] == [0.5, 1.0, 3.0]
    assert PENNSYLVANIA_DRY_WELL.routine_visits_per_year == 4
    assert NORTH_CAROLINA_DETENTION.routine_visits_per_year == 12
    assert all(rule.source for rule in RULES)


def test_wet_days_within_72_hours_make_one_storm():
    # 1, 3 and 5 May are each less than 72 h after the one before; 8 May is 72 h after the 5th.
    rain = list(zip(MAY, [0.03, 0, 0.02, 0, 0.02, 0, 0, 0.04], strict=False))

    storms = storms_over(rain, 0.5 * INCH_M)

    assert [(storm.first.day, storm.last.day) for storm in storms] == [(1, 5), (8, 8)]
    assert storms[0].deepest_m == 0.03
    assert storms[0].total_over_m == pytest.approx(0.07)


def test_without_a_window_every_day_over_is_its_own_storm():
    rain = list(zip(MAY, [0.03, 0.02, 0.02], strict=False))

    assert len(storms_over(rain, 0.5 * INCH_M, timedelta(0))) == 3


def test_storms_are_found_in_hourly_records_too():
    start = datetime(2026, 5, 1, tzinfo=UTC)
    rain = [(start + timedelta(hours=h), 0.02 if h in (3, 74, 160) else 0.0) for h in range(200)]

    storms = storms_over(rain, 0.5 * INCH_M)

    # 71 h apart: one storm; 86 h later: another.
    assert [storm.first for storm in storms] == [
        start + timedelta(hours=3),
        start + timedelta(hours=160),
    ]


def test_a_spell_is_rain_without_a_dry_day_between():
    rain = list(zip(MAY, [0.004, 0.009, 0, 0.002, 0, 0, 0.001], strict=False))

    spells = spells_of_rain(rain)

    assert [(s.begins_on.day, s.ends_on.day) for s in spells] == [(1, 2), (4, 4), (7, 7)]
    assert spells[0].total_m == pytest.approx(0.013)
    assert (spells[0].wettest_on.day, spells[0].wettest_m) == (2, 0.009)


def test_a_spell_may_bridge_one_dry_day_where_two_are_asked_for():
    rain = list(zip(MAY, [0.004, 0, 0.009], strict=False))

    assert len(spells_of_rain(rain, dry_days=2)) == 1


def test_two_soft_days_can_be_a_storm_as_a_spell():
    # 0.4 in on each of two days: 0.8 in together, over 0.5 in only as a spell.
    rain = list(zip(MAY, [0.4 * INCH_M, 0.4 * INCH_M], strict=False))

    assert days_over(rain, 0.5 * INCH_M) == ()
    assert is_storm(spells_of_rain(rain)[0].total_m, 0.5 * INCH_M)


def test_a_flagged_value_raises_no_storm():
    # NOAA GHCN-Daily, Greenville-Spartanburg: 90.7 mm on 1976-07-29 carries quality flag S.
    record = read_ghcn_daily((RAIN / "USW00003870.dly").read_bytes())

    over = days_over(record.pairs, 0.5 * INCH_M)

    assert date(1976, 7, 29) not in over
    assert len(over) == 1372


def test_storms_are_fewer_than_days_over():
    record = read_ghcn_daily((RAIN / "USW00003870.dly").read_bytes())

    storms = storms_over(record.pairs, 0.5 * INCH_M)

    assert 0 < len(storms) < 1372
    gaps = [b.first - a.last for a, b in pairwise(storms)]
    assert min(gaps) >= timedelta(hours=72)
