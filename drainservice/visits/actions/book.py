"""Planning, offering, holding, agreeing, moving and calling off."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.history import RuleBroken
from drainservice.accounts.models import Account
from drainservice.accounts.text import clean_line
from drainservice.inspections.models.due import KINDS
from drainservice.register.models import LocateTicket, Site, System
from drainservice.visits import queries
from drainservice.visits.actions.access import close_for, open_for
from drainservice.visits.models import State, Visit, VisitSystem
from drainservice.visits.queries import Window
from jobs import queue

HOLD = timedelta(minutes=10)
ONE_AT_A_TIME = "a_technician_has_one_visit_at_a_time"


class NoTimeFree(CannotBeDone):
    """The technician has no room in that window."""


class NotInThisState(CannotBeDone):
    """The visit stands elsewhere than the act needs."""


class GroundNotLocated(CannotBeDone):
    """A digging visit lies outside every valid locate ticket."""


class WindowInThePast(CannotBeDone):
    """A promise cannot be made for a time that is over."""


@transaction.atomic
def plan_visit(
    site: Site,
    *,
    asker: Asker,
    purpose: str,
    systems: dict[System, list[str]],
    meant_for: date | None,
    minutes: int = 45,
    is_digging: bool = False,
) -> Visit:
    """Mean to come; nobody is told. `systems` maps each system to the looks wanted there."""
    for system, looks in systems.items():
        if system.site_id != site.pk:
            raise CannotBeDone("A visit goes to one site; plan another for the other site.")
        unknown = [look for look in looks if look not in KINDS]
        if unknown:
            raise CannotBeDone(f"Nobody looks for {unknown[0]!r}; choose one of the page's looks.")
    visit = Visit(
        site=site,
        purpose=clean_line(purpose, most=200, what="The purpose"),
        meant_for=meant_for,
        minutes=minutes,
        is_digging=is_digging,
    )
    history.enter(visit, asker=asker)
    wanted = [
        VisitSystem(visit=visit, system=s, looks_wanted=looks) for s, looks in systems.items()
    ]
    history.enter_rows(wanted, asker=asker)
    return visit


@transaction.atomic
def offer_visit(visit: Visit, *, to: Window, technician: Account, asker: Asker) -> Visit:
    """Offer a time by message; it stays kept until somebody answers."""
    need_state(visit, State.PLANNED, State.HELD, State.OFFERED)
    sequence = visit.sequence + 1 if visit.state == State.OFFERED else visit.sequence
    _book(visit, State.OFFERED, to, technician, asker, sequence=sequence)
    open_for(visit, asker=asker)
    announce("visit.offered", visit, asker)
    return visit


@transaction.atomic
def hold_visit(visit: Visit, *, to: Window, technician: Account, asker: Asker) -> Visit:
    """Keep a time free for ten minutes while the caller thinks."""
    need_state(visit, State.PLANNED, State.HELD)
    _book(visit, State.HELD, to, technician, asker, held_until=asker.at + HOLD)
    queue.put(
        "hold.expired",
        key=f"{visit.pk}:{(asker.at + HOLD).isoformat()}",
        at=asker.at,
        due_at=asker.at + HOLD,
        visit_id=visit.pk,
    )
    return visit


@transaction.atomic
def let_hold_go(visit: Visit, *, asker: Asker) -> Visit:
    """A hold that ran out, or is not wanted: planned again, its time free."""
    if visit.state != State.HELD:
        return visit
    return history.keep(visit, asker=asker, state=State.PLANNED, **_UNBOOKED)


@transaction.atomic
def agree_visit(visit: Visit, *, asker: Asker) -> Visit:
    """The household said yes: promised, invited, and the technician let in."""
    need_state(visit, State.OFFERED, State.HELD)
    if visit.window_ends_at is not None and visit.window_ends_at <= asker.at:
        raise WindowInThePast("That time is over; offer one that lies ahead.")
    _locate_ticket_holds(visit, visit.day)
    history.keep(visit, asker=asker, state=State.AGREED, held_until=None, needs_person_since=None)
    open_for(visit, asker=asker)
    announce("visit.agreed", visit, asker)
    return visit


@transaction.atomic
def move_visit(
    visit: Visit, *, to: Window, asker: Asker, technician: Account | None = None
) -> Visit:
    """Give the household another time; their calendar follows by itself and they answer anew."""
    need_state(visit, State.OFFERED, State.AGREED)
    if visit.state == State.OFFERED:
        return offer_visit(visit, to=to, technician=technician or _hers(visit), asker=asker)
    _locate_ticket_holds(visit, to.day)
    same = (visit.day, visit.window_from, visit.window_to) == (to.day, to.from_, to.to)
    if same and technician in (None, visit.technician):
        return visit
    before = (
        {}
        if same
        else {
            "was_moved": True,
            "moved_from_day": visit.day,
            "moved_from_window": f"{visit.window_from:%H:%M}-{visit.window_to:%H:%M}",
            "sequence": visit.sequence + 1,
            # Who had set out to the old time sets out anew to the new one.
            "set_out_at": None,
        }
    )
    _book(visit, State.AGREED, to, technician or _hers(visit), asker, **before)
    open_for(visit, asker=asker)
    if not same:
        announce("visit.moved", visit, asker)
    return visit


@transaction.atomic
def call_off_visit(visit: Visit, *, asker: Asker, by: str, because: str) -> Visit:
    """End a visit before it was made; whoever was invited is told."""
    need_state(visit, State.PLANNED, State.OFFERED, State.HELD, State.AGREED)
    was_told = visit.state in {State.OFFERED, State.AGREED}
    history.keep(
        visit,
        asker=asker,
        state=State.CALLED_OFF,
        held_until=None,
        called_off_at=asker.at,
        called_off_by=clean_line(by, most=200, what="Who called it off"),
        called_off_because=clean_line(because, most=200, what="The reason"),
        needs_person_since=None,
        sequence=visit.sequence + was_told,
    )
    close_for(visit, asker=asker)
    if was_told:
        announce("visit.called_off", visit, asker)
    return visit


_UNBOOKED: dict[str, Any] = {
    "technician": None,
    "day": None,
    "window_from": None,
    "window_to": None,
    "window_starts_at": None,
    "window_ends_at": None,
    "slot_starts_at": None,
    "slot_ends_at": None,
    "held_until": None,
}


def _book(
    visit: Visit, state: str, to: Window, technician: Account, asker: Asker, **more: Any
) -> None:
    zone = visit.site.zone
    if to.ends_at(zone) <= to.starts_at(zone):
        raise CannotBeDone("The window ends before it begins; choose a later end.")
    if to.ends_at(zone) <= asker.at:
        raise WindowInThePast("That time is over; choose one that lies ahead.")
    start = queries.earliest_free(
        technician, to, zone, minutes=visit.minutes, without=visit, not_before=asker.at
    )
    who = technician.person.name
    if start is None:
        raise NoTimeFree(
            f"{who} has no {visit.minutes} minutes free in that window; choose another time or "
            "another technician."
        )
    try:
        history.keep(
            visit,
            asker=asker,
            state=state,
            technician=technician,
            day=to.day,
            window_from=to.from_,
            window_to=to.to,
            window_starts_at=to.starts_at(zone),
            window_ends_at=to.ends_at(zone),
            slot_starts_at=start,
            slot_ends_at=start + timedelta(minutes=visit.minutes),
            **{"held_until": None, "needs_person_since": None} | more,
        )
    except RuleBroken as broken:
        if ONE_AT_A_TIME in broken.rule:
            raise NoTimeFree(
                f"{who}'s time was taken a moment ago; choose another time."
            ) from broken
        raise


def _locate_ticket_holds(visit: Visit, day: date | None) -> None:
    """Digging is agreed only inside a valid locate ticket. Private lines are not marked by it."""
    if not visit.is_digging:
        return
    valid = LocateTicket.objects.standing().filter(
        Q(valid_from__lte=day), Q(valid_until__gte=day), site_id=visit.site_id
    )
    if not valid.exists():
        raise GroundNotLocated(
            "This visit digs, and no utility locate ticket is valid on that day. Have the "
            "utilities located first; private lines, our own pump feed too, are not marked."
        )


def _hers(visit: Visit) -> Account:
    assert visit.technician is not None  # a booked visit has one: a constraint says so
    return visit.technician


def need_state(visit: Visit, *states: str) -> None:
    if visit.state not in states:
        raise NotInThisState(
            f"This visit is {State(visit.state).label} now, so that cannot be done any more. "
            "Open the visit again to see how it stands."
        )


def announce(kind: str, visit: Visit, asker: Asker) -> None:
    """Announce a fact. An undoable act's messages wait until it can no longer be undone."""
    wait = timedelta(seconds=30) if asker.group else timedelta(0)
    queue.put(
        kind,
        key=f"{visit.pk}:{visit.sequence}",
        at=asker.at,
        due_at=asker.at + wait,
        visit_id=visit.pk,
        sequence=visit.sequence,
        group=asker.group,
    )
