"""What planning a season gives: a week for each visit, what it costs, and how good it is."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class SeasonEffort:
    """How long a season is thought about, in counts, so that it can be thought again.

    `first_steps` of climbing to a bound, `rebuilds` of a few neighbourhoods, cooling down over
    `cools_over` of them (None: all), `last_steps` of climbing on. What a run has done is told in
    the same form, and asking for just that gives the same plan.
    """

    first_steps: int = 250
    rebuilds: int = 50_000
    cools_over: int | None = None
    last_steps: int = 250


@dataclass(frozen=True, slots=True)
class SeasonProgress:
    """Where a run is: rebuilds done of those wanted, the best cost so far and the bound (units)."""

    done: int
    wanted: int
    cost: float
    bound: float


@dataclass(frozen=True, slots=True)
class SeasonCost:
    """What a season costs by part, in units (technician-minutes).

    `driving` is to the neighbourhoods and back; driving within them fills the weeks, but is much
    the same in all of them.
    """

    risk: float = 0.0
    driving: float = 0.0
    moved: float = 0.0
    left_out: float = 0.0

    @property
    def total(self) -> float:
        """All parts together."""
        return self.risk + self.driving + self.moved + self.left_out


class Fault(StrEnum):
    """Why a visit cannot be planned as it was entered."""

    PLACE = "place"
    MINUTES = "minutes"
    COSTS = "costs"
    ENDS_BEFORE_IT_BEGINS = "ends_before_it_begins"
    OUTSIDE_SEASON = "outside_season"
    OFFERED_OUTSIDE = "offered_outside"
    PROMISED_OUTSIDE = "promised_outside"
    PROMISED_CLOSED = "promised_closed"
    ALL_CLOSED = "all_closed"
    TOO_LONG = "too_long"


@dataclass(frozen=True, slots=True)
class SetAside:
    """A visit that was not planned for a fault in what was entered, and what to change."""

    key: int
    fault: Fault
    words: str


@dataclass(frozen=True, slots=True)
class CellDrive:
    """A neighbourhood: its visits by key, minutes there and back, minutes that each visit adds."""

    keys: tuple[int, ...]
    drive_min: float
    between_min: float


@dataclass(frozen=True, slots=True)
class WeekLevel:
    """One week's water level: minutes planned (drives included) against the rim.

    `price`: about what one more minute of crew would save, in units. `planned`: number of visits.
    """

    starts_on: date
    load_min: float
    rim_min: float
    price: float
    planned: int

    @property
    def over_min(self) -> float:
        """Minutes above the rim; only promises stand there."""
        return max(0.0, self.load_min - self.rim_min)


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """A week for each visit, with what it costs and a bound that no plan can beat.

    `weeks`: (key, week) in the order given, week None where left out; `set_aside` were not planned
    at all. `bound` is proven for the same neighbourhoods, rims and settings. `seed` and `effort`
    give the same plan of the same facts again.
    """

    weeks: tuple[tuple[int, int | None], ...]
    set_aside: tuple[SetAside, ...]
    cost: SeasonCost
    bound: float
    levels: tuple[WeekLevel, ...]
    cells: tuple[CellDrive, ...]
    seed: int
    effort: SeasonEffort

    @property
    def gap(self) -> float | None:
        """By what share of the bound the plan may be dearer than the best; None: no bound."""
        if self.bound > 0.0:
            return max(0.0, self.cost.total / self.bound - 1.0)
        return 0.0 if self.cost.total <= 0.0 else None

    @property
    def left_out(self) -> tuple[int, ...]:
        """Keys of the visits for which no week was found."""
        return tuple(key for key, week in self.weeks if week is None)

    def week_of(self) -> dict[int, int | None]:
        """Week by key."""
        return dict(self.weeks)
