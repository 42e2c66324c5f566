"""What becomes of each visit when a plan of rounds is done: its time, its promise, whom to tell."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import Gate, PlanInputs, Stop
from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.visits.actions.book import moved_from
from drainservice.visits.actions.slots import NewTime
from drainservice.visits.models import State, Visit
from drainservice.visits.queries.gathered import Gathered
from drainservice.visits.queries.gathered_stops import is_promised

# What a visit is that nobody was promised, or whose hold ran out; its time may still be planned.
NOBODY_TOLD: dict[str, Any] = {
    "state": State.PLANNED,
    "held_until": None,
    "held_token": None,
    "window_from": None,
    "window_to": None,
    "window_starts_at": None,
    "window_ends_at": None,
}


@dataclass(frozen=True, slots=True)
class Fresh:
    """A proposal on the facts of now: rounds that the judge passed, and the rows behind them."""

    gathered: Gathered
    inputs: PlanInputs
    rounds: Rounds


def changes_of(fresh: Fresh, asker: Asker) -> list[tuple[NewTime, str]]:
    """What becomes of each visit that changes, and the fact to announce of it (empty: none)."""
    found = []
    people = {shift.technician.pk: shift.technician for shift in fresh.gathered.shifts}
    for round_ in fresh.rounds.rounds:
        driven = drive_round(fresh.inputs, round_)
        assert driven is not None  # the judge has driven it
        who = people[fresh.inputs.shifts[round_.shift].technician]
        for gate, start_s in zip(round_.gates, driven.starts_s, strict=True):
            stop, visit = fresh.inputs.stops[gate.stop], fresh.gathered.visits[gate.stop]
            starts_at = fresh.gathered.instant_of(start_s)
            ends_at = starts_at + timedelta(minutes=visit.minutes)
            more, kind = _promise(visit, stop, gate, who.pk, fresh.gathered)
            if not is_promised(visit, asker.at):
                more |= NOBODY_TOLD | {"day": wall.today_in(visit.site.zone, starts_at)}
            found.append((NewTime(visit, who, starts_at, ends_at, more), kind))
    for number in fresh.rounds.left_out:
        change = _left_out(fresh.gathered.visits[number], asker)
        if change is not None:
            found.append((change, ""))
    return [(change, kind) for change, kind in found if _is_change(change)]


def _is_change(change: NewTime) -> bool:
    visit = change.visit
    now = (visit.technician_id, visit.slot_starts_at, visit.slot_ends_at)
    who = None if change.technician is None else change.technician.pk
    is_same = now == (who, change.starts_at, change.ends_at)
    return not is_same or any(getattr(visit, name) != new for name, new in change.more.items())


def _promise(
    visit: Visit, stop: Stop, gate: Gate, technician_id: int, gathered: Gathered
) -> tuple[dict[str, Any], str]:
    """What changes of a promise, and the fact that tells the household; nothing while the window
    stands and nobody was promised by name."""
    if visit.window_starts_at is None or visit.state not in {
        State.HELD,
        State.OFFERED,
        State.AGREED,
    }:
        return {}, ""
    window = stop.windows[gate.window]
    told = (gathered.seconds_of(visit.window_starts_at), gathered.seconds_of(_end(visit)))
    is_moved = told != (window.from_s, window.to_s)
    if visit.state == State.HELD:
        return (_new_window(visit, window.from_s, window.to_s, gathered) if is_moved else {}), ""
    if not is_moved and not (visit.is_named and visit.technician_id != technician_id):
        return {}, ""
    more: dict[str, Any] = {"sequence": visit.sequence + 1, "needs_person_since": None}
    if is_moved:
        more |= _new_window(visit, window.from_s, window.to_s, gathered)
    if visit.state == State.OFFERED:
        return more, "visit.offered"
    # Who had set out to the old time sets out anew to the new one.
    before = moved_from(visit) if is_moved else {}
    return more | {"set_out_at": None} | before, "visit.moved"


def _end(visit: Visit) -> datetime:
    assert visit.window_ends_at is not None  # a booked visit has a promise: a constraint says so
    return visit.window_ends_at


def _new_window(visit: Visit, from_s: int, to_s: int, gathered: Gathered) -> dict[str, Any]:
    starts_at, ends_at = gathered.instant_of(from_s), gathered.instant_of(to_s)
    begins = wall.local(starts_at, visit.site.zone)
    return {
        "day": begins.date(),
        "window_from": begins.time(),
        "window_to": wall.local(ends_at, visit.site.zone).time(),
        "window_starts_at": starts_at,
        "window_ends_at": ends_at,
    }


def _left_out(visit: Visit, asker: Asker) -> NewTime | None:
    """Out of its round where nobody was told; a promise stays as it was and awaits a person, who
    asks the household for another day."""
    if visit.state == State.PLANNED:
        return NewTime(visit, None, None, None, {"day": None})
    if visit.state not in {State.OFFERED, State.AGREED}:
        return None
    since = {"needs_person_since": visit.needs_person_since or asker.at}
    return NewTime(visit, visit.technician, visit.slot_starts_at, visit.slot_ends_at, since)
