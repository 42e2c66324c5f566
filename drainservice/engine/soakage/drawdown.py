"""Drain times after storms, read from a record of levels, by any definition."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from drainservice.engine.soakage.drain_time import CountsFrom, CountsTo, Definition, DrainTime
from drainservice.engine.soakage.storms import Storm
from drainservice.engine.units import HOUR_S

LONGEST_GAP_S = 2.0 * HOUR_S


class LevelRecordIsImpossible(ValueError):
    """Levels below the bottom, or times that do not rise."""


class StormsOverlap(ValueError):
    """Storms that are not in order of time, one after the other."""


class DefinitionDoesNotFit(ValueError):
    """A definition that cannot be read from a record of levels."""


@dataclass(frozen=True, slots=True)
class LevelRecord:
    """Levels above the bottom by time, shape (n,); NaN is no reading, 0.0 is dry."""

    times_s: Sequence[float]
    levels_m: Sequence[float]

    def __post_init__(self) -> None:
        if len(self.times_s) != len(self.levels_m):
            raise LevelRecordIsImpossible("Each level needs its time; one of them is missing.")
        for i, level in enumerate(self.levels_m, start=1):
            if level < 0.0 or math.isinf(level):
                raise LevelRecordIsImpossible(
                    f"Level {i} lies below the bottom of the pit; look at the sensor's zero."
                )
        for i in range(1, len(self.times_s)):
            if not self.times_s[i] > self.times_s[i - 1]:
                raise LevelRecordIsImpossible(
                    f"Level {i + 1} is not later than level {i}; put the rows in order of time."
                )

    def read_between(self, start_s: float, end_s: float) -> list[tuple[float, float]]:
        """The (time, level) pairs that were read, from start to end, both counted."""
        first, last = bisect_left(self.times_s, start_s), bisect_right(self.times_s, end_s)
        pairs = zip(self.times_s[first:last], self.levels_m[first:last], strict=True)
        return [(time, level) for time, level in pairs if not math.isnan(level)]


class WhyNot(StrEnum):
    """Why a storm gave no drain time."""

    STAYED_DRY = "stayed_dry"
    NO_READING = "no_reading"
    DID_NOT_RISE = "did_not_rise"
    NEVER_THAT_HIGH = "never_that_high"
    NEXT_STORM_CAME = "next_storm_came"


@dataclass(frozen=True, slots=True)
class Drained:
    """A storm after which the water left: peak, drain time, and how closely its end is known.

    The end is the first reading at or under the level; the reading before it lies
    known_within_s earlier.
    """

    storm: Storm
    peak_m: float
    peak_at_s: float
    drain_time: DrainTime
    known_within_s: float


@dataclass(frozen=True, slots=True)
class NotMeasured:
    """A storm without a drain time, and why; dry and not read are two different things."""

    storm: Storm
    why: WhyNot


def find_drain_times(
    levels: LevelRecord,
    storms: Sequence[Storm],
    definition: Definition,
    longest_gap_s: float = LONGEST_GAP_S,
) -> list[Drained | NotMeasured]:
    """One drain time, or the reason why there is none, for each storm.

    definition: from the peak, the end of rain or a falling level; to empty, half the peak, a level
    or the level before the storm. A storm is followed until the next begins. Where two readings
    lie more than longest_gap_s apart before the water is gone, nothing is claimed.
    Raises DefinitionDoesNotFit, StormsOverlap.
    """
    if not definition.is_stated or definition.counts_from is CountsFrom.FULL:
        raise DefinitionDoesNotFit(
            "From a record of levels a drain time counts from the highest level, the end of rain "
            "or a given level; choose one of these."
        )
    if any(earlier.ends_s >= later.starts_s for earlier, later in pairwise(storms)):
        raise StormsOverlap("Two storms overlap or stand out of order; sort them by their start.")
    ends = [storm.starts_s for storm in storms[1:]] + [math.inf]
    return [
        _follow(levels, storm, end, definition, longest_gap_s)
        for storm, end in zip(storms, ends, strict=True)
    ]


def _follow(
    levels: LevelRecord, storm: Storm, until_s: float, definition: Definition, gap_s: float
) -> Drained | NotMeasured:
    rows = _take_unbroken(levels.read_between(storm.starts_s - gap_s, until_s), storm, gap_s)
    since = [row for row in rows if row[0] >= storm.starts_s]
    if not since or since[-1][0] < storm.ends_s:
        return NotMeasured(storm, WhyNot.NO_READING)
    before_m = next(level for time, level in reversed(rows) if time <= storm.starts_s)
    peak_at_s, peak_m = max(since, key=lambda row: (row[1], -row[0]))
    if peak_m <= before_m:
        return NotMeasured(storm, WhyNot.DID_NOT_RISE if before_m else WhyNot.STAYED_DRY)
    target_m = _find_target(definition, peak_m, before_m)
    if peak_m <= target_m or peak_m < definition.from_level_m:
        return NotMeasured(storm, WhyNot.NEVER_THAT_HIGH)
    falling = [row for row in since if row[0] >= peak_at_s]
    starts_s = _find_start(definition, storm, falling)
    for (earlier_s, _), (time_s, level_m) in pairwise(falling):
        if level_m <= target_m and time_s >= starts_s:
            drain_time = DrainTime(time_s - starts_s, definition)
            return Drained(storm, peak_m, peak_at_s, drain_time, time_s - earlier_s)
    was_followed = until_s - since[-1][0] <= gap_s
    return NotMeasured(storm, WhyNot.NEXT_STORM_CAME if was_followed else WhyNot.NO_READING)


def _take_unbroken(
    rows: list[tuple[float, float]], storm: Storm, gap_s: float
) -> list[tuple[float, float]]:
    """The rows up to the first gap, beginning at or before the storm's start; else none."""
    first = max((i for i, row in enumerate(rows) if row[0] <= storm.starts_s), default=len(rows))
    kept = rows[first : first + 1]
    for row in rows[first + 1 :]:
        if row[0] - kept[-1][0] > gap_s:
            break
        kept.append(row)
    return kept


def _find_target(definition: Definition, peak_m: float, before_m: float) -> float:
    """The level at which the count ends."""
    match definition.counts_to:
        case CountsTo.HALF:
            return peak_m / 2.0
        case CountsTo.AS_BEFORE:
            return before_m
        case _:
            return definition.to_level_m


def _find_start(definition: Definition, storm: Storm, falling: list[tuple[float, float]]) -> float:
    """The time at which the count starts; `falling` begins at the peak."""
    match definition.counts_from:
        case CountsFrom.END_OF_RAIN:
            return storm.ends_s
        case CountsFrom.LEVEL:
            passed = (time for time, level in falling if level <= definition.from_level_m)
            return next(passed, math.inf)
        case _:
            return falling[0][0]
