"""Days that come back every year."""

from datetime import date

import pytest

from drainservice.engine.interval.yearly import (
    MonthDay,
    NoDayWithoutFrost,
    NoSuchDay,
    Span,
    first_after_frost,
    outside_frost,
    spell_holding,
    spells_after,
)

WINTER = Span(MonthDay(12, 15), MonthDay(3, 10))
SUMMER = Span(MonthDay(6, 1), MonthDay(9, 30))


def test_leap_day_is_the_28th_in_other_years():
    assert MonthDay(2, 29).in_year(2028) == date(2028, 2, 29)
    assert MonthDay(2, 29).in_year(2027) == date(2027, 2, 28)
    assert MonthDay(2, 29).in_year(2100) == date(2100, 2, 28)


def test_winter_runs_over_new_year():
    winter = (date(2026, 12, 15), date(2027, 3, 10))

    assert spell_holding([WINTER], date(2027, 1, 5)) == winter
    assert spell_holding([WINTER], date(2026, 12, 15)) == winter
    assert spell_holding([WINTER], date(2027, 3, 11)) is None


def test_seasons_come_in_order_and_begin_after_the_day():
    got = spells_after([WINTER, SUMMER], date(2026, 6, 1), 1)

    assert [start for start, _ in got] == [
        date(2026, 12, 15),
        date(2027, 6, 1),
        date(2027, 12, 15),
    ]


def test_day_in_frost_moves_before_it_or_behind_it():
    in_frost = date(2027, 1, 20)

    assert outside_frost(in_frost, [WINTER], date(2026, 11, 1)) == date(2026, 12, 14)
    assert outside_frost(in_frost, [WINTER], date(2026, 12, 20)) == date(2027, 3, 11)
    assert outside_frost(date(2027, 4, 1), [WINTER], date(2026, 1, 1)) == date(2027, 4, 1)


def test_impossible_days_are_refused_in_words():
    with pytest.raises(NoSuchDay, match="Month 2, day 30 is no day of the year"):
        MonthDay(2, 30)
    with pytest.raises(NoDayWithoutFrost, match="leave no day"):
        first_after_frost(date(2027, 1, 1), [Span(MonthDay(1, 1), MonthDay(12, 31))])
