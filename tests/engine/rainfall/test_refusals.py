"""What cannot be is refused by name, in words that say what to do."""

from datetime import date

import pytest

from drainservice.engine.rainfall.atlas14 import FrequencyTableDamaged, read_atlas14
from drainservice.engine.rainfall.daily import NoFullYear, monthly_means, wettest_day
from drainservice.engine.rainfall.ghcn import read_ghcn_daily
from drainservice.engine.rainfall.pit import Band, Pit, PitImpossible
from drainservice.engine.rainfall.routing import (
    StorageTableUnusable,
    route_level_pool,
    vertical_wall_table,
)
from drainservice.engine.rainfall.runoff import RunoffInputImpossible, weighted_curve_number

ONE_DAY = "US1ZZEX0002,20200101,PRCP,14,,,W,\n"
ALL_MISSING = "US1ZZEX0002,20200101,PRCP,-9999,,,W,\n"


def test_a_station_of_one_day_has_no_climate():
    record = read_ghcn_daily(ONE_DAY)

    assert record.days == (date(2020, 1, 1),)
    with pytest.raises(NoFullYear, match="Take a station with a longer record"):
        monthly_means(record)


def test_a_station_without_a_usable_day_has_no_wettest():
    with pytest.raises(NoFullYear, match="US1ZZEX0002 has no usable day"):
        wettest_day(read_ghcn_daily(ALL_MISSING))


def test_soil_that_gives_water_is_refused():
    with pytest.raises(PitImpossible, match="not below zero"):
        Pit((Band(1.0, 1.0),), seepage_ms=-1e-6)


def test_a_step_of_nothing_cannot_be_routed():
    table = vertical_wall_table(100.0, (0.0, 1.0), (0.0, 2.0))

    with pytest.raises(StorageTableUnusable, match="longer than nothing"):
        route_level_pool(table, [0.0, 1.0], 0.0)


def test_curve_numbers_need_their_areas():
    with pytest.raises(RunoffInputImpossible, match="as many curve numbers as areas"):
        weighted_curve_number([1.0], [70.0, 80.0])
    with pytest.raises(RunoffInputImpossible, match="larger than nothing"):
        weighted_curve_number([0.0], [70.0])


def test_bounds_without_their_estimates_are_refused():
    text = (
        "Point precipitation frequency estimates (inches)\n"
        "PRECIPITATION FREQUENCY ESTIMATES AT UPPER BOUND\n"
        "by duration for ARI (years):, 1,2\n24-hr:, 2.5,3.0\n"
    )

    with pytest.raises(FrequencyTableDamaged, match="estimates is missing"):
        read_atlas14(text)
