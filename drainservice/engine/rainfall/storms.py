"""When rain is a storm: thresholds that must be exceeded, windows that merge, spells."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from drainservice.engine.units import INCH_M

# A gauge reads to 0.1 mm or 0.01 in; a micrometre only absorbs the rounding of inches.
SAME_M = 1e-6
MERGE_WINDOW = timedelta(hours=72)


@dataclass(frozen=True, slots=True)
class StormRule:
    """Look at a system after rain of more than threshold_m; visits a year whatever it rains."""

    name: str
    threshold_m: float
    routine_visits_per_year: int
    source: str


EPA_DRY_WELL = StormRule(
    "dry well, after every storm of more than 0.5 in",
    0.5 * INCH_M,
    4,
    "EPA Moisture Control Guidance, 402-F-13053 (2013), appendix F",
)
PENNSYLVANIA_DRY_WELL = StormRule(
    "dry well, after each storm of more than 1 in",
    1.0 * INCH_M,
    4,
    "Pennsylvania municipal ordinance text citing DEP BMP Manual 6.4.6",
)
NORTH_CAROLINA_DETENTION = StormRule(
    "detention, monthly and after more than 3 in within 24 hours",
    3.0 * INCH_M,
    12,
    "a North Carolina operation and maintenance manual",
)
RULES = (EPA_DRY_WELL, PENNSYLVANIA_DRY_WELL, NORTH_CAROLINA_DETENTION)


@dataclass(frozen=True, slots=True)
class Storm:
    """One storm to look after: first and last time the rain was over, and the deepest of them."""

    first: date
    last: date
    deepest_m: float
    total_over_m: float


@dataclass(frozen=True, slots=True)
class Spell:
    """Days of rain without a longer dry gap: first and last wet day, total and wettest day."""

    begins_on: date
    ends_on: date
    total_m: float
    wettest_m: float
    wettest_on: date


def is_storm(rain_m: float, threshold_m: float) -> bool:
    """Whether rain exceeds a threshold: strictly more, so 0.50 in is not over 0.5 in."""
    return rain_m - threshold_m > SAME_M


def days_over(rain: Sequence[tuple[date, float]], threshold_m: float) -> tuple[date, ...]:
    """The days of (day, depth in m) strictly over a threshold."""
    return tuple(day for day, depth_m in rain if is_storm(depth_m, threshold_m))


def storms_over(
    rain: Sequence[tuple[date, float]],
    threshold_m: float,
    merge_window: timedelta = MERGE_WINDOW,
) -> tuple[Storm, ...]:
    """Storms over a threshold, those closer than the merge window taken as one.

    rain: (when, depth in m) in order; whens are all dates or all datetimes. One inspection
    a storm: rain that is over again less than the window after it was last over belongs to
    the same storm. Window of 72 h: judgement, the usual drain-time limit.
    """
    storms: list[Storm] = []
    for when, depth_m in rain:
        if not is_storm(depth_m, threshold_m):
            continue
        if storms and when - storms[-1].last < merge_window:
            before = storms.pop()
            deepest_m = max(before.deepest_m, depth_m)
            storms.append(Storm(before.first, when, deepest_m, before.total_over_m + depth_m))
        else:
            storms.append(Storm(when, when, depth_m, depth_m))
    return tuple(storms)


def spells_of_rain(
    rain: Sequence[tuple[date, float]], dry_days: int = 1, wet_over_m: float = 0.0
) -> tuple[Spell, ...]:
    """Spells of wet days, ended by at least so many days in a row that are not wet.

    rain: (day, depth in m) in order; a day without a record is not wet. Wet: more than
    wet_over_m.
    """
    spells: list[Spell] = []
    for day, depth_m in rain:
        if not is_storm(depth_m, wet_over_m):
            continue
        if spells and (day - spells[-1].ends_on).days <= dry_days:
            last = spells.pop()
            spells.append(_longer(last, day, depth_m))
        else:
            spells.append(Spell(day, day, depth_m, depth_m, day))
    return tuple(spells)


def _longer(spell: Spell, day: date, depth_m: float) -> Spell:
    is_wetter = depth_m > spell.wettest_m
    return Spell(
        spell.begins_on,
        day,
        spell.total_m + depth_m,
        depth_m if is_wetter else spell.wettest_m,
        day if is_wetter else spell.wettest_on,
    )
