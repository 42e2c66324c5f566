"""Dates out of years, and the next look by half the time left."""

import math
from datetime import date

import pytest

from drainservice.engine.fouling.next_look import (
    CrossingDates,
    CrossingTimes,
    GovernedBy,
    LookIsImpossible,
    NextLook,
    count_years,
    find_crossing_dates,
    find_date,
    find_next_look,
)


def test_looks_after_half_of_what_is_left():
    # t10 at 5.8, last reading at 5.0: half of 0.8 later; and just short of the cap, half of 1.9
    assert find_next_look(5.8, 5.0) == NextLook(pytest.approx(5.4), GovernedBy.TREND)
    assert find_next_look(6.9, 5.0) == NextLook(pytest.approx(5.95), GovernedBy.TREND)


def test_never_waits_longer_than_the_cap():
    assert find_next_look(10.3, 5.0) == NextLook(6.0, GovernedBy.CAP)
    assert find_next_look(math.inf, 5.0) == NextLook(6.0, GovernedBy.CAP)


def test_looks_now_where_the_limit_was_met_before_the_last_reading():
    assert find_next_look(4.0, 5.0) == NextLook(5.0, GovernedBy.LIMIT_REACHED)


@pytest.mark.parametrize(
    ("t10", "last", "cap"), [(1.0, 0.0, 0.0), (math.nan, 0.0, 1.0), (1.0, math.inf, 1.0)]
)
def test_refuses_times_that_cannot_be(t10, last, cap):
    with pytest.raises(LookIsImpossible):
        find_next_look(t10, last, cap)


def test_counts_years_of_365_and_a_quarter_days():
    # 2020-05-12 to 2024-05-12 is 1461 days
    assert count_years(date(2020, 5, 12), date(2024, 5, 12)) == pytest.approx(4.0)


def test_days_and_years_go_there_and_back():
    assert find_date(date(2020, 5, 12), 4.0) == date(2024, 5, 12)


def test_names_no_day_beyond_a_century():
    assert find_date(date(2020, 5, 12), 100.1) is None
    assert find_date(date(2020, 5, 12), math.inf) is None


def test_refuses_a_missing_number_of_years():
    with pytest.raises(LookIsImpossible):
        find_date(date(2020, 5, 12), math.nan)


def test_crossing_dates_keep_never_as_none():
    dates = find_crossing_dates(date(2020, 1, 1), CrossingTimes(1.0, 4.0, math.inf))

    # 365.25 days after 1 January 2020 (a leap year) is 31 December.
    assert dates == CrossingDates(date(2020, 12, 31), date(2024, 1, 1), None)
