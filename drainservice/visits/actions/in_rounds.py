"""What a person changes in a round by hand: who goes, what stands in it, what a planner leaves."""

from datetime import date, datetime

from django.db import transaction

from drainservice.accounts import history, wall
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account
from drainservice.visits.actions.book import NotInThisState, move_visit, need_state
from drainservice.visits.actions.rounds import (
    book_into_round,
    move_up,
    raise_versions,
    round_of_visit,
)
from drainservice.visits.models import BOOKED, Lock, State, Visit
from drainservice.visits.queries.crew import shifts_on, why_no_shift
from drainservice.visits.queries.room import NoTimeFree
from drainservice.visits.queries.window import Window


class NamedTechnician(NotInThisState):
    """The household was promised this technician."""


@transaction.atomic
def put_in_round(visit: Visit, *, technician: Account, day: date, asker: Asker) -> Visit:
    """Give a visit of which nobody was told its place in a round, where it adds least.

    Nobody is told of it now either. Errors: NotInThisState, NoTimeFree.
    """
    need_state(visit, State.PLANNED)
    window = _whole_shift(visit, technician, day, asker.at)
    book_into_round(visit, to=window, technician=technician, asker=asker, day=window.day)
    return visit


@transaction.atomic
def take_out_of_round(visit: Visit, *, asker: Asker) -> Visit:
    """Only what nobody was told of: it waits for another day. Errors: NotInThisState."""
    need_state(visit, State.PLANNED)
    left = round_of_visit(visit)
    raise_versions([left])
    history.keep(
        visit,
        asker=asker,
        technician=None,
        day=None,
        slot_starts_at=None,
        slot_ends_at=None,
        lock=Lock.NONE,
    )
    move_up(left, asker=asker)
    return visit


@transaction.atomic
def hand_on(visit: Visit, *, technician: Account, asker: Asker) -> Visit:
    """Another technician makes it on the same day; a promise keeps its window, and nobody is told.

    Errors: NamedTechnician, NotInThisState, NoTimeFree.
    """
    need_state(visit, State.PLANNED, State.OFFERED, State.AGREED)
    if visit.is_named and visit.state in BOOKED:
        raise NamedTechnician(
            "This household was promised the technician by name. Ring them, and move the visit on "
            "its own page."
        )
    if visit.lock != Lock.NONE:
        raise NotInThisState("This visit is locked to its technician; unlock it first.")
    if visit.state == State.PLANNED:
        day = (round_of_visit(visit) or (0, wall.today_in(visit.site.zone, asker.at)))[1]
        return put_in_round(visit, technician=technician, day=day, asker=asker)
    return move_visit(visit, to=_promise(visit), technician=technician, asker=asker)


@transaction.atomic
def lock_visit(visit: Visit, lock: str, *, asker: Asker) -> Visit:
    """What a planner must leave as it is: nothing, the technician, the day too, the start too.

    The round counts as changed: a plan made on the other rule is not adopted unseen.
    """
    if visit.slot_starts_at is None or visit.state not in {State.PLANNED, *BOOKED}:
        raise NotInThisState("Only a visit that stands in a round can be locked there.")
    raise_versions([round_of_visit(visit)])
    return history.keep(visit, asker=asker, lock=Lock(lock))


def _promise(visit: Visit) -> Window:
    assert visit.day is not None  # a booked visit has a promise: a constraint says so
    assert visit.window_from is not None
    assert visit.window_to is not None
    return Window(visit.day, visit.window_from, visit.window_to)


def _whole_shift(visit: Visit, technician: Account, day: date, at: datetime) -> Window:
    """The technician's shift on the clock of the site: any start within it will do."""
    shifts = shifts_on([day], technicians=[technician])
    if not shifts:
        raise NoTimeFree(
            f"{why_no_shift(technician, day)} Choose another day or another technician."
        )
    zone = visit.site.zone
    opens = wall.local(max(shifts[0].starts_at, at), zone)
    closes = wall.local(shifts[0].ends_at, zone)
    if opens >= closes:
        raise NoTimeFree("That shift is over; choose another day or another technician.")
    return Window(opens.date(), opens.time(), closes.time())
