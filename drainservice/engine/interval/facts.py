"""What the due dates of one system stand on: plain values, gathered by whoever keeps records."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.known import Known, unknown
from drainservice.engine.interval.settings import FirmSettings
from drainservice.engine.interval.yearly import MonthDay, Span
from drainservice.engine.reliability.history import PumpTest
from drainservice.engine.reliability.rates import (
    NO_CATALOGUE,
    Catalogue,
    FloatKind,
    PumpClass,
)


class RuleSaysNoDay(ValueError):
    """A rule gives neither a cycle nor a day, or both."""


class ShortestAboveLongest(ValueError):
    """A part's shortest interval exceeds its longest."""


class LookKind(StrEnum):
    """The kinds of look; only a look that was done moves the date of its own kind."""

    PUMP = "pump"
    PERCOLATION = "percolation"
    SEDIMENT = "sediment"
    VALVE = "valve"
    LINE = "line"
    LID = "lid"
    ALARM = "alarm"
    BATTERY = "battery"
    AUTUMN = "autumn"
    SPRING = "spring"
    FIRST_LOOK = "first_look"


class LookOutcome(StrEnum):
    """How a look ended."""

    DONE = "done"
    IN_PART = "in_part"
    NOT_DONE = "not_done"


class Consequence(StrEnum):
    """What a dead pump would do here, the mildest first."""

    YARD = "yard"
    NEAR_STRUCTURE = "near_structure"
    LIVING_SPACE = "living_space"
    FLOODED_BEFORE = "flooded_before"


class Origin(StrEnum):
    """How the system came to the firm: its own work handed over, or built by others."""

    HANDED_OVER = "handed_over"
    ADOPTED = "adopted"


@dataclass(frozen=True, slots=True)
class LookRecord:
    """One look that was tried, with how it ended; `why_not` is the reason word when not done."""

    kind: LookKind
    on: date
    outcome: LookOutcome
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class AsBuiltSince:
    """The as-built facts that held from a day on; a fix adds one, history keeps the old."""

    since: date
    facts: AsBuilt


@dataclass(frozen=True, slots=True)
class PumpFacts:
    """The pump now in the pit; `installed_on` unknown counts no age.

    `starts_counted` against `starts_expected` since the last look (0 expected: nothing to compare).
    `starts_per_a` and `hours_per_a`, from a counter or the rain, wear it in use; `life_hours` 0
    means the maker gives none. `catalogue` is what the firm's own says of this type. Tests before
    `installed_on` belong to an older pump and are left out.
    """

    pump_class: PumpClass
    float_kind: FloatKind
    installed_on: Known[date] = field(default_factory=unknown)
    starts_counted: int = 0
    starts_expected: float = 0.0
    starts_per_a: float = 0.0
    hours_per_a: float = 0.0
    life_hours: float = 0.0
    catalogue: Catalogue = NO_CATALOGUE


@dataclass(frozen=True, slots=True)
class Trend:
    """When a reading is likely to reach its limit, from engine/fouling.

    `kind` is percolation or sediment. `t10_on`, `t50_on`, `t90_on`: the days by which the limit is
    crossed with chance 10, 50 and 90 %. `readings` is how many own readings it stands on, and
    `limit_source` names the rule behind the limit.
    """

    kind: LookKind
    last_reading_on: date
    t10_on: date
    t50_on: date
    t90_on: date
    readings: int
    limit_source: str


@dataclass(frozen=True, slots=True)
class JurisdictionRule:
    """A look somebody else requires: at most every `every_days`, or by a day of each year.

    Exactly one of the two is given (the other None). `source` is shown beside the date.
    """

    kind: LookKind
    source: str
    every_days: int | None = None
    by_day: MonthDay | None = None

    def __post_init__(self) -> None:
        if (self.every_days is None) == (self.by_day is None):
            raise RuleSaysNoDay(
                f"The rule of {self.source!r} needs either a number of days or a day of the year."
            )


@dataclass(frozen=True, slots=True)
class TypeCap:
    """What the firm's own catalogue says of a part: never sooner, never later than these days."""

    kind: LookKind
    part: str
    shortest_days: int
    longest_days: int

    def __post_init__(self) -> None:
        if not 0 < self.shortest_days <= self.longest_days:
            raise ShortestAboveLongest(
                f"For the {self.part} the shortest interval is {self.shortest_days} days and the "
                f"longest {self.longest_days}; the shortest must be above zero and not above the "
                "longest."
            )


@dataclass(frozen=True, slots=True)
class Demand:
    """Harmful storms a year when the pump is dead, the share of each month (12, sum 1), and
    `outage_chance`: that the power is out when it storms."""

    storms_per_a: float
    month_shares: tuple[float, ...]
    outage_chance: float


@dataclass(frozen=True, slots=True)
class DownNow:
    """A part found failed and not yet proven again; it counts as dead in every figure."""

    since: date
    part: str
    stop_gap: str = ""


@dataclass(frozen=True, slots=True)
class HouseholdRecord:
    """How this household's own answers stood up when somebody looked: right and wrong."""

    answers_right: int = 0
    answers_wrong: int = 0


@dataclass(frozen=True, slots=True)
class SystemFacts:
    """Everything the due dates of one system are counted from.

    `as_built` holds at least one entry, oldest first. `pump` is empty (None) where the pit drains
    by soil alone. `storm_demand` empty: nobody counted. `lid_unreachable_since` is the day a look
    found the lid covered or not to be reached, None while it can be. Wet seasons and frosts: none,
    one or several.
    """

    origin: Origin
    origin_on: date
    consequence: Consequence
    as_built: tuple[AsBuiltSince, ...]
    pump: PumpFacts | None
    settings: FirmSettings
    tests: tuple[PumpTest, ...] = ()
    looks: tuple[LookRecord, ...] = ()
    trends: tuple[Trend, ...] = ()
    wet_seasons: tuple[Span, ...] = ()
    hard_frosts: tuple[Span, ...] = ()
    rules: tuple[JurisdictionRule, ...] = ()
    type_caps: tuple[TypeCap, ...] = ()
    storm_demand: Demand | None = None
    down: tuple[DownNow, ...] = ()
    household: HouseholdRecord = HouseholdRecord()
    target_chosen: Known[float] = field(default_factory=unknown)
    lid_unreachable_since: date | None = None
