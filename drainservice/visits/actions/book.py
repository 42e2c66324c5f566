"""Planning, offering, holding, agreeing, moving and calling off."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.accounts.text import clean_line
from drainservice.inspections.models.due import KINDS
from drainservice.register.models import LocateTicket, Site, System
from drainservice.visits.actions.access import close_for, open_for
from drainservice.visits.actions.rounds import (
    UNBOOKED,
    book_into_round,
    lock_rounds,
    move_up,
    raise_versions,
    round_of_visit,
)
from drainservice.visits.models import State, Visit, VisitSystem
from drainservice.visits.queries.room import NoTimeFree
from drainservice.visits.queries.window import Window
from jobs import queue

__all__ = [
    "GroundNotLocated",
    "NoTimeFree",
    "NotInThisState",
    "WindowInThePast",
    "agree_visit",
    "announce",
    "book_promise",
    "call_off_visit",
    "hold_visit",
    "let_hold_go",
    "move_visit",
    "moved_from",
    "need_state",
    "need_ticket",
    "offer_visit",
    "plan_visit",
]
HOLD = timedelta(minutes=10)


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
    skills: Sequence[str] = (),
    likes: Sequence[str] = (),
    wanted_by: date | None = None,
    is_urgent: bool = False,
) -> Visit:
    """Mean to come; nobody is told. `systems` maps each system to the looks wanted there; `likes`
    are "morning", "afternoon" and weekdays as "0" (Monday) to "6"."""
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
        skills_wanted=list(skills),
        likes=list(likes),
        wanted_by=wanted_by,
        is_urgent=is_urgent,
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
    book_promise(visit, State.OFFERED, to, technician, asker, sequence=sequence)
    open_for(visit, asker=asker)
    announce("visit.offered", visit, asker)
    return visit


@transaction.atomic
def hold_visit(
    visit: Visit, *, to: Window, technician: Account, asker: Asker, token: UUID | None = None
) -> Visit:
    """Keep a time free for ten minutes while the caller thinks. `token` is the mark of the press:
    the same press again finds what it holds already."""
    own: Visit | None = None
    if token is not None:
        own = Visit.objects.standing().filter(held_token=token).first()
    if own is not None:
        return own
    need_state(visit, State.PLANNED, State.HELD)
    until = asker.at + HOLD
    book_promise(visit, State.HELD, to, technician, asker, held_until=until, held_token=token)
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
    left = round_of_visit(visit)
    raise_versions([left])
    history.keep(visit, asker=asker, state=State.PLANNED, **UNBOOKED)
    move_up(left, asker=asker)
    return visit


@transaction.atomic
def agree_visit(visit: Visit, *, asker: Asker, kept: tuple[Window, Account] | None = None) -> Visit:
    """The household said yes: promised, invited, and the technician let in.

    A hold that has run out is tried again at the same place at once; `kept` says which, where it
    may have been swept already. Errors: NoTimeFree where somebody else has it by now.
    """
    if visit.state == State.HELD:
        kept = kept or (_window(visit), _hers(visit))
        # Whoever sweeps holds may be at it: from here on the hold stands, or is seen to be gone.
        lock_rounds([round_of_visit(visit)])
        visit.refresh_from_db()
    if kept is not None and visit.state == State.PLANNED:
        return _agree_anew(visit, *kept, asker)
    need_state(visit, State.OFFERED, State.HELD)
    if visit.window_ends_at is not None and visit.window_ends_at <= asker.at:
        raise WindowInThePast("That time is over; offer one that lies ahead.")
    if visit.held_until is not None and visit.held_until <= asker.at:
        return _agree_anew(visit, _window(visit), _hers(visit), asker)
    need_ticket(visit, visit.day)
    raise_versions([round_of_visit(visit)])
    history.keep(visit, asker=asker, state=State.AGREED, held_until=None, needs_person_since=None)
    open_for(visit, asker=asker)
    announce("visit.agreed", visit, asker)
    return visit


def _agree_anew(visit: Visit, to: Window, technician: Account, asker: Asker) -> Visit:
    need_ticket(visit, to.day)
    book_promise(visit, State.AGREED, to, technician, asker)
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
    need_ticket(visit, to.day)
    who = technician or _hers(visit)
    is_moved = (visit.day, visit.window_from, visit.window_to) != (to.day, to.from_, to.to)
    is_handed_on = who.pk != visit.technician_id
    if not is_moved and not is_handed_on:
        return visit
    # Whoever was promised by name is part of the promise.
    is_told = is_moved or visit.is_named
    # Who had set out to the old time sets out anew to the new one.
    new = {"sequence": visit.sequence + 1, "set_out_at": None} if is_told else {}
    book_promise(
        visit, State.AGREED, to, who, asker, **new | (moved_from(visit) if is_moved else {})
    )
    open_for(visit, asker=asker)
    if is_told:
        announce("visit.moved", visit, asker)
    return visit


def moved_from(visit: Visit) -> dict[str, Any]:
    """What stood before a move, for "it was Tue 12 May"."""
    return {
        "was_moved": True,
        "moved_from_day": visit.day,
        "moved_from_window": f"{visit.window_from:%H:%M}-{visit.window_to:%H:%M}",
    }


@transaction.atomic
def call_off_visit(visit: Visit, *, asker: Asker, by: str, because: str) -> Visit:
    """End a visit before it was made; whoever was invited is told."""
    need_state(visit, State.PLANNED, State.OFFERED, State.HELD, State.AGREED)
    was_told = visit.state in {State.OFFERED, State.AGREED}
    left = round_of_visit(visit)
    raise_versions([left])
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
    move_up(left, asker=asker)
    close_for(visit, asker=asker)
    if was_told:
        announce("visit.called_off", visit, asker)
    return visit


def book_promise(
    visit: Visit, state: str, to: Window, technician: Account, asker: Asker, **more: Any
) -> None:
    """Write a promise into a round. Errors: NoTimeFree, WindowInThePast."""
    zone = visit.site.zone
    if to.ends_at(zone) <= to.starts_at(zone):
        raise CannotBeDone("The window ends before it begins; choose a later end.")
    if to.ends_at(zone) <= asker.at:
        raise WindowInThePast("That time is over; choose one that lies ahead.")
    values = {
        "state": state,
        "day": to.day,
        "window_from": to.from_,
        "window_to": to.to,
        "window_starts_at": to.starts_at(zone),
        "window_ends_at": to.ends_at(zone),
        "held_until": None,
        "needs_person_since": None,
    }
    book_into_round(visit, to=to, technician=technician, asker=asker, **values | more)


def need_ticket(visit: Visit, day: date | None) -> None:
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


def _window(visit: Visit) -> Window:
    assert visit.day is not None  # a booked visit has a promise: a constraint says so
    assert visit.window_from is not None
    assert visit.window_to is not None
    return Window(visit.day, visit.window_from, visit.window_to)


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
