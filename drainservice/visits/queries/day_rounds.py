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

    `starts_at` says when each visit ahead (by its number) would start from how things stand now;
    `rooms_min` by how many minutes that may slip before a promise, the break or the way home
    breaks, below 0 where its own promise does already. Where `is_kept` is false something breaks.
    """

    crew: CrewDay
    visits: tuple[Visit, ...]
    is_kept: bool
    starts_at: dict[int, datetime]
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
        is_kept = not ahead or crew.shift is not None
        return DayRound(crew, tuple(visits), is_kept, {}, {}, None, 0, 0)
    if found.is_feasible:
        starts_s, slack_s = found.planned.starts_s, found.planned.slack_s
        rests_s = found.planned.break_starts_s if found.gates else None
    else:
        starts_s, rests_s = _push_on(found)
        slack_s = tuple(to - at for to, at in zip(found.to_s[1:-1], starts_s, strict=True))
    keys = [gathered.visits[gate.stop].pk for gate in found.gates]
    return DayRound(
        crew,
        tuple(visits),
        found.is_feasible,
        {key: gathered.instant_of(at_s) for key, at_s in zip(keys, starts_s, strict=True)},
        {key: slack / 60 for key, slack in zip(keys, slack_s, strict=True)},
        None if rests_s is None else gathered.instant_of(rests_s),
        found.driving_s,
        found.overtime_s if found.is_feasible else 0,
    )


def _push_on(tables: Tables) -> tuple[tuple[int, ...], int | None]:
    """Starts where the round is simply driven in its order, too late or not, with the break before
    the first drive by which it must have begun; and when that is."""
    now_s, rests_s, starts = tables.shift.starts_s, None, []
    for node, leg_s in enumerate(tables.legs_s, 1):
        is_last = node == len(tables.legs_s)
        arrives_s = now_s + leg_s
        next_s = max(arrives_s, tables.from_s[node]) + tables.work_s[node]
        if rests_s is None and tables.pause_s and (next_s > tables.pause_to_s or is_last):
            rests_s = max(now_s, tables.pause_from_s)
            arrives_s = max(arrives_s, tables.pause_from_s) + tables.pause_s
        now_s = max(arrives_s, tables.from_s[node])
        if not is_last:
            starts.append(now_s)
            now_s += tables.work_s[node]
    return tuple(starts), rests_s


def _danger(round_: DayRound) -> tuple[bool, float, str]:
    """What breaks first, then by the least to spare."""
    tightest = round_.tightest
    spare = tightest[0] if tightest else 1e9
    return round_.is_kept, spare, round_.technician.handle
