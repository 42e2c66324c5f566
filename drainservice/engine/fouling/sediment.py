"""Sediment in the sump: the depth at which to clean, and when it will be reached."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from drainservice.engine.fouling.bayesian_line import Line, LinePrior, find_crossing, fit_line
from drainservice.engine.fouling.drain_prior import Answer
from drainservice.engine.fouling.drain_trend import find_straight_crossing
from drainservice.engine.fouling.next_look import CrossingTimes
from drainservice.engine.fouling.robust_line import TheilSenLine, TooFewReadings, fit_theil_sen
from drainservice.engine.fouling.sediment_rules import WASHINGTON, SedimentRule
from drainservice.engine.units import INCH_M

# Judgement, no source, as all below.
BELOW_INTAKE_M = 1.0 * INCH_M
ROOF_ONLY_M_PER_YEAR = (0.5 * INCH_M, 0.4 * INCH_M)
YARD_INLETS_M_PER_YEAR = (1.0 * INCH_M, 0.7 * INCH_M)
LOOSE_STONE_FACTOR = 1.5
READING_SD_M = 0.25 * INCH_M
START_SD_M = 0.25 * INCH_M
ROBUST_FROM = 4
# Levels that differ by less than this are the same level.
SAME_M = 1e-9


class SumpIsImpossible(ValueError):
    """A sump depth or an intake height that cannot be."""


class SedimentReadingIsImpossible(ValueError):
    """A depth of sediment below zero or missing, or times that do not rise."""


class LimitBy(StrEnum):
    """Which rule sets the limit."""

    SHARE_OF_SUMP = "share_of_sump"
    CLEARANCE_TO_INVERT = "clearance_to_invert"
    PUMP_INTAKE = "pump_intake"


class Feeds(StrEnum):
    """What runs into the sump."""

    ROOF_ONLY = "roof_only"
    YARD_INLETS = "yard_inlets"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Sump:
    """depth_m: from the lowest pipe's invert down to the bottom of the sump. No pump in it."""

    depth_m: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.depth_m) and self.depth_m > 0.0):
            raise SumpIsImpossible("The sump must reach below the lowest pipe; measure it again.")


@dataclass(frozen=True, slots=True)
class SumpWithPump(Sump):
    """A sump with a pump in it; intake_height_m above the bottom of the sump."""

    intake_height_m: float

    def __post_init__(self) -> None:
        Sump.__post_init__(self)
        if not (math.isfinite(self.intake_height_m) and self.intake_height_m >= 0.0):
            raise SumpIsImpossible("The pump's intake cannot stand below the bottom of the sump.")


@dataclass(frozen=True, slots=True)
class SedimentLimit:
    """The depth of sediment at which to clean, m, and the rule that sets it."""

    depth_m: float
    limit_by: LimitBy


@dataclass(frozen=True, slots=True)
class SedimentReading:
    """A depth of sediment in m, years after handover or the last cleaning; 0 is clean."""

    years: float
    depth_m: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.depth_m) and self.depth_m >= 0.0):
            raise SedimentReadingIsImpossible(
                "A depth of sediment cannot be negative or missing; where nobody probed, leave "
                "the reading out instead of writing zero."
            )
        if not math.isfinite(self.years):
            raise SedimentReadingIsImpossible("The day of a sediment reading is missing.")


@dataclass(frozen=True, slots=True)
class SedimentTrend:
    """The line through the sediment depth in m, and when it meets the limit."""

    line: Line
    crossing: CrossingTimes


@dataclass(frozen=True, slots=True)
class RobustSedimentTrend:
    """Theil-Sen line through the sediment depth, and when it meets the limit by it."""

    line: TheilSenLine
    crossing_years: float
    crossing_early_years: float


def find_sediment_limit(sump: Sump, rule: SedimentRule = WASHINGTON) -> SedimentLimit:
    """The lowest of 60 % of the sump, 6 in below the lowest invert and 1 in below the intake.

    Never below zero: in a sump of less than 6 in any sediment is too much. Another `rule` brings
    another share and clearance. All rules were written for basins without a pump; the inch below
    the intake is judgement, no source. Source: that of the rule; 60 % and 6 in: Washington State
    Department of Ecology, catch-basin maintenance standard.
    """
    limits = [(rule.share_of_sump * sump.depth_m, LimitBy.SHARE_OF_SUMP)]
    if rule.clearance_m > 0.0:
        limits.append((sump.depth_m - rule.clearance_m, LimitBy.CLEARANCE_TO_INVERT))
    if isinstance(sump, SumpWithPump):
        limits.append((sump.intake_height_m - BELOW_INTAKE_M, LimitBy.PUMP_INTAKE))
    depth, limit_by = min(limits, key=lambda limit: limit[0])
    return SedimentLimit(max(depth, 0.0), limit_by)


