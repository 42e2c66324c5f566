"""Whether a promised window fits into a technician's round, exactly, and what it would change."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from drainservice.accounts import wall
from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Account
from drainservice.accounts.queries import the_firm
from drainservice.engine.rounds.facts import Round as EngineRound
from drainservice.engine.rounds.facts import Shift, Stop
from drainservice.engine.rounds.facts import Window as EngineWindow
from drainservice.engine.rounds.insert import NEW, Candidate, PlaceInRound, places_for, put_in
from drainservice.engine.rounds.offers.refusal import Breaks, Refusal, why_not
from drainservice.engine.rounds.tables import Tables, make_tables
from drainservice.visits.models import Visit
from drainservice.visits.queries.crew import CrewShift, why_no_shift
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.said import say_day, say_first_name, say_instant, say_time
from drainservice.visits.queries.window import Window

INSTEAD = "choose another time or another technician"


class NoTimeFree(CannotBeDone):
    """The technician has no room in that window; the text names the rule and what to change."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A round as early as may be: when each of its visits starts, and its break."""

    starts: list[tuple[Visit, datetime]]
    break_starts_at: datetime | None


@dataclass(frozen=True, slots=True)
class Room:
    """A visit's place in a round: the round with its version, when each of its visits would start
    (the visit among them), when its break would, and the driving that is added."""

    technician: Account
    day: date
    version: int
    starts_at: datetime
    starts: list[tuple[Visit, datetime]]
    break_starts_at: datetime | None
    added_drive_s: int


def room_for(visit: Visit, to: Window, technician: Account, *, at: datetime) -> Room:
    """The place of the visit that costs least driving and overtime, its start within the window.

    Where the visit stands in that round already, its present time counts as free. Other visits
    slide inside their own windows. Raises NoTimeFree.
    """
    zone = visit.site.zone
    opens_at, closes_at = to.starts_at(zone), to.ends_at(zone)
    found = gather_rounds(
        at=at,
        days=[_day_of(opens_at)],
        technicians=[technician],
        without=visit,
        sites=[visit.site],
        with_unplaced=False,
        for_room=True,
    )
    window = EngineWindow(found.seconds_of(opens_at), found.seconds_of(closes_at))
    shift = _shift_of(found, technician, visit, to, window)
    tables = make_tables(found.inputs, _present(found))
    candidate = _candidate(found, visit, window)
    tries = places_for(tables, candidate)
    if not tries:
        refusal = why_not(tables, candidate, window.from_s, window.to_s)
        raise NoTimeFree(_say_refusal(refusal, found, tables, visit, to))
    # Of equal places the latest: those before it keep their times.
    best = min(tries, key=lambda one: (_cost(one, found), -one.before))
    return _room(found, shift, tables, candidate, best, visit)


def round_as_planned(technician: Account, day: date, *, at: datetime) -> Planned | None:
    """The round as it stands, as early as may be; None where it cannot be kept or is over."""
    found = gather_rounds(
        at=at, days=[day], technicians=[technician], with_unplaced=False, for_room=True
    )
    if not found.shifts or found.day0 != day:
        return None
    tables = make_tables(found.inputs, _present(found))
    if not tables.is_feasible:
        return None
    return _planned(found, tables, None)


def _planned(found: Gathered, tables: Tables, visit: Visit | None) -> Planned:
    """The round's rows with their starts; `visit` stands for the gate that is new."""
    gates = [
        visit if visit is not None and gate.stop == NEW else found.visits[gate.stop]
        for gate in tables.gates
    ]
    starts = [found.instant_of(seconds) for seconds in tables.planned.starts_s]
    rests_s = tables.planned.break_starts_s if tables.gates else None
    rests_at = None if rests_s is None else found.instant_of(rests_s)
    return Planned(list(zip(gates, starts, strict=True)), rests_at)


def _day_of(instant: datetime) -> date:
    return wall.today_in(the_firm().zone, instant)


