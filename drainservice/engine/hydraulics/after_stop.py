"""A level that springs back after the stop: stone levelling out, or water through the valve?"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_not_negative,
    require_positive,
)
from drainservice.engine.hydraulics.drawdown import LevelReading, fit_rate

# Judgement, no source: two standard deviations part a difference from the reading's error.
SURE_SD: Final = 2.0
# Judgement, no source: a rise whose rate falls to less than a third is stopping by itself.
STOPS_BELOW: Final = 1 / 3


class RiseCause(StrEnum):
    """Where the water of a rise after the stop comes from."""

    NO_RISE = "no_rise"
    STONE = "stone"
    VALVE = "valve"
    BOTH = "both"
    CANNOT_TELL = "cannot_tell"


class RiseCourse(StrEnum):
    """How a rise goes on."""

    STOPS = "stops"
    GOES_ON = "goes_on"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class RiseAfterStop:
    """A rise of the level in the insert after the stop, with its sd, and how fast it had fallen.

    `fall_ms` is the speed of the drawdown before the stop, m/s.
    """

    rise_m: float
    level_error_m: float
    fall_ms: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative("rise of the level", self.rise_m)
        require_positive("level reading's error", self.level_error_m)
        require_not_negative("speed of the fall", self.fall_ms)


@dataclass(frozen=True, slots=True)
class CauseOfRise:
    """The cause, and how much of the rise came through the valve (m, with its sd)."""

    cause: RiseCause
    through_valve_m: float
    through_valve_sd_m: float


def tell_cause_by_empty_riser(usual: RiseAfterStop, riser_empty: RiseAfterStop) -> CauseOfRise:
    """Two stops from the same level: as usual, and with the riser empty or the line shut off.

    What is left with an empty riser is the stone levelling out with the insert; what is gone came
    through the valve: r_valve = r_usual - r_empty. Source: mass balance; two sd is judgement.
    """
    through_m = usual.rise_m - riser_empty.rise_m
    sd_m = hypot(usual.level_error_m, riser_empty.level_error_m)
    if usual.rise_m <= SURE_SD * usual.level_error_m:
        return CauseOfRise(RiseCause.NO_RISE, through_m, sd_m)
    is_line = through_m > SURE_SD * sd_m
    is_stone = riser_empty.rise_m > SURE_SD * riser_empty.level_error_m
    if is_line and is_stone:
        return CauseOfRise(RiseCause.BOTH, through_m, sd_m)
    cause = RiseCause.VALVE if is_line else RiseCause.STONE if is_stone else RiseCause.CANNOT_TELL
    return CauseOfRise(cause, through_m, sd_m)


def tell_cause_by_speed(slow: RiseAfterStop, fast: RiseAfterStop) -> RiseCause:
    """Two stops from the same level after a slow and a fast drawdown (one and two pumps, say).

    The insert runs ahead of its stone in proportion to the speed of the fall, so stone's rise
    goes with it: r_fast = r_slow v_fast / v_slow. The line's water is the same each time:
    r_fast = r_slow. The one that holds within two sd while the other does not is the cause.
    Source: a perforated wall passes flow in proportion to the difference of levels (judgement).
    Raises ImpossibleAmount unless the second fall is faster.
    """
    require_positive("speed of the slow fall", slow.fall_ms)
    if fast.fall_ms <= slow.fall_ms:
        raise ImpossibleAmount("The second drawdown must be the faster one; give the slow first.")
    if max(slow.rise_m, fast.rise_m) <= SURE_SD * slow.level_error_m:
        return RiseCause.NO_RISE
    times = fast.fall_ms / slow.fall_ms
    fits_valve = abs(fast.rise_m - slow.rise_m) <= SURE_SD * hypot(
        fast.level_error_m, slow.level_error_m
    )
    fits_stone = abs(fast.rise_m - times * slow.rise_m) <= SURE_SD * hypot(
        fast.level_error_m, times * slow.level_error_m
    )
    if fits_valve == fits_stone:
        return RiseCause.CANNOT_TELL if fits_valve else RiseCause.BOTH
    return RiseCause.STONE if fits_stone else RiseCause.VALVE


def tell_course_of_rise(readings: Sequence[LevelReading], level_error_m: float) -> RiseCourse:
    """Whether a rise stops by itself (stone, or the line's own water) or goes on (leak, inflow).

    Least-squares rates of the first and the last half of the readings (at least four): below a
    third it stops. The stone's rise decays with the difference of levels, a full line's leak and
    an inflow do not. Cannot tell where the first rate is not sure. Raises OneReading,
    NegativeDepth, ImpossibleAmount.
    """
    half = len(readings) // 2
    if half < 2:
        raise ImpossibleAmount("Read the level four times after the stop; one reading a minute.")
    ordered = sorted(readings, key=lambda reading: reading.at_s)
    first_ms, first_sd_ms = fit_rate(ordered[:half], level_error_m)
    last_ms, last_sd_ms = fit_rate(ordered[-half:], level_error_m)
    limit_ms = STOPS_BELOW * first_ms
    if first_ms <= SURE_SD * first_sd_ms:
        goes_on = last_ms > SURE_SD * last_sd_ms
        return RiseCourse.GOES_ON if goes_on else RiseCourse.CANNOT_TELL
    return RiseCourse.STOPS if last_ms < limit_ms else RiseCourse.GOES_ON
