"""How often the pump is needed and a dead one does harm, from made-up and real rain."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from drainservice.engine.rainfall.capacity import critical_rain_m
from drainservice.engine.rainfall.daily import part_of
from drainservice.engine.rainfall.demand import (
    BLOCK_S,
    TooFewRainDays,
    demand_and_harm,
    demand_by_critical_rain,
    demand_on_pump,
)
from drainservice.engine.rainfall.ghcn import read_ghcn_daily
from drainservice.engine.rainfall.pit import PitImpossible, straight_pit
from drainservice.engine.rainfall.storms import days_over
from drainservice.engine.units import INCH_M

RAIN = Path(__file__).parents[2] / "data" / "rain"
# 1 m2, 1 m, soil 1e-5 m/s: empties a metre in 100000 s = 28 h. Roof 100 m2 at C = 1.
PIT = straight_pit(1.0, 1.0, seepage_ms=1e-5)


def made_up_rain(years, wet):
    """Every day of so many years from 2001, dry but for the (month, day): depth given."""
    day, end, rain = date(2001, 1, 1), date(2001 + years, 1, 1), []
    while day < end:
        rain.append((day, wet.get((day.month, day.day), 0.0)))
        day += timedelta(days=1)
    return rain


def test_counts_the_storms_that_reach_the_level():
    # A block of 5 h soaks 1e-5 x 18000 = 0.18 m3; to reach 0.6 m: 0.78 m3 off 100 m2 = 7.8 mm.
    rain = made_up_rain(10, {(3, 10): 0.0079, (6, 10): 0.0077, (9, 10): 0.0200})

    rate = demand_on_pump(PIT, 100.0, 1.0, rain, level_m=0.6)

    # Two of the three, each year: March and September.
    assert rate.storms_per_year == pytest.approx(2.0, rel=1e-3)
    assert rate.month_weights[2] == pytest.approx(0.5)
    assert rate.month_weights[8] == pytest.approx(0.5)
    assert sum(rate.per_month) == pytest.approx(rate.storms_per_year)
    assert rate.is_short is True


def test_only_storms_that_do_harm_count_for_harm():
    rain = made_up_rain(10, {(3, 10): 0.0079, (9, 10): 0.0200})

    demand, harm = demand_and_harm(PIT, 100.0, 1.0, rain, on_level_m=0.6, harm_level_m=1.0)

    assert demand.storms_per_year == pytest.approx(2.0, rel=1e-3)
    # Harm at the rim: 1.0 + 0.18 = 1.18 m3 = 11.8 mm; only September.
    assert harm.storms_per_year == pytest.approx(1.0, rel=1e-3)
    assert [storm.month for storm in harm.storms] == [9] * 10


def test_rain_on_the_day_after_meets_a_pit_still_half_full():
    # 7 mm: 0.7 - 0.18 = 0.52 m; by the next block 19 h later 0.684 m would have soaked: dry.
    # Soil ten times slower: 0.7 - 0.018 = 0.682, less 0.068: 0.614, and 7 mm more: 1.3 m.
    rain = made_up_rain(2, {(5, 1): 0.007, (5, 2): 0.007})

    quick = demand_on_pump(PIT, 100.0, 1.0, rain, level_m=0.9)
    slow = demand_on_pump(straight_pit(1.0, 1.0, 1e-6), 100.0, 1.0, rain, level_m=0.9)

    assert quick.storms_per_year == 0.0
    assert slow.storms_per_year == pytest.approx(1.0, rel=1e-2)


def test_days_in_a_row_are_one_storm():
    rain = made_up_rain(2, {(5, 1): 0.03, (5, 2): 0.03, (5, 4): 0.03})

    rate = demand_on_pump(PIT, 100.0, 1.0, rain, level_m=0.6)

    assert rate.days_per_year == pytest.approx(3.0, rel=1e-2)
    assert rate.storms_per_year == pytest.approx(2.0, rel=1e-2)


def test_months_with_days_off_the_record_are_not_taken_as_dry():
    # Half of all Mays are missing; the two storms seen in two Mays still stand for one a year.
    rain = made_up_rain(4, {(5, 20): 0.03})
    gaps = [(day, depth) for day, depth in rain if not (day.month == 5 and day.year > 2002)]

    rate = demand_on_pump(PIT, 100.0, 1.0, gaps, level_m=0.6)

    assert rate.storms_per_year == pytest.approx(1.0, rel=1e-3)


def test_a_dry_place_never_needs_its_pump():
    rate = demand_on_pump(PIT, 100.0, 1.0, made_up_rain(10, {}), level_m=0.6)

    assert rate.storms_per_year == 0.0
    assert rate.month_weights == (0.0,) * 12


def test_quick_soil_gives_the_days_over_the_critical_rain_of_the_fallback():
    # Soil that empties the pit between two days: both ways must count the same days. The level
    # is chosen so that no tenth of a mm meets it exactly ("reaches" and "more than" differ there).
    record = read_ghcn_daily((RAIN / "USW00003870.dly").read_bytes())
    pit = straight_pit(1.0, 1.0, seepage_ms=1.6e-5)
    critical_m = critical_rain_m(pit, 100.0, 0.9, 0.901, BLOCK_S)

    by_pit = demand_on_pump(pit, 100.0, 0.9, record.pairs, level_m=0.901)
    by_days = demand_by_critical_rain(record.pairs, critical_m)

    assert by_pit.storms == by_days.storms
    assert by_pit.storms_per_year > 10


# NOAA GHCN-Daily, whole years, days strictly over a depth, a year: counted here by a plain loop.
@pytest.mark.parametrize("station", ["USW00003870", "USW00014819", "USW00023183", "USW00023234"])
def test_the_fallback_counts_days_over_a_depth(station):
    record = read_ghcn_daily((RAIN / f"{station}.dly").read_bytes())
    whole = part_of(record, date(2000, 1, 1), date(2009, 12, 31))

    rate = demand_by_critical_rain(whole.pairs, 0.44 * INCH_M)

    days = sum(1 for tenths in whole.published if tenths > 111.76)
    assert days == len(days_over(whole.pairs, 0.44 * INCH_M))
    # Missing days are made up for month by month, so equal to a few parts in a thousand.
    assert rate.days_per_year == pytest.approx(days / 10.0, rel=0.01)
    assert sum(rate.month_weights) == pytest.approx(1.0)


def test_the_season_of_san_francisco_is_its_winter():
    record = read_ghcn_daily((RAIN / "USW00023234.dly").read_bytes())

    rate = demand_on_pump(PIT, 93.0, 0.9, record.pairs, level_m=0.901)

    # November to March holds most of its rain: 423 of 496 mm in the file's own monthly means.
    winter = sum(rate.month_weights[month - 1] for month in (11, 12, 1, 2, 3))
    assert winter > 0.8
    assert rate.is_short is False


def test_refuses_a_record_that_misses_a_month():
    rain = [(day, depth) for day, depth in made_up_rain(3, {}) if day.month != 7]

    with pytest.raises(TooFewRainDays, match="ten years are wanted"):
        demand_on_pump(PIT, 100.0, 1.0, rain, level_m=0.6)


def test_refuses_a_system_without_a_roof():
    with pytest.raises(PitImpossible, match="roof area above zero"):
        demand_on_pump(PIT, 0.0, 1.0, made_up_rain(1, {}), level_m=0.5)


def test_refuses_a_level_above_the_rim():
    with pytest.raises(PitImpossible):
        demand_on_pump(PIT, 100.0, 1.0, made_up_rain(1, {}), level_m=1.5)
