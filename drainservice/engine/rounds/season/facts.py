"""What a season is planned from: visits, weeks with their crew, yards, storms and settings.

Weeks are counted 0, 1, 2, ... from the first one planned. Work and driving are minutes. Costs are
units; one unit is one technician-minute.
"""

from dataclasses import dataclass, field
from datetime import date

from drainservice.engine.rounds.facts import Place


@dataclass(frozen=True, slots=True)
class PumpRisk:
    """What the risk curve of a visit is derived from.

    `failure_per_week`: posterior mean of the failure rate. `age_weeks`: weeks from the last pass to
    the start of week 0. `dead_units`: what a dead pump in a storm that matters costs.
    """

    failure_per_week: float
    age_weeks: float
    dead_units: float


@dataclass(frozen=True, slots=True)
class GivenCosts:
    """The cost of each week, and of leaving the visit out, in units, where no rate is behind it."""

    weeks: tuple[float, ...]
    left_out: float


@dataclass(frozen=True, slots=True)
class SeasonVisit:
    """One visit that wants a week.

    It may be made from week `earliest` to week `last` (a rule's hard end, None: no end). A promised
    week stands whatever else is said. An offered week may be changed at a charge.
    """

    key: int
    place: Place
    work_min: float
    costs: PumpRisk | GivenCosts
    earliest: int = 0
    last: int | None = None
    promised: int | None = None
    offered: int | None = None


@dataclass(frozen=True, slots=True)
class SeasonWeek:
    """One week: the Monday it starts on, and its crew.

    `crew_min`: shifts less absences and closed days, 0 for a closed week. `promised_min`: of it,
    work already promised to visits that are not among those to be planned.
    """

    starts_on: date
    crew_min: float
    promised_min: float = 0.0


@dataclass(frozen=True, slots=True)
class SeasonTravel:
    """Driving in a plan of weeks: great circle times `detour` at one speed out to a neighbourhood
    and another within it, `park_min` at each door.

    Coarser than `travel`, since nobody knows yet the order of a day; speeds are judgement, sources
    of the detour stand in `travel_terms`.
    """

    detour: float = 1.3
    speed_kmh: float = 45.0
    near_speed_kmh: float = 30.0
    park_min: float = 2.0


@dataclass(frozen=True, slots=True)
class SeasonSettings:
    """What the firm decides; all judgement.

    `reserve_share` of the crew is kept for urgent visits. A moved offer costs `moved_units`, a
    visit left out `left_out_units` above its risk. Visits are gone to by neighbourhoods of at most
    `cell_visits`, each in at most `cell_weeks` weeks.
    """

    reserve_share: float = 0.15
    moved_units: float = 100.0
    left_out_units: float = 60.0
    cell_visits: int = 12
    cell_weeks: int = 3


@dataclass(frozen=True, slots=True)
class SeasonFacts:
    """All that a season's planner may know.

    `storm_chances[v]` is the chance of a storm that matters in week v; it must cover the weeks
    planned and should cover the wet season that follows them.
    """

    visits: tuple[SeasonVisit, ...]
    weeks: tuple[SeasonWeek, ...]
    homes: tuple[Place, ...]
    storm_chances: tuple[float, ...]
    travel: SeasonTravel = field(default_factory=SeasonTravel)
    settings: SeasonSettings = field(default_factory=SeasonSettings)

    def rim_min(self, week: int) -> float:
        """Minutes of the week that may be filled: crew less the reserve and what is promised."""
        given = self.weeks[week]
        return max(0.0, given.crew_min * (1 - self.settings.reserve_share) - given.promised_min)
