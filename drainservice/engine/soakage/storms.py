"""Storms in a record of rain."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.units import HOUR_S, INCH_M

DRY_GAP_S = 6.0 * HOUR_S
LEAST_STORM_M = 0.1 * INCH_M


class RainRecordIsImpossible(ValueError):
    """Rain that is negative or missing, or times that do not rise."""


@dataclass(frozen=True, slots=True)
class RainRecord:
    """Rain by time: depths_m[i] fell in the interval_s that begin at times_s[i]; shape (n,).

    With interval_s = 0 the stamps are taken as they are. Spells without rain may be left out.
    """

    times_s: Sequence[float]
    depths_m: Sequence[float]
    interval_s: float = 0.0

    def __post_init__(self) -> None:
        if len(self.times_s) != len(self.depths_m):
            raise RainRecordIsImpossible("Each depth of rain needs its time; one is missing.")
        if any(not (math.isfinite(d) and d >= 0.0) for d in self.depths_m):
            raise RainRecordIsImpossible("A depth of rain is negative or missing; leave it out.")
        for i in range(1, len(self.times_s)):
            if not self.times_s[i] > self.times_s[i - 1]:
                raise RainRecordIsImpossible(
                    f"Rain row {i + 1} is not later than row {i}; put the rows in order of time."
                )


@dataclass(frozen=True, slots=True)
class Storm:
    """A spell of rain: start and end in s, depth in m."""

    starts_s: float
    ends_s: float
    depth_m: float


def find_storms(
    rain: RainRecord, dry_gap_s: float = DRY_GAP_S, least_depth_m: float = LEAST_STORM_M
) -> list[Storm]:
    """Spells of rain parted by at least dry_gap_s without any, of at least least_depth_m.

    Source: six dry hours are customary in rainfall statistics (inter-event time); 0.1 in is the
    smallest storm of the public record in the tests. Both are settings.
    """
    storms: list[Storm] = []
    for time, depth in zip(rain.times_s, rain.depths_m, strict=True):
        if depth == 0.0:
            continue
        end = time + rain.interval_s
        if storms and time - storms[-1].ends_s < dry_gap_s:
            last = storms[-1]
            storms[-1] = Storm(last.starts_s, end, last.depth_m + depth)
        else:
            storms.append(Storm(time, end, depth))
    # A millionth of slack: a tenth of an inch added up from hundredths still counts.
    return [storm for storm in storms if storm.depth_m >= least_depth_m * (1 - 1e-6)]
