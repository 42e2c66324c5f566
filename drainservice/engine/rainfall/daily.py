"""A station's daily record: what was measured, what is missing, what was left out."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

FULL_YEAR_DAYS = 360


class NoFullYear(ValueError):
    """A record without a single year that is nearly complete."""


@dataclass(frozen=True, slots=True)
class DroppedValue:
    """A value left out because the publisher's quality control marks it."""

    on: date
    published: int
    flag: str


@dataclass(frozen=True, slots=True)
class DailyRecord:
    """One element of one station, day by day in order; only usable days are in `days`.

    published: whole numbers as printed, times unit_si in SI (PRCP: tenths of a mm, 0.0001 m).
    traces: days with rain too little to measure (published as 0). missing: real calendar days
    whose value is absent. dropped: left out for a quality flag. notes: what a person should
    know of the file, in sentences.
    """

    station: str
    element: str
    unit_si: float
    days: tuple[date, ...]
    published: tuple[int, ...]
    traces: tuple[date, ...]
    missing: int
    dropped: tuple[DroppedValue, ...]
    notes: tuple[str, ...]

    @property
    def values_si(self) -> tuple[float, ...]:
        """Values in SI: m for rain and snow, degrees Celsius for temperatures."""
        # Dividing by a whole number gives the double nearest the decimal: 254 -> 0.0254.
        parts = round(1.0 / self.unit_si)
        return tuple(number / parts for number in self.published)

    @property
    def pairs(self) -> tuple[tuple[date, float], ...]:
        """(day, value in SI) for every usable day."""
        return tuple(zip(self.days, self.values_si, strict=True))

    @property
    def total_si(self) -> float:
        """Sum of all usable days: whole numbers added, divided once."""
        return sum(self.published) / round(1.0 / self.unit_si)


def part_of(record: DailyRecord, first_on: date, last_on: date) -> DailyRecord:
    """The usable days from first_on to last_on, both included."""
    kept = [i for i, day in enumerate(record.days) if first_on <= day <= last_on]
    return DailyRecord(
        station=record.station,
        element=record.element,
        unit_si=record.unit_si,
        days=tuple(record.days[i] for i in kept),
        published=tuple(record.published[i] for i in kept),
        traces=tuple(day for day in record.traces if first_on <= day <= last_on),
        missing=(last_on - first_on).days + 1 - len(kept),
        dropped=tuple(d for d in record.dropped if first_on <= d.on <= last_on),
        notes=record.notes,
    )


def full_years(record: DailyRecord, at_least_days: int = FULL_YEAR_DAYS) -> tuple[int, ...]:
    """Calendar years with at least so many usable days."""
    counts: defaultdict[int, int] = defaultdict(int)
    for day in record.days:
        counts[day.year] += 1
    return tuple(year for year in sorted(counts) if counts[year] >= at_least_days)


def yearly_totals(record: DailyRecord) -> dict[int, float]:
    """Total of each full year, in SI."""
    sums = dict.fromkeys(full_years(record), 0)
    for day, number in zip(record.days, record.published, strict=True):
        if day.year in sums:
            sums[day.year] += number
    return {year: total / round(1.0 / record.unit_si) for year, total in sums.items()}


def monthly_means(record: DailyRecord) -> tuple[float, ...]:
    """Mean total of each calendar month over the full years, January first, in SI.

    Raises NoFullYear.
    """
    years = set(full_years(record))
    if not years:
        raise NoFullYear(
            f"{record.station} has no year with {FULL_YEAR_DAYS} usable days."
            " Take a station with a longer record."
        )
    sums = [0] * 12
    for day, number in zip(record.days, record.published, strict=True):
        if day.year in years:
            sums[day.month - 1] += number
    return tuple(total / round(1.0 / record.unit_si) / len(years) for total in sums)


def wettest_day(record: DailyRecord) -> tuple[date, float]:
    """The first day with the largest value, and that value in SI. Raises NoFullYear if empty."""
    if not record.days:
        raise NoFullYear(f"{record.station} has no usable day.")
    i = max(range(len(record.days)), key=lambda n: (record.published[n], -n))
    return record.days[i], record.values_si[i]


def longest_gap_days(days: Sequence[date]) -> int:
    """Days without a record in the longest hole between two usable days."""
    steps = ((after - before).days for before, after in pairwise(days))
    return max((step - 1 for step in steps), default=0)
