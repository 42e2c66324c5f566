"""A technician's day as one thing that changes: its version is counted, its times slide together.

Whoever writes into a round raises its version in the same transaction, where it still is the one
read. That is the first guard against double booking; the second is the database's own rule that a
technician has one visit at a time.
"""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from drainservice.accounts import history, wall
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.accounts.history import ChangedMeanwhile, RuleBroken
from drainservice.accounts.models import Account
from drainservice.visits.actions.slots import NewTime, write_times
from drainservice.visits.models import Round, State, Visit
from drainservice.visits.queries import room as rooms
from drainservice.visits.queries.room import NoTimeFree, Room
from drainservice.visits.queries.window import Window

ONE_AT_A_TIME = "a_technician_has_one_visit_at_a_time"
TURNS = 2
UNBOOKED: dict[str, Any] = {
    "technician": None,
    "day": None,
    "window_from": None,
    "window_to": None,
    "window_starts_at": None,
    "window_ends_at": None,
    "slot_starts_at": None,
    "slot_ends_at": None,
    "held_until": None,
    "held_token": None,
}


class _Overtaken(Exception):
    """Somebody else changed the round between reading and writing."""


def day_of_round(instant: datetime) -> date:
    """The day of the round in which a moment lies, by the firm's clock."""
    return wall.today_in(accounts.the_firm().zone, instant)


def round_of_visit(visit: Visit) -> tuple[int, date] | None:
    """Technician and day of the round in which a visit stands, if it does."""
    if visit.technician_id is None or visit.slot_starts_at is None:
        return None
    return visit.technician_id, day_of_round(visit.slot_starts_at)


def take_version(technician_id: int, day: date, version: int, **new: Any) -> bool:
    """Raise a round's version where it still is the one read (0: there was no row). Counted."""
    if version == 0:
        _make_row(technician_id, day)
    row = Round.objects.filter(technician=technician_id, day=day, version=version or 1)
    return row.update(version=F("version") + 1, **new) == 1


def raise_versions(rounds: Iterable[tuple[int, date] | None]) -> None:
    """These rounds have changed, whatever their versions were.

    Call it before any visit is written, as booking does: who locks rounds first and visits second
    never waits for somebody who waits for them. One order for everybody, too.
    """
    for technician_id, day in sorted({one for one in rounds if one is not None}):
        row = Round.objects.filter(technician=technician_id, day=day)
        if not row.update(version=F("version") + 1):
            _make_row(technician_id, day)
            row.update(version=F("version") + 1)


def _make_row(technician_id: int, day: date) -> None:
    row = Round(technician_id=technician_id, day=day)
    Round.objects.bulk_create([row], ignore_conflicts=True)


def lock_rounds(rounds: Iterable[tuple[int, date] | None]) -> None:
    """Nobody else changes these rounds until the transaction ends; on SQLite nobody could."""
    for technician_id, day in sorted({one for one in rounds if one is not None}):
        row = Round.objects.select_for_update().filter(technician=technician_id, day=day)
        row.first()


def book_into_round(
    visit: Visit, *, to: Window, technician: Account, asker: Asker, **values: Any
) -> None:
    """Give the visit its place in the technician's round and slide the others inside their
    windows; `values` are set with it. Raises NoTimeFree."""
    day = day_of_round(to.starts_at(visit.site.zone))
    left = round_of_visit(visit)
    if left not in (None, (technician.pk, day)):
        lock_rounds([left, (technician.pk, day)])
    free_expired_holds(technician, day, asker=asker, but=visit)
    for turn in range(TURNS):
        try:
            room = rooms.room_for(visit, to, technician, at=asker.at)
        except NoTimeFree as full:
            if turn:
                raise _taken(technician) from full
            raise
        if _is_written(visit, room, asker, values):
            if left not in (None, (technician.pk, room.day)):
                raise_versions([left])
                move_up(left, asker=asker)
            return
    raise _taken(technician)


def _taken(technician: Account) -> NoTimeFree:
    who = technician.person.name
    return NoTimeFree(f"Someone took that time of {who} a moment ago; choose another time.")


def _is_written(visit: Visit, room: Room, asker: Asker, values: dict[str, Any]) -> bool:
    """Whether both guards let it through; nothing is written where one does not."""
    before = dict(visit.__dict__)
    try:
        with transaction.atomic():
            _write(visit, room, asker, values)
            return True
    except (_Overtaken, RuleBroken, ChangedMeanwhile) as refused:
        visit.__dict__.clear()
        visit.__dict__.update(before)
        if isinstance(refused, RuleBroken) and ONE_AT_A_TIME not in refused.rule:
            raise
        is_own = not Visit.objects.filter(pk=visit.pk, version=visit.version).exists()
        if isinstance(refused, ChangedMeanwhile) and is_own:
            raise
        return False


def _write(visit: Visit, room: Room, asker: Asker, values: dict[str, Any]) -> None:
    who, day = room.technician, room.day
    if not take_version(who.pk, day, room.version, break_starts_at=room.break_starts_at):
        raise _Overtaken
    changes = [
        _new_time(row, who, start, values if row is visit else {})
        for row, start in room.starts
        if row is visit or row.slot_starts_at != start
    ]
    write_times(changes, asker=asker)


def _new_time(visit: Visit, who: Account, start: datetime, values: dict[str, Any]) -> NewTime:
    return NewTime(visit, who, start, start + timedelta(minutes=visit.minutes), values)


def move_up(left: tuple[int, date] | None, *, asker: Asker) -> None:
    """A visit has left a round: the others move up inside their windows. A round that cannot be
    kept, or is over, is left as it stands. `raise_versions` comes first."""
    if left is None:
        return
    technician = Account.objects.select_related("person").get(pk=left[0])
    planned = rooms.round_as_planned(technician, left[1], at=asker.at)
    if planned is None:
        return
    row = Round.objects.filter(technician=technician, day=left[1])
    row.update(break_starts_at=planned.break_starts_at)
    changes = [
        _new_time(row, technician, start, {})
        for row, start in planned.starts
        if row.slot_starts_at != start
    ]
    write_times(changes, asker=asker)


def free_expired_holds(technician: Account, day: date, *, asker: Asker, but: Visit) -> None:
    """Holds of that round that ran out are free again, swept or not."""
    zone = accounts.the_firm().zone
    first = wall.instant(day, time(0), zone)
    end = wall.instant(day + timedelta(days=1), time(0), zone)
    over = Visit.objects.standing().filter(
        state=State.HELD,
        technician=technician,
        held_until__lte=asker.at,
        slot_starts_at__gte=first,
        slot_starts_at__lt=end,
    )
    for visit in over.exclude(pk=but.pk).order_by("pk"):
        history.keep(visit, asker=asker, state=State.PLANNED, **UNBOOKED)
