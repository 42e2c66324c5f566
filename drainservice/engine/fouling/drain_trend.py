"""Trend of the drain time by years, and when it meets its limit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from drainservice.engine.fouling.bayesian_line import Line, LinePrior, find_crossing, fit_line
from drainservice.engine.fouling.next_look import CrossingTimes
from drainservice.engine.fouling.robust_line import (
    MannKendall,
    TheilSenLine,
    TooFewReadings,
    count_mann_kendall,
    fit_theil_sen,
)

# Scatter of ln(drain time) from one test to the next, judgement, no source.
NOISE_AT_20C = 0.15
NOISE_WITHOUT_TEMPERATURE = 0.30
ROBUST_FROM = 4


class DrainReadingIsImpossible(ValueError):
    """A drain time that is zero, negative or missing, or a time that does not rise."""


class LimitIsImpossible(ValueError):
    """A drain-time limit that is zero, negative or not a number."""


class DefinitionsAreMixed(ValueError):
    """Drain times, or their limit, that count from or to different moments."""


@dataclass(frozen=True, slots=True)
class DrainLimit:
    """The longest drain time allowed, s, and how it counts (see DrainReading).

    Where its source does not state how it counts, give the way it is taken to count, and say so.
    """

    time_s: float
    counts: str

    def __post_init__(self) -> None:
        if not (math.isfinite(self.time_s) and self.time_s > 0.0):
            raise LimitIsImpossible("The drain-time limit must be above zero; set it again.")


@dataclass(frozen=True, slots=True)
class DrainReading:
    """A measured drain time, years after the pit was built or last renewed.

    is_at_20c: brought to water of 20 C; without a water temperature the scatter is doubled.
    counts: how the time counts, as soakage.drain_time.Definition.code writes it ("full>empty").
    """

    years: float
    drain_time_s: float
    is_at_20c: bool
    counts: str

    def __post_init__(self) -> None:
        if not (math.isfinite(self.drain_time_s) and self.drain_time_s > 0.0):
            raise DrainReadingIsImpossible(
                "A drain time must be above zero. A pit found dry has no drain time, and one that "
                "was not read has none either: record which of the two it was."
            )
        if not math.isfinite(self.years):
            raise DrainReadingIsImpossible("The day of a drain test is missing.")

    @property
    def noise_sd_ln(self) -> float:
        """Standard deviation of ln(drain time) of this reading."""
        return NOISE_AT_20C if self.is_at_20c else NOISE_WITHOUT_TEMPERATURE


@dataclass(frozen=True, slots=True)
class FoundDry:
    """The pit was looked at and held no water: it drains, but how fast was not measured."""

    years: float


@dataclass(frozen=True, slots=True)
class NotRead:
    """Nobody could look; nothing is known."""

    years: float


@dataclass(frozen=True, slots=True)
class RobustTrend:
    """Theil-Sen line through ln(drain time), Mann-Kendall, crossing by slope and high slope.

    A crossing is inf where the slope is not above zero.
    """

    line: TheilSenLine
    mann_kendall: MannKendall
    crossing_years: float
    crossing_early_years: float


@dataclass(frozen=True, slots=True)
class DrainTrend:
    """The line through ln(drain time in s), its crossing times, and how many looks it rests on."""

    line: Line
    crossing: CrossingTimes
    readings_used: int
    found_dry: int
    not_read: int


def find_drain_trend(
    looks: Sequence[DrainReading | FoundDry | NotRead], prior: LinePrior, limit: DrainLimit
) -> DrainTrend:
    """Bayesian line through ln(drain time) for any number of looks, none included.

    looks in order of time; prior in ln(s), see drain_prior.find_drain_prior.
    t10, t50, t90 count from year 0 and say by when the line has met the limit with that chance.
    Only measured drain times enter; looks that found the pit dry and looks not made are counted.
    Raises DrainReadingIsImpossible, DefinitionsAreMixed. Source: bayesian_line.fit_line.
    """
    readings = [look for look in looks if isinstance(look, DrainReading)]
    refuse_unordered(readings)
    _refuse_mixed_definitions(readings, limit)
    line = fit_line(
        [r.years for r in readings],
        [math.log(r.drain_time_s) for r in readings],
        [r.noise_sd_ln for r in readings],
        prior,
    )
    level = math.log(limit.time_s)
    crossing = CrossingTimes(*(find_crossing(line, level, p) for p in (0.10, 0.50, 0.90)))
    dry = sum(isinstance(look, FoundDry) for look in looks)
    return DrainTrend(line, crossing, len(readings), dry, len(looks) - len(readings) - dry)


def find_robust_drain_trend(
    looks: Sequence[DrainReading | FoundDry | NotRead], limit: DrainLimit, confidence: float = 0.90
) -> RobustTrend:
    """Theil-Sen line through ln(drain time) and its crossing, from four readings on.

    t* = (ln limit - intercept) / slope; the early one takes the upper end of the slope's interval
    with the same intercept. Raises TooFewReadings and the errors of find_drain_trend.
    Source: robust_line.fit_theil_sen; the four are judgement, no source.
    """
    readings = [look for look in looks if isinstance(look, DrainReading)]
    refuse_unordered(readings)
    _refuse_mixed_definitions(readings, limit)
    if len(readings) < ROBUST_FROM:
        raise TooFewReadings(
            f"This trend needs {ROBUST_FROM} measured drain times and has {len(readings)}; until "
            "then go by the line that starts from the build."
        )
    logs = [math.log(r.drain_time_s) for r in readings]
    line = fit_theil_sen([r.years for r in readings], logs, confidence)
    level = math.log(limit.time_s)
    return RobustTrend(
        line,
        count_mann_kendall(logs),
        find_straight_crossing(line.intercept, line.slope, level),
        find_straight_crossing(line.intercept, line.slope_high, level),
    )


def find_straight_crossing(intercept: float, slope: float, limit: float) -> float:
    """Time at which intercept + slope t meets a limit above it; inf if it never rises to it.

    Zero where the intercept stands at the limit already.
    """
    if intercept >= limit:
        return 0.0
    return (limit - intercept) / slope if slope > 0.0 else math.inf


def refuse_unordered(readings: Sequence[DrainReading]) -> None:
    """Raise DrainReadingIsImpossible unless the times rise."""
    for i, (earlier, later) in enumerate(pairwise(readings), start=1):
        if later.years <= earlier.years:
            raise DrainReadingIsImpossible(
                f"Drain test {i + 1} is not later than test {i}; put them in order of time."
            )


def _refuse_mixed_definitions(readings: Sequence[DrainReading], limit: DrainLimit) -> None:
    for i, reading in enumerate(readings, start=1):
        if reading.counts != limit.counts:
            raise DefinitionsAreMixed(
                f"Drain test {i} counts {reading.counts!r} and the limit {limit.counts!r}: they "
                "cannot be compared. Leave the test out or restate it the limit's way."
            )
