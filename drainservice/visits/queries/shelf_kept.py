"""What is kept of one round, and by which numbers its places go."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from drainservice.engine.rounds.facts import Place, Stop
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.tables import Tables
from drainservice.visits.models import PlanningTerms, Visit
from drainservice.visits.queries.crew import CrewShift

# A Monday long ago: the same seconds whichever days are asked about.
EPOCH = date(2001, 1, 1)
OLD = timedelta(minutes=10)
OLD_TODAY = timedelta(minutes=1)
# The first numbers are lent: to the visit that is asked about, and to others near it.
OWN = 0
NEAR = range(1, 21)
Key = tuple[int, date]


class Numbers:
    """Points as numbers that stay the same while the process lives."""

    def __init__(self) -> None:
        self.points: list[Place | None] = [None] * NEAR.stop
        self._found: dict[object, int] = {}

    def of(self, point: Place | None, site_id: int = 0) -> int:
        """The number of a point, or of a site of which nobody knows where it lies. Sites at one
        point share a number, for nobody drives between them."""
        key = point or ("site", site_id)
        if key not in self._found:
            self._found[key] = len(self.points)
            self.points.append(point)
        return self._found[key]


@dataclass(frozen=True, slots=True)
class Kept:
    """One round as it was read; its stops are numbered from 0 in the order of its gates."""

    crew: CrewShift
    version: int
    read_at: datetime
    until_at: datetime
    stops: tuple[Stop, ...]
    names: Mapping[int, str]
    tables: Tables

    def holds(self, crew: CrewShift, version: int, at: datetime) -> bool:
        """Whether it still says what a new reading would."""
        is_fresh = self.read_at <= at < self.until_at
        return is_fresh and version == self.version and crew == self.crew


@dataclass(frozen=True, slots=True)
class ShelfQuestion:
    """Which rounds are wanted, and by what they are read."""

    at: datetime
    zone: str
    days: Sequence[date]
    terms: PlanningTerms
    travel: TravelTerms
    without: Visit | None = None
    technicians: Iterable[int] | None = None
