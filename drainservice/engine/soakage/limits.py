"""Published drain-time limits, each with its source and definition, and the verdict against one."""

import math
from dataclasses import dataclass

from drainservice.engine.soakage.drain_time import (
    END_OF_RAIN_TO_EMPTY,
    FULL_TO_EMPTY,
    UNSTATED,
    Definition,
    DrainTime,
    refuse_different_definitions,
)
from drainservice.engine.units import HOUR_S, INCH_PER_HOUR_MS, UnitSystem

READ = "read"
FROM_MEMORY = "from memory"


class LimitIsUnknown(ValueError):
    """No published limit of that code is on file."""


class FieldRateIsImpossible(ValueError):
    """A tested rate that is zero, negative or not a number."""


@dataclass(frozen=True, slots=True)
class PublishedLimit:
    """One jurisdiction's limit.

    limit_s: longest drain time, s, counted as `definition` says. safety_factor divides the tested
    rate. rate_min_ms and rate_max_ms bound the rate after that division, m/s (0 and inf where the
    source names none). mark: "read" or "from memory".
    """

    code: str
    jurisdiction: str
    limit_s: float
    definition: Definition
    safety_factor: float
    rate_min_ms: float
    rate_max_ms: float
    source: str
    mark: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """A drain time against a limit."""

    drain_time: DrainTime
    limit: PublishedLimit
    is_within: bool

    def describe(self, system: UnitSystem) -> str:
        """How both count, and on what assumption: the words that must stand beside a verdict."""
        how = self.drain_time.definition.describe(system)
        if self.limit.definition.is_stated:
            words = f"Both count {how}."
        else:
            words = f"The source does not state how its limit counts; this time counts {how}."
        if self.drain_time.restated_because:
            words += f" Counted so because: {self.drain_time.restated_because}."
        return words


@dataclass(frozen=True, slots=True)
class DesignRate:
    """The rate to design with, m/s, and whether the source allows a pit on it."""

    rate_ms: float
    is_allowed: bool


def _limit(
    code: str,
    jurisdiction: str,
    hours: float,
    definition: Definition,
    source: str,
    mark: str,
    factor: float = 1.0,
    lowest_in_h: float = 0.0,
    highest_in_h: float = math.inf,
) -> PublishedLimit:
    lowest, highest = lowest_in_h * INCH_PER_HOUR_MS, highest_in_h * INCH_PER_HOUR_MS
    return PublishedLimit(
        code, jurisdiction, hours * HOUR_S, definition, factor, lowest, highest, source, mark
    )


PUBLISHED_LIMITS: tuple[PublishedLimit, ...] = (
    _limit(
        "new_jersey", "New Jersey", 72.0, FULL_TO_EMPTY,
        "New Jersey Stormwater BMP Manual ch. 9.3 Dry Wells (2016): 72 h computed from the slowest "
        "design rate, safety factor 2, design rate 0.5 to 10 in/h",
        READ, factor=2.0, lowest_in_h=0.5, highest_in_h=10.0,
    ),
    _limit(
        "massachusetts", "Massachusetts", 72.0, FULL_TO_EMPTY,
        "Massachusetts Stormwater Handbook: the whole recharge volume over K A within 72 h", READ,
    ),
    _limit(
        "georgia_coast", "Coastal Georgia", 24.0, END_OF_RAIN_TO_EMPTY,
        "Georgia Coastal Stormwater Supplement (2009): drained 24 h after the rain ends", READ,
    ),
    _limit(
        "san_francisco", "San Francisco", 48.0, END_OF_RAIN_TO_EMPTY,
        "San Francisco self-inspection list: water standing over 48 h after a storm is "
        "unsatisfactory (figure read, start of the count judgement)", READ,
    ),
    _limit(
        "county_district", "A county soil conservation district", 48.0, UNSTATED,
        "County soil conservation district, dry wells (2010): 48 h, no pit on less than 0.27 in/h",
        READ, lowest_in_h=0.27,
    ),
    _limit(
        "ontario", "Ontario", 48.0, FULL_TO_EMPTY,
        "Ontario LID planning and design guides: 48 h by the falling-head sum", READ,
    ),
    _limit(
        "ontario_longest", "Ontario, the longer of its two figures", 96.0, FULL_TO_EMPTY,
        "Ontario LID planning and design guides: 96 h by the falling-head sum", READ,
    ),
    _limit("maryland", "Maryland", 48.0, UNSTATED, "State stormwater manual", FROM_MEMORY),
    _limit("new_york", "New York", 48.0, UNSTATED, "State stormwater manual", FROM_MEMORY),
    _limit("minnesota", "Minnesota", 48.0, UNSTATED, "State stormwater manual", FROM_MEMORY),
    _limit(
        "customary", "Several states and districts", 72.0, UNSTATED,
        "Several state and district handbooks", FROM_MEMORY,
    ),
)  # fmt: skip


def find_limit(code: str) -> PublishedLimit:
    """The published limit of that code; raises LimitIsUnknown."""
    for limit in PUBLISHED_LIMITS:
        if limit.code == code:
            return limit
    known = ", ".join(limit.code for limit in PUBLISHED_LIMITS)
    raise LimitIsUnknown(f"No drain-time limit is on file for {code!r}; choose one of {known}.")


def judge_drain_time(drain_time: DrainTime, limit: PublishedLimit) -> Verdict:
    """Whether a drain time keeps a limit (equal keeps it).

    Raises DefinitionsDiffer where limit and time count differently: measure it the other way or
    say on what assumption by DrainTime.restate. Where the source of the limit does not state how
    it counts, the verdict is given and describe() says so.
    """
    if limit.definition.is_stated:
        refuse_different_definitions(drain_time.definition, limit.definition)
    return Verdict(drain_time, limit, drain_time.time_s <= limit.limit_s)


def find_design_rate(field_rate_ms: float, limit: PublishedLimit) -> DesignRate:
    """Tested rate over the safety factor, and whether it lies in the allowed range (ends count).

    Raises FieldRateIsImpossible. Source: that of the limit.
    """
    if not (math.isfinite(field_rate_ms) and field_rate_ms > 0.0):
        raise FieldRateIsImpossible(
            "The tested rate must be above zero; a hole that does not drain has no design rate."
        )
    rate = field_rate_ms / limit.safety_factor
    # A billionth of slack, so that 1.0 in/h halved is 0.5 in/h in every unit.
    slack = 1e-9
    is_allowed = limit.rate_min_ms * (1 - slack) <= rate <= limit.rate_max_ms * (1 + slack)
    return DesignRate(rate, is_allowed)
