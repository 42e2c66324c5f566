"""What a change of the crew does to the rounds: versions are raised, broken visits are named."""

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import F

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account, Change
from drainservice.visits.models import (
    BOOKED,
    Absence,
    Area,
    Barrier,
    ClosedDay,
    CrewMember,
    HomeBase,
    Round,
    Skill,
    Van,
    VanOut,
    Visit,
    WorkingHours,
)
from drainservice.visits.queries.broken import held_by_shifts, visits_with_slots

CREW = [
    Absence,
    Area,
    Barrier,
    ClosedDay,
    CrewMember,
    HomeBase,
    Skill,
    Van,
    VanOut,
    WorkingHours,
]


@dataclass(slots=True)
class Touched:
    """What was written, and the visits ahead that fitted a shift before and do not any more."""

    row: Any = None
    visits: list[Visit] = field(default_factory=list)

    @property
    def promises(self) -> list[Visit]:
        """Those of which a household was told or for which a time is kept."""
        return [visit for visit in self.visits if visit.state in BOOKED]


@contextmanager
def touching(
    asker: Asker,
    *,
    first: date,
    last: date | None = None,
    technicians: Collection[Account] | None = None,
    away: tuple[datetime, datetime] | None = None,
) -> Iterator[Touched]:
    """Around a change of these days (`last` None: all that follow) of some or all technicians.

    Afterwards the rounds' versions stand one higher, so that nobody books by what they read
    before, and `visits` holds what the change broke, or what lies within the time `away`. The
    caller's transaction holds all of it.
    """
    found = Touched()
    ahead = visits_with_slots(asker.at, first, last, technicians)
    before = held_by_shifts(ahead)
    yield found
    broken = before - held_by_shifts(ahead)
    if away is not None:
        broken |= {visit.pk for visit in ahead if _is_within(visit, *away)}
    found.visits = [visit for visit in ahead if visit.pk in broken]
    _raise_versions(first, last, technicians)


def say_crew_put_back(group: str, *, asker: Asker) -> None:
    """An act was undone: where it had changed the crew, all rounds ahead are read anew."""
    labels = [model._meta.label_lower for model in CREW]
    if Change.objects.filter(group=group, subject__in=labels).exclude(group="").exists():
        _raise_versions(accounts.today_of_firm(asker.at), None, None)


def _is_within(visit: Visit, from_at: datetime, until_at: datetime) -> bool:
    starts_at, ends_at = visit.slot_starts_at, visit.slot_ends_at
    return (
        starts_at is not None and ends_at is not None and starts_at < until_at and ends_at > from_at
    )


def _raise_versions(
    first: date, last: date | None, technicians: Collection[Account] | None
) -> None:
    rounds = Round.objects.filter(day__gte=first)
    if last is not None:
        rounds = rounds.filter(day__lte=last)
    if technicians is not None:
        rounds = rounds.filter(technician__in=technicians)
    rounds.update(version=F("version") + 1)
