"""When a technician is free."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.visits.models import OPEN, Visit
from drainservice.visits.queries.window import Window


def earliest_free(
    technician: Account,
    window: Window,
    zone: str,
    *,
    minutes: int,
    without: Visit | None = None,
    not_before: datetime | None = None,
) -> datetime | None:
    """The earliest start in the window, from now on, at which they have so many minutes free.

    The visit must start inside the window; it may end after it, as a promise is to arrive.
    """
    first, last = window.starts_at(zone), window.ends_at(zone)
    length = timedelta(minutes=minutes)
    taken = (
        Visit.objects.standing()
        .filter(
            technician=technician,
            state__in=OPEN,
            slot_starts_at__lt=last + length,
            slot_ends_at__gt=first,
        )
        .exclude(pk=without.pk if without else None)
        .order_by("slot_starts_at")
        .values_list("slot_starts_at", "slot_ends_at")
    )
    start = first if not_before is None else max(first, not_before)
    for begins, ends in taken:
        if start + length <= begins:
            break
        start = max(start, ends)
    return start if start < last else None


WINDOWS = [(8, 10), (10, 12), (13, 15), (15, 17)]
SATURDAY = 5
# Nobody is offered a time that begins in less than this; judgement, no source.
SOONEST = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class FreeTime:
    """A promised window in which a technician has room, and when the work would start."""

    window: Window
    technician: Account
    starts_at: datetime


def free_times(
    technicians: Iterable[Account],
    zone: str,
    *,
    minutes: int,
    at: datetime,
    from_day: date | None = None,
    most: int = 3,
    days: int = 14,
    without: Visit | None = None,
) -> list[FreeTime]:
    """The earliest windows, Monday to Friday, in which somebody has so many minutes free.

    One technician a window: who could start first, of several the one first in the list.
    Driving is not counted here.
    """
    crew = list(technicians)
    first = max(from_day or wall.today_in(zone, at), wall.today_in(zone, at))
    found: list[FreeTime] = []
    for day in (first + timedelta(days=n) for n in range(days)):
        if day.weekday() >= SATURDAY:
            continue
        for from_h, to_h in WINDOWS:
            window = Window(day, time(from_h), time(to_h))
            if window.starts_at(zone) < at + SOONEST:
                continue
            starts = [
                (starts_at, rank)
                for rank, technician in enumerate(crew)
                if (
                    starts_at := earliest_free(
                        technician, window, zone, minutes=minutes, without=without
                    )
                )
            ]
            if starts:
                starts_at, rank = min(starts)
                found.append(FreeTime(window, crew[rank], starts_at))
            if len(found) == most:
                return found
    return found
