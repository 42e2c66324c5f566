"""What comes out: a due date per kind of look, all its candidates, and the reason in sentences."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

from drainservice.engine.explain import Sentence
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.plain import to_plain


class DueKind(StrEnum):
    """A look's kind, or what a defect asks for: mend a dead part, make the lid reachable."""

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
    MEND = "mend"
    ACCESS = "access"


class GovernedBy(StrEnum):
    """Which candidate gave the date."""

    INTERVAL = "interval"
    SEASON = "season"
    CAP = "cap"
    TYPE_CAP = "type_cap"
    RULE = "rule"
    TREND = "trend"
    FROST = "frost"
    NEVER_LOOKED_AT = "never_looked_at"
    DOWN = "down"
    LID_COVERED = "lid_covered"
    DEFECT = "defect"


class StandsOn(StrEnum):
    """What the rate behind a date rests on."""

    OUR_JUDGEMENT = "our_judgement"
    YOUR_ANSWER = "your_answer"
    YOUR_TESTS = "your_tests"
    READINGS = "readings"
    RULE = "rule"


@dataclass(frozen=True, slots=True)
class Candidate:
    """One date that was considered, and why it counts; the earliest governs."""

    governed_by: GovernedBy
    on: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class Lengthening:
    """What would lengthen the pump's interval: `key` is a DefectKind or `household_test`.

    `interval_days_then` is the interval with it done, `due_on_then` the date it would give.
    """

    key: str
    interval_days_then: int
    due_on_then: date


@dataclass(frozen=True, slots=True)
class PosteriorSummary:
    """The failure rate behind a pump's date, per year: mean and 10, 50, 90 % points.

    `nominal_per_a` is the sum of nominal rates times as-built factors; `tests_counted` how many
    sights of this pump were used; `target` the accepted mean share of time dead; `dead_share` the
    mean share over the governing interval; `dead_after_year` the chance of finding it dead after a
    year; `floods_per_a` the chance a year of dead, then a storm, with `outage_floor_per_a` beside
    it (both 0 when demand is unknown); `interval_days` with its 10-90 % range. A pump that is down
    counts as dead in every share until it is proven.
    """

    mean_per_a: float
    p10_per_a: float
    p50_per_a: float
    p90_per_a: float
    nominal_per_a: float
    tests_counted: int
    target: float
    dead_share: float
    dead_after_year: float
    floods_per_a: float
    outage_floor_per_a: float
    interval_days: int
    interval_p10_days: int
    interval_p90_days: int


@dataclass(frozen=True, slots=True)
class DueDate:
    """One kind's due date with its whole reason.

    `range_from_on`, `range_to_on`: the 10 and 90 % dates for systems like this (both equal `due_on`
    where no range applies). `can_be_judged` False: the lid is buried or nothing can be seen; the
    date still stands. `posterior` is None for kinds without a failure rate. `defect` names the
    part or defect of a mend or access row, else empty.
    """

    kind: DueKind
    due_on: date
    opens_on: date
    governed_by: GovernedBy
    candidates: tuple[Candidate, ...]
    reason: tuple[Sentence, ...]
    stands_on: StandsOn
    range_from_on: date
    range_to_on: date
    would_lengthen: tuple[Lengthening, ...]
    honesty: tuple[Sentence, ...]
    posterior: PosteriorSummary | None
    can_be_judged: bool = True
    defect: str = ""

    def as_stored(self) -> dict[str, Any]:
        """Plain JSON values of this one date, without the inputs all dates share."""
        stored: dict[str, Any] = to_plain(self)
        return stored


@dataclass(frozen=True, slots=True)
class DueDates:
    """All due dates of one system as counted on `today`, earliest first, with their inputs."""

    model_version: str
    today: date
    facts: SystemFacts
    dues: tuple[DueDate, ...]

    def __iter__(self) -> Iterator[DueDate]:
        return iter(self.dues)

    def __len__(self) -> int:
        return len(self.dues)

    def of(self, kind: DueKind) -> DueDate | None:
        """The earliest due of that kind, None where the kind does not apply."""
        return next((due for due in self.dues if due.kind is kind), None)

    def as_stored(self) -> dict[str, Any]:
        """Plain JSON values: inputs, model version, day, and every date with its reason."""
        stored: dict[str, Any] = to_plain(self)
        return stored
