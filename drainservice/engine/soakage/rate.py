"""The soakage rate from levels read in the pit itself while it drains."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.soakage.falling_head import find_fall_slope, measure_fall
from drainservice.engine.soakage.pit import Pit

# How well a level is read with a tape in a wet insert; judgement, no source.
LEVEL_ERROR_M = 0.003


class OneReadingIsNotEnough(ValueError):
    """A rate needs two levels at two times."""


class TimesDoNotRise(ValueError):
    """A reading carries the time of the one before it, or an earlier one."""


class LevelRises(ValueError):
    """The level went up while the pit was meant to drain."""


class LevelDoesNotFall(ValueError):
    """The level is the same at the end as at the start."""


class LevelIsImpossible(ValueError):
    """A level below the bottom of the pit, or not a number."""


@dataclass(frozen=True, slots=True)
class SoakageRate:
    """A measured rate: its value and standard uncertainty in m/s, and how many levels it used."""

    rate_ms: float
    rate_sd_ms: float
    levels_used: int


def find_rate_from_readings(
    seconds: Sequence[float],
    depths_m: Sequence[float],
    pit: Pit,
    level_error_m: float = LEVEL_ERROR_M,
) -> SoakageRate:
    """Rate from two or more levels read in the pit while nothing runs in.

    The stretched depth g (see falling_head.measure_fall) falls on a straight line, g = g0 - f t;
    f is its least-squares slope. With two readings this is exactly
    f = n A / (x (t2 - t1)) ln[(h1 + A/x) / (h2 + A/x)]. A pit with perimeter 0 soaks through its
    bottom only. Levels read after the pit is dry say nothing and are left out.

    seconds, depths_m: shape (n,), n >= 2; seconds rising, depths above the bottom in m.
    level_error_m: standard error of one level; a rise up to three times that is let pass.
    Raises OneReadingIsNotEnough, TimesDoNotRise, LevelRises, LevelDoesNotFall, LevelIsImpossible.
    Source: Ontario LID planning and design guide (falling head), least squares.
    """
    _refuse_impossible_readings(seconds, depths_m, level_error_m)
    count = _count_until_dry(depths_m)
    times, depths = seconds[:count], depths_m[:count]
    middle = math.fsum(times) / count
    spread = math.fsum((t - middle) ** 2 for t in times)
    weights = [(middle - t) / spread for t in times]
    rate = math.fsum(w * measure_fall(h, pit) for w, h in zip(weights, depths, strict=True))
    if depths[-1] >= depths[0] or rate <= 0.0:
        raise LevelDoesNotFall(
            "The level did not fall from the first reading to the last: wait longer, or note "
            "that the pit does not drain."
        )
    errors = (w * find_fall_slope(h, pit) for w, h in zip(weights, depths, strict=True))
    return SoakageRate(rate, level_error_m * math.hypot(*errors), count)


def find_rate_from_two_readings(
    depth_start_m: float, depth_end_m: float, seconds: float, pit: Pit
) -> float:
    """Rate from two levels some seconds apart, m/s; see find_rate_from_readings."""
    return find_rate_from_readings((0.0, seconds), (depth_start_m, depth_end_m), pit).rate_ms


def _count_until_dry(depths_m: Sequence[float]) -> int:
    for i, depth in enumerate(depths_m):
        if depth == 0.0 and i > 0:
            return i + 1
    return len(depths_m)


def _refuse_impossible_readings(
    seconds: Sequence[float], depths_m: Sequence[float], level_error_m: float
) -> None:
    if len(seconds) != len(depths_m):
        raise OneReadingIsNotEnough("Each level needs its time; one of them is missing.")
    if len(seconds) < 2:
        raise OneReadingIsNotEnough("Read the level at least twice; one reading gives no rate.")
    for i, depth in enumerate(depths_m, start=1):
        if not (math.isfinite(depth) and depth >= 0.0):
            raise LevelIsImpossible(
                f"Level {i} lies below the bottom of the pit or is missing; read it again. "
                "No reading is not the same as dry."
            )
    if not (math.isfinite(level_error_m) and level_error_m > 0.0):
        raise LevelIsImpossible("The error of a level reading must be above zero.")
    for i in range(1, len(seconds)):
        if not seconds[i - 1] < seconds[i] < math.inf:
            raise TimesDoNotRise(
                f"Reading {i + 1} is not later than reading {i}; put the readings in order of time."
            )
        if depths_m[i] - depths_m[i - 1] > 3.0 * level_error_m:
            raise LevelRises(
                f"The level rose between readings {i} and {i + 1}: water runs in, or two readings "
                "were swapped. Stop the inflow and read again."
            )
