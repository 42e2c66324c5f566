"""Dates out of years, and the next look by half the time that is left."""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from drainservice.engine.units import YEAR_DAYS

YEARLY_CAP = 1.0
# A crossing further off than this says nothing about a pit; judgement, no source.
FORESEEABLE_YEARS = 100.0


class LookIsImpossible(ValueError):
    """A cap or a time of a reading that cannot be."""


class GovernedBy(StrEnum):
    """What set the date of the next look."""

    LIMIT_REACHED = "limit_reached"
    TREND = "trend"
    CAP = "cap"


@dataclass(frozen=True, slots=True)
class NextLook:
    """When to look next, in years on the trend's clock, and what set it."""

    years: float
    governed_by: GovernedBy


@dataclass(frozen=True, slots=True)
class CrossingTimes:
    """Years by which the line has met the limit with a chance of 10, 50 and 90 %; inf is never."""

    t10_years: float
    t50_years: float
    t90_years: float


def find_next_look(
    t10_years: float, last_reading_years: float, cap_years: float = YEARLY_CAP
) -> NextLook:
    """Half of (t10 - last reading) after the last reading, never later than the cap.

    The limit met with 10 % chance at or before the last reading: look now (at that reading).
    With no reading yet take last_reading_years = 0, the day of handover.
    Raises LookIsImpossible.
    Source: half the P-F interval, NAVAIR 00-25-403 (via course material); the cap is judgement.
    """
    if not (math.isfinite(cap_years) and cap_years > 0.0):
        raise LookIsImpossible("The longest time between two looks must be above zero.")
    if math.isnan(t10_years) or not math.isfinite(last_reading_years):
        raise LookIsImpossible("The time of the last reading is missing.")
    half = (t10_years - last_reading_years) / 2.0
    if half <= 0.0:
        return NextLook(last_reading_years, GovernedBy.LIMIT_REACHED)
    if half < cap_years:
        return NextLook(last_reading_years + half, GovernedBy.TREND)
    return NextLook(last_reading_years + cap_years, GovernedBy.CAP)


def count_years(start_on: date, on: date) -> float:
    """Years of 365.25 days from one date to another."""
    return (on - start_on).days / YEAR_DAYS


def find_date(start_on: date, years: float) -> date | None:
    """The day so many years after the start, rounded down; None when further off than a century."""
    if math.isnan(years):
        raise LookIsImpossible("The number of years is missing.")
    if years > FORESEEABLE_YEARS:
        return None
    return start_on + timedelta(days=math.floor(years * YEAR_DAYS))


@dataclass(frozen=True, slots=True)
class CrossingDates:
    """The days by which the line has met the limit with 10, 50 and 90 %; None: not foreseeable."""

    t10_on: date | None
    t50_on: date | None
    t90_on: date | None


def find_crossing_dates(start_on: date, crossing: CrossingTimes) -> CrossingDates:
    """Crossing times as days, counted from the day the trend's clock starts."""
    times = (crossing.t10_years, crossing.t50_years, crossing.t90_years)
    return CrossingDates(*(find_date(start_on, years) for years in times))
