"""What a pit's build says about how fast its drain time will grow, before any reading."""

import math
from dataclasses import dataclass
from enum import StrEnum

from drainservice.engine.fouling.bayesian_line import LinePrior

# All judgement, no source: growth of ln(drain time) per year, and its spread.
CLEAN_SLOPE = 0.05
SLOPE_SD = 0.05
INTERCEPT_SD = 0.5
FABRIC_SLOPE = 0.10
SMALL_STONE_SLOPE = 0.05
TREES_SLOPE = 0.03
NO_LEAF_TRAP_SLOPE = 0.03
# Landscaping fabric takes water more slowly from the first day.
FABRIC_START_RATE = 0.7


class DesignDrainTimeIsImpossible(ValueError):
    """A design drain time that is zero, negative or not a number."""


class Answer(StrEnum):
    """What is known of one detail of the build; unknown is neither fine nor wrong."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Build:
    """The details of the build that clog a pit sooner."""

    has_landscaping_fabric: Answer
    has_small_or_graded_stone: Answer
    is_near_trees: Answer
    lacks_leaf_trap: Answer


CLEAN_BUILD = Build(Answer.NO, Answer.NO, Answer.NO, Answer.NO)


def find_prior_slope(build: Build) -> tuple[float, float]:
    """Mean and sd of the yearly growth of ln(drain time), 1/year.

    0.05 +- 0.05 for a clean build; landscaping fabric + 0.10; small or graded stone + 0.05; near
    trees + 0.03; no leaf trap + 0.03. An unknown detail counts as even odds: half its slope, and
    its spread is added: var + (slope / 2)^2. Source: judgement, no source.
    """
    mean, variance = CLEAN_SLOPE, SLOPE_SD**2
    for answer, slope in (
        (build.has_landscaping_fabric, FABRIC_SLOPE),
        (build.has_small_or_graded_stone, SMALL_STONE_SLOPE),
        (build.is_near_trees, TREES_SLOPE),
        (build.lacks_leaf_trap, NO_LEAF_TRAP_SLOPE),
    ):
        mean += _find_chance(answer) * slope
        variance += _find_chance(answer) * (1.0 - _find_chance(answer)) * slope**2
    return mean, math.sqrt(variance)


def find_drain_prior(design_drain_time_s: float, build: Build) -> LinePrior:
    """Prior of the line through ln(drain time in s) by years since the pit was built or renewed.

    Intercept ln(design drain time) +- 0.5; landscaping fabric starts at 0.7 of the rate, so its
    time is longer by 1/0.7. Raises DesignDrainTimeIsImpossible. Source: judgement, no source.
    """
    if not (math.isfinite(design_drain_time_s) and design_drain_time_s > 0.0):
        raise DesignDrainTimeIsImpossible(
            "The design drain time must be above zero; take it from the design rate and depth."
        )
    slope, slope_sd = find_prior_slope(build)
    chance = _find_chance(build.has_landscaping_fabric)
    delay = -math.log(FABRIC_START_RATE)
    start = math.log(design_drain_time_s) + chance * delay
    start_sd = math.sqrt(INTERCEPT_SD**2 + chance * (1.0 - chance) * delay**2)
    return LinePrior(start, start_sd, slope, slope_sd)


def _find_chance(answer: Answer) -> float:
    return {Answer.YES: 1.0, Answer.NO: 0.0, Answer.UNKNOWN: 0.5}[answer]
