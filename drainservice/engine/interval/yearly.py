"""Days that come back every year: wet seasons, frosts, days by which something is asked."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

DAY = timedelta(days=1)
LEAP_YEAR = 2000


class NoSuchDay(ValueError):
    """A month and day that no year has."""


class NoDayWithoutFrost(ValueError):
    """The hard frosts leave no day of the year for a look."""


@dataclass(frozen=True, slots=True)
class MonthDay:
    """A day of every year; 29 February counts as 28 February in other years."""

    month: int
    day: int

    def __post_init__(self) -> None:
        try:
            date(LEAP_YEAR, self.month, self.day)
        except ValueError as why:
            raise NoSuchDay(
                f"Month {self.month}, day {self.day} is no day of the year; give a month from 1 "
                "to 12 and a day it has."
            ) from why

    def in_year(self, year: int) -> date:
        """That day in one year."""
        is_leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
        leap_day = (self.month, self.day) == (2, 29)
        return date(year, self.month, 28 if leap_day and not is_leap else self.day)


@dataclass(frozen=True, slots=True)
class Span:
    """A spell of every year, both ends included; it may run over new year."""

    starts: MonthDay
    ends: MonthDay

    def from_year(self, year: int) -> tuple[date, date]:
        """First and last day of the spell that begins in a year."""
        start, end = self.starts.in_year(year), self.ends.in_year(year)
        return start, end if end >= start else self.ends.in_year(year + 1)


def days_from(day: MonthDay, first: date) -> Iterator[date]:
    """That day in every year, from the first one on or after `first`."""
    year = first.year
    while True:
        on = day.in_year(year)
        if on >= first:
            yield on
        year += 1


def spells_after(spans: Sequence[Span], after: date, years: int = 12) -> list[tuple[date, date]]:
    """(first day, last day) of all spells that begin after a day, within `years`, in order."""
    spells = [s.from_year(after.year + i) for s in spans for i in range(years + 1)]
    return sorted(spell for spell in spells if spell[0] > after)


def spell_holding(spans: Sequence[Span], day: date) -> tuple[date, date] | None:
    """The spell a day lies in, None where it lies in none."""
    around = (s.from_year(day.year - back) for s in spans for back in (1, 0))
    return next((spell for spell in around if spell[0] <= day <= spell[1]), None)


def outside_frost(day: date, frosts: Sequence[Span], not_before: date) -> date:
    """The day itself; in hard frost the day before it begins, or, where that is sooner than
    `not_before`, the first day after it. Raises NoDayWithoutFrost."""
    spell = spell_holding(frosts, day)
    if spell is None:
        return day
    before = spell[0] - DAY
    if before >= not_before and spell_holding(frosts, before) is None:
        return before
    return first_after_frost(day, frosts)


def first_after_frost(day: date, frosts: Sequence[Span]) -> date:
    """The day itself, or the first day after the frost it lies in."""
    moved = day
    while (spell := spell_holding(frosts, moved)) is not None:
        moved = spell[1] + DAY
        if (moved - day).days > 366:
            raise NoDayWithoutFrost(
                "The hard frosts given leave no day of the year; correct their first or last day."
            )
    return moved