def needs_cleaning(sediment_m: float, sump: Sump, rule: SedimentRule = WASHINGTON) -> bool:
    """Whether the sediment stands above the limit (the rule says "exceeds").

    Raises SedimentReadingIsImpossible. Source: find_sediment_limit.
    """
    reading = SedimentReading(0.0, sediment_m)
    return reading.depth_m > find_sediment_limit(sump, rule).depth_m + SAME_M


def find_sediment_prior(feeds: Feeds, stands_on_loose_stone: Answer) -> LinePrior:
    """Prior of the sediment line in m by years since handover or the last cleaning.

    Starts at 0 +- 0.25 in; 0.5 +- 0.4 in a year from roofs only, 1.0 +- 0.7 with yard inlets; a
    pump on loose stone makes it 1.5 times that. Where something is unknown, its possibilities
    count alike: their mean, and the spread of them all. Source: judgement, no source.
    """
    slopes = {
        Feeds.ROOF_ONLY: (ROOF_ONLY_M_PER_YEAR,),
        Feeds.YARD_INLETS: (YARD_INLETS_M_PER_YEAR,),
        Feeds.UNKNOWN: (ROOF_ONLY_M_PER_YEAR, YARD_INLETS_M_PER_YEAR),
    }[feeds]
    factors = {
        Answer.NO: (1.0,),
        Answer.YES: (LOOSE_STONE_FACTOR,),
        Answer.UNKNOWN: (1.0, LOOSE_STONE_FACTOR),
    }[stands_on_loose_stone]
    ways = [(factor * mean, factor * sd) for mean, sd in slopes for factor in factors]
    mean = math.fsum(m for m, _ in ways) / len(ways)
    square = math.fsum(m**2 + s**2 for m, s in ways) / len(ways)
    return LinePrior(0.0, START_SD_M, mean, math.sqrt(square - mean**2))


def find_sediment_trend(
    readings: Sequence[SedimentReading], prior: LinePrior, limit_m: float
) -> SedimentTrend:
    """Bayesian line through the sediment depth for any number of readings, none included.

    Raises SedimentReadingIsImpossible. Source: bayesian_line.fit_line; noise 0.25 in is judgement.
    """
    _refuse_unordered(readings)
    years, depths = [r.years for r in readings], [r.depth_m for r in readings]
    line = fit_line(years, depths, [READING_SD_M] * len(readings), prior)
    crossing = CrossingTimes(*(find_crossing(line, limit_m, p) for p in (0.10, 0.50, 0.90)))
    return SedimentTrend(line, crossing)


def find_robust_sediment_trend(
    readings: Sequence[SedimentReading], limit_m: float, confidence: float = 0.90
) -> RobustSedimentTrend:
    """Theil-Sen line through the sediment depth and its crossing, from four readings on.

    t* = (limit - intercept) / slope; the early one takes the upper end of the slope's interval.
    Raises TooFewReadings, SedimentReadingIsImpossible. Source: robust_line.fit_theil_sen.
    """
    _refuse_unordered(readings)
    if len(readings) < ROBUST_FROM:
        raise TooFewReadings(
            f"This trend needs {ROBUST_FROM} sediment readings and has {len(readings)}; until then "
            "go by the line that starts from what runs in."
        )
    line = fit_theil_sen([r.years for r in readings], [r.depth_m for r in readings], confidence)
    return RobustSedimentTrend(
        line,
        find_straight_crossing(line.intercept, line.slope, limit_m),
        find_straight_crossing(line.intercept, line.slope_high, limit_m),
    )


def _refuse_unordered(readings: Sequence[SedimentReading]) -> None:
    for i, (earlier, later) in enumerate(pairwise(readings), start=1):
        if later.years <= earlier.years:
            raise SedimentReadingIsImpossible(
                f"Sediment reading {i + 1} is not later than reading {i}; put them in order of "
                "time, and start again at zero after a cleaning."
            )
