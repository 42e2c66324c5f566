"""Storms in a record of rain. Judge: the storms the publisher of a real record found in it."""

import math

import pytest

from drainservice.engine.soakage.storms import RainRecord, RainRecordIsImpossible, find_storms
from tests.engine.soakage.drawdown_record import INCH_M, read_published_storms, read_rain


def test_finds_the_seventeen_storms_of_the_real_record():
    found = find_storms(read_rain())

    assert found == [
        type(storm)(storm.starts_s, storm.ends_s, pytest.approx(storm.depth_m))
        for storm in read_published_storms()
    ]


def test_real_record_holds_the_rain_its_readme_states():
    rain = read_rain()

    assert len(rain.depths_m) == 620
    assert sum(rain.depths_m) / INCH_M == pytest.approx(9.353, abs=0.0005)
    assert max(s.depth_m for s in find_storms(rain)) / INCH_M == pytest.approx(2.000, abs=0.0005)


def test_parts_storms_by_the_dry_gap():
    rain = RainRecord((0.0, 3600.0, 26000.0), (0.01, 0.01, 0.02), 3600.0)

    # The second interval ends at 7200 s; 26000 - 7200 = 18800 s of dry weather.
    assert len(find_storms(rain, dry_gap_s=18800.0)) == 2
    assert len(find_storms(rain, dry_gap_s=18801.0)) == 1


def test_leaves_out_a_sprinkle_and_rows_without_rain():
    rain = RainRecord((0.0, 3600.0, 90000.0, 93600.0), (0.0, 0.01, 0.001, 0.0))

    storms = find_storms(rain)

    assert [(s.starts_s, s.ends_s, s.depth_m) for s in storms] == [(3600.0, 3600.0, 0.01)]


@pytest.mark.parametrize(
    ("times", "depths", "words"),
    [
        ((0.0, 1.0), (0.1,), "needs its time"),
        ((0.0, 1.0), (0.1, -0.1), "negative or missing"),
        ((0.0, 1.0), (0.1, math.nan), "negative or missing"),
        ((1.0, 1.0), (0.1, 0.1), "row 2 is not later than row 1"),
    ],
)
def test_refuses_a_record_that_cannot_be(times, depths, words):
    with pytest.raises(RainRecordIsImpossible, match=words):
        RainRecord(times, depths)
