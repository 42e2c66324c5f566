"""A day as its rounds stand: who drives where, what each gate has to spare, and what waits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account
from drainservice.engine.rounds.facts import Round as EngineRound
from drainservice.engine.rounds.tables import Tables, make_tables
from drainservice.visits.models import State, Visit
from drainservice.visits.queries.crew import CrewDay, crew_on
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.seen import visits_on

DONE = {State.MADE, State.NOT_REACHED}


@dataclass(frozen=True, slots=True)
class DayRound:
    """One technician's day as it stands.

    `rooms_min` says by how many minutes a visit's start (by its number) may slip before a promise,
    the break or the way home breaks; none where `is_kept` is false: then something breaks already.
    """

    crew: CrewDay
    visits: tuple[Visit, ...]
    is_kept: bool
    rooms_min: dict[int, float]
    break_starts_at: datetime | None
    driving_s: int
    overtime_s: int

    @property
    def technician(self) -> Account:
        """Whose round it is."""
        return self.crew.technician

    @property
    def ahead(self) -> list[Visit]:
        """What is still to be made."""
        return [visit for visit in self.visits if visit.state not in DONE]

    @property
    def tightest(self) -> tuple[float, Visit] | None:
        """The promise with least to spare, and its minutes."""
        told = [
            (self.rooms_min[visit.pk], visit)
            for visit in self.ahead
            if visit.pk in self.rooms_min and visit.state != State.PLANNED
        ]
        return min(told, key=lambda one: (one[0], one[1].pk), default=None)


@dataclass(frozen=True, slots=True)
class DayRounds:
    """All rounds of a day, the most endangered first; what may come that day and stands in none;
    and sentences about what is missing on record."""

    day: date
    rounds: tuple[DayRound, ...]
    waiting: tuple[Visit, ...]
    notes: tuple[str, ...]


def rounds_of_day(asker: Asker, day: date) -> DayRounds:
    """The day in a fixed number of statements. For the office."""
    gathered = gather_rounds(at=asker.at, days=[day])
    is_ahead = gathered.day0 == day
    of_technician: dict[int, list[Visit]] = {}
    for visit in visits_on(asker, day):
        if visit.technician_id is not None:
            of_technician.setdefault(visit.technician_id, []).append(visit)
    tables = _tables(gathered) if is_ahead else {}
    rounds = [
        _round(crew, of_technician.get(crew.technician.pk, []), tables, gathered)
        for crew in crew_on([day])
    ]
    rounds = [one for one in rounds if one.visits or one.crew.shift is not None or one.crew.because]
    placed = {visit.pk for visits in of_technician.values() for visit in visits}
    waiting = [visit for visit in gathered.visits if visit.pk not in placed] if is_ahead else []
    return DayRounds(
        day,
        tuple(sorted(rounds, key=_danger)),
        tuple(sorted(waiting, key=lambda visit: (visit.wanted_by or date.max, visit.pk))),
        tuple(gathered.notes) if is_ahead else (),
    )


def _tables(gathered: Gathered) -> dict[int, Tables]:
    present = {round_.shift: round_ for round_ in gathered.inputs.present}
    return {
        crew.technician.pk: make_tables(gathered.inputs, present.get(number, EngineRound(number)))
        for number, crew in enumerate(gathered.shifts)
    }


def _round(
    crew: CrewDay, visits: Sequence[Visit], tables: dict[int, Tables], gathered: Gathered
) -> DayRound:
    found = tables.get(crew.technician.pk)
    if found is None:
        ahead = [visit for visit in visits if visit.state not in DONE]
        return DayRound(crew, tuple(visits), not ahead or crew.shift is not None, {}, None, 0, 0)
    if not found.is_feasible:
        return DayRound(crew, tuple(visits), False, {}, None, found.driving_s, 0)
    planned = found.planned
    rooms = {
        gathered.visits[gate.stop].pk: slack / 60
        for gate, slack in zip(found.gates, planned.slack_s, strict=True)
    }
    rests_s = planned.break_starts_s if found.gates else None
    rests_at = None if rests_s is None else gathered.instant_of(rests_s)
    return DayRound(crew, tuple(visits), True, rooms, rests_at, found.driving_s, found.overtime_s)


def _danger(round_: DayRound) -> tuple[bool, float, str]:
    """What breaks first, then by the least to spare."""
    tightest = round_.tightest
    spare = tightest[0] if tightest else 1e9
    return round_.is_kept, spare, round_.technician.handle
