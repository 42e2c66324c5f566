"""A day that went wrong, as a repair reads it: the rounds that are left, who is away or late, what
is urgent, and what must be known of each household before it is disturbed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone
from drainservice.engine.rounds.repair.broken import Broken, Late, StopFacts, Told
from drainservice.engine.rounds.speech import Speech
from drainservice.engine.rounds.tables import make_tables
from drainservice.inspections.models import Due
from drainservice.register.models import Consequence
from drainservice.visits.models import State, Visit, VisitSystem
from drainservice.visits.queries.crew import CrewDay, crew_on
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.gathered_stops import is_placed, is_promised
from drainservice.visits.queries.said import say_day, say_first_name, say_instant

TOLD = {State.OFFERED: Told.OFFERED, State.HELD: Told.AGREED, State.AGREED: Told.AGREED}
# Where a dead pump reaches what people live in.
LIVING = {Consequence.LIVING_SPACE, Consequence.FLOODED_BEFORE}


class DayIsOver(CannotBeDone):
    """A day that is over cannot be repaired."""


@dataclass(frozen=True, slots=True)
class BrokenDay:
    """What is wrong with a day at one moment, with the rows behind it.

    `facts` are by the visits' numbers, as the stops' keys are. `away` are those of the crew who
    are missed, wholly or in part; `late` the technicians whose rounds cannot be kept from when
    they are free; `urgent` the visits that must be reached and stand in no round.
    """

    day: date
    gathered: Gathered
    broken: Broken
    facts: dict[int, StopFacts]
    away: list[CrewDay]
    late: list[Late]
    urgent: list[Visit]


def read_broken_day(
    day: date, *, at: datetime, free: Mapping[int, datetime] | None = None
) -> BrokenDay:
    """The day as it stands, in a fixed number of statements. Errors: DayIsOver.

    `free` are moments at which technicians say they will be free, where nobody has written it.
    """
    if day < accounts.today_of_firm(at):
        raise DayIsOver("That day is over; a repair is for today or a day to come.")
    gathered = gather_for_repair([day], at=at)
    facts = facts_of_visits(gathered, day, at)
    told = [Late(who, gathered.seconds_of(until)) for who, until in sorted((free or {}).items())]
    urgent = [
        number
        for number, visit in enumerate(gathered.visits)
        if visit.is_urgent and not is_placed(visit, at)
    ]
    away = _missed(day, gathered)
    known = {late.technician for late in told} | {one.technician.pk for one in away}
    broken = Broken(gathered.seconds_of(at), late=tuple(told), urgent=tuple(urgent))
    return BrokenDay(
        day=day,
        gathered=gathered,
        broken=broken,
        facts=facts,
        away=away,
        late=[*told, *_late_already(gathered, known)],
        urgent=[gathered.visits[number] for number in urgent],
    )


def _missed(day: date, gathered: Gathered) -> list[CrewDay]:
    """Who cannot come, wholly or in part, and whose visits stand on a day they are off."""
    going = {visit.technician_id for visit in gathered.visits if visit.slot_starts_at is not None}
    return [
        one
        for one in crew_on([day])
        if one.because or (one.shift is None and one.technician.pk in going)
    ]


def gather_for_repair(days: list[date], *, at: datetime) -> Gathered:
    """The rounds of these days with every promise at its price, and the urgent visits that stand
    in no round yet."""
    urgent = urgent_unplaced(days[-1])
    return gather_rounds(at=at, days=days, also=urgent, with_unplaced=False, for_repair=True)


def urgent_unplaced(day: date) -> list[Visit]:
    """Visits that must be reached by that day and have no time yet."""
    rows = Visit.objects.standing().filter(
        state=State.PLANNED, is_urgent=True, slot_starts_at__isnull=True, wanted_by__lte=day
    )
    return list(rows.select_related("site").order_by("pk"))


def facts_of_visits(gathered: Gathered, day: date, at: datetime) -> dict[int, StopFacts]:
    """What a repair must know of each visit, by its number; two statements."""
    systems, dues = _systems_and_dues(gathered.visits)
    found = {}
    for visit in gathered.visits:
        own = systems.get(visit.pk, [])
        until = visit.wanted_by or dues.get(visit.pk)
        is_told = is_promised(visit, at)
        found[visit.pk] = StopFacts(
            name=visit.site.address,
            told=TOLD.get(State(visit.state), Told.NOBODY) if is_told else Told.NOBODY,
            is_named=visit.is_named,
            is_living_space=any(consequence in LIVING for consequence in own),
            moved_before=max(1, visit.sequence) if visit.was_moved else 0,
            can_wait_days=None if until is None else (until - day).days,
            technician=visit.technician_id,
            is_held=is_told and visit.state == State.HELD,
        )
    return found


def _systems_and_dues(
    visits: Iterable[Visit],
) -> tuple[dict[int, list[str]], dict[int, date]]:
    """The consequences of each visit's systems, and the first day one of its looks is due."""
    rows = VisitSystem.objects.standing().filter(visit__in=[visit.pk for visit in visits])
    wanted = list(rows.values_list("visit_id", "system_id", "looks_wanted", "system__consequence"))
    due_rows = Due.objects.current().filter(system__in={row[1] for row in wanted})
    due_on: dict[int, list[tuple[str, date]]] = {}
    for system_id, kind, on in due_rows.values_list("system_id", "kind", "due_on"):
        due_on.setdefault(system_id, []).append((kind, on))
    consequences: dict[int, list[str]] = {}
    dues: dict[int, date] = {}
    for visit_id, system_id, looks, consequence in wanted:
        consequences.setdefault(visit_id, []).append(consequence)
        days = [on for kind, on in due_on.get(system_id, []) if kind in looks]
        if days:
            dues[visit_id] = min([*days, *([dues[visit_id]] if visit_id in dues else [])])
    return consequences, dues


def _late_already(gathered: Gathered, known: set[int]) -> list[Late]:
    """Technicians whose rounds cannot be kept from when they are free, but those of whom it is
    known why."""
    found = []
    for round_ in gathered.inputs.present:
        shift = gathered.inputs.shifts[round_.shift]
        if shift.technician not in known and not make_tables(gathered.inputs, round_).is_feasible:
            found.append(Late(shift.technician, shift.starts_s))
    return found


def speech_of(gathered: Gathered) -> Speech:
    """How its visits, people, days and times are called; one statement."""
    numbers = {shift.technician.pk for shift in gathered.shifts}
    numbers |= {visit.technician_id for visit in gathered.visits if visit.technician_id}
    people = accounts.accounts_of_firm().filter(pk__in=numbers)
    return Speech(
        stops={visit.pk: visit.site.address for visit in gathered.visits},
        people={account.pk: say_first_name(account) for account in people},
        say_day=lambda day: say_day(gathered.day0 + timedelta(days=day)),
        say_clock=lambda at_s: say_instant(gathered.instant_of(at_s), gathered.zone),
    )