def _shift_of(
    found: Gathered, technician: Account, visit: Visit, to: Window, window: EngineWindow
) -> CrewShift:
    """The technician's shift of that day. Raises NoTimeFree where it does not reach the window or
    they may not do what is wanted."""
    who, day = say_first_name(technician), found.day0
    if not found.shifts:
        why = why_no_shift(technician, day) or f"{who}'s shift of {say_day(day)} is over."
        raise NoTimeFree(f"{why} Choose another day or another technician.")
    shift = found.inputs.shifts[0]
    lacking = sorted(frozenset(visit.skills_wanted) - shift.skills)
    if lacking:
        raise NoTimeFree(
            f"{who} may not do what this visit needs on {say_day(day)} ({', '.join(lacking)}); "
            "choose somebody who has the skill, or enter it on the page of the crew."
        )
    if window.to_s < shift.starts_s or window.from_s >= shift.ends_s:
        raise NoTimeFree(
            f"{who} works from {_clock(found, shift.starts_s)} to {_clock(found, shift.ends_s)} on "
            f"{say_day(day)}, and the window is {say_time(to.from_)} to {say_time(to.to)}; "
            f"{INSTEAD}."
        )
    return found.shifts[0]


def _clock(found: Gathered, seconds: int) -> str:
    return say_instant(found.instant_of(seconds), found.zone)


def _present(found: Gathered) -> EngineRound:
    return found.inputs.present[0] if found.inputs.present else EngineRound(0)


def _candidate(found: Gathered, visit: Visit, window: EngineWindow) -> Candidate:
    place = found.places[visit.site_id]
    stop = Stop(visit.pk or 0, place, visit.minutes * 60, (window,), must=True)
    ways_in_s = tuple(row[place] for row in found.inputs.drives)
    return Candidate(stop, ways_in_s, found.inputs.drives[place])


def _cost(place: PlaceInRound, found: Gathered) -> int:
    return place.added_drive_s + found.inputs.tariff.overtime * place.added_overtime_s


def _room(
    found: Gathered,
    shift: CrewShift,
    tables: Tables,
    candidate: Candidate,
    place: PlaceInRound,
    visit: Visit,
) -> Room:
    planned = _planned(found, put_in(found.inputs.tariff, tables, candidate, place.before), visit)
    return Room(
        technician=shift.technician,
        day=shift.day,
        version=found.versions[shift.technician.pk, shift.day],
        starts_at=planned.starts[place.before][1],
        starts=planned.starts,
        break_starts_at=planned.break_starts_at,
        added_drive_s=place.added_drive_s,
    )


def _say_refusal(
    refusal: Refusal | None, found: Gathered, tables: Tables, visit: Visit, to: Window
) -> str:
    gates = [found.visits[gate.stop] for gate in tables.gates]
    if refusal is None:
        refusal = Refusal(Breaks.ROUND)
    told = say_refusal(refusal, found, tables.shift, found.shifts[0], gates)
    if refusal.breaks == Breaks.OWN_WINDOW:
        told += f", {visit.minutes} minutes long, to start between {say_time(to.from_)}"
        told += f" and {say_time(to.to)}"
    return f"{told}; {INSTEAD}."


def say_refusal(
    refusal: Refusal, found: Gathered, shift: Shift, crew: CrewShift, gates: Sequence[Visit]
) -> str:
    """What would break, as a clause without its full stop."""
    who, late = say_first_name(crew.technician), say_minutes(refusal.late_s)
    day = say_day(crew.day)
    if refusal.breaks == Breaks.GATE and refusal.gate is not None:
        return f"{who}'s round of {day} would break {say_gate(gates[refusal.gate])} by {late}"
    if refusal.breaks == Breaks.OWN_WINDOW:
        return f"{who} has no time free on {day}: the visit would start {late} too late"
    if refusal.breaks == Breaks.BREAK:
        return f"{who}'s break on {day} would begin {late} too late"
    if refusal.breaks == Breaks.HOME:
        closes = _clock(found, shift.closes_s)
        return f"{who} would be home {late} after {closes}, the latest on {day}"
    return f"{who}'s round of {day} cannot be kept as it stands, so nothing more fits in"


def say_gate(visit: Visit) -> str:
    """'114 Maple Ridge Rd before 11'; without a promise, the address."""
    if visit.window_to is None:
        return f"the time of {visit.site.address}"
    return f"'{visit.site.address} before {say_time(visit.window_to)}'"


def say_minutes(seconds: int) -> str:
    """At least a minute, since what is late is late."""
    return f"{max(1, -(-seconds // 60))} min"
