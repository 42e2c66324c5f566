"""Where drain time and silt are heading, and when they meet their limits, counted and said."""

from dataclasses import dataclass
from datetime import date
from math import expm1

from drainservice.engine.explain import Sentence
from drainservice.engine.fouling.bayesian_line import Line, LinePrior
from drainservice.engine.fouling.drain_trend import DrainLimit, DrainReading, find_drain_trend
from drainservice.engine.fouling.next_look import CrossingTimes, find_crossing_dates
from drainservice.engine.fouling.sediment import SedimentReading, find_sediment_trend
from drainservice.engine.results.counted import Counted, sentence


@dataclass(frozen=True, slots=True)
class DrainTrendInput:
    """Measured drain times by years since `starts_on`, the prior of the build, and the limit."""

    starts_on: date
    readings: tuple[DrainReading, ...]
    prior: LinePrior
    limit: DrainLimit


@dataclass(frozen=True, slots=True)
class SiltTrendInput:
    """Depths of silt by years since `starts_on` (handover or cleaning), the prior, the limit."""

    starts_on: date
    readings: tuple[SedimentReading, ...]
    prior: LinePrior
    limit_m: float


def count_drain_trend(given: DrainTrendInput) -> Counted:
    """Yearly growth of the drain time and the days it meets its limit by.

    Raises what `find_drain_trend` raises.
    """
    found = find_drain_trend(given.readings, given.prior, given.limit)
    growth = sentence(
        "trend_drain",
        readings=len(given.readings),
        growth_percent=expm1(found.line.slope),
        drain_limit_s=given.limit.time_s,
    )
    return _counted(given.starts_on, growth, found.line, found.crossing)


def count_silt_trend(given: SiltTrendInput) -> Counted:
    """Yearly growth of the silt and the days it meets its limit by.

    Raises what `find_sediment_trend` raises.
    """
    found = find_sediment_trend(given.readings, given.prior, given.limit_m)
    growth = sentence(
        "trend_silt",
        readings=len(given.readings),
        growth_small_m=found.line.slope,
        limit_small_m=given.limit_m,
    )
    return _counted(given.starts_on, growth, found.line, found.crossing)


def _counted(starts_on: date, growth: Sentence, line: Line, crossing: CrossingTimes) -> Counted:
    dates = find_crossing_dates(starts_on, crossing)
    told = (("trend_t10", dates.t10_on), ("trend_t50", dates.t50_on), ("trend_t90", dates.t90_on))
    said = [sentence(key, passed_on=on.isoformat()) for key, on in told if on is not None]
    if len(said) < len(told):
        said.append(sentence("trend_not_foreseeable"))
    outputs = (("slope_per_a", line.slope), ("slope_sd_per_a", line.slope_sd))
    return Counted(outputs, "", (growth, *said))
