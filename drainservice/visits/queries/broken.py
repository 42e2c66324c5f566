"""Visits ahead that no shift holds: the person is away, the day is closed, a licence has ended."""

from collections.abc import Collection
from datetime import date, datetime, timedelta

from drainservice.accounts.models import Account
from drainservice.visits.models import BOOKED, OPEN, Visit
from drainservice.visits.queries.crew import CrewShift, shifts_on


def broken_promises(
    at: datetime, *, first: date, technicians: Collection[Account] | None = None
) -> list[Visit]:
    """Booked visits from a day on whose technician has no shift that holds them, in order of time;
    a fixed number of statements."""
    ahead = [v for v in visits_with_slots(at, first, None, technicians) if v.state in BOOKED]
    held = held_by_shifts(ahead)
    return [visit for visit in ahead if visit.pk not in held]


def visits_with_slots(
    at: datetime, first: date, last: date | None, technicians: Collection[Account] | None
) -> list[Visit]:
    """Open visits of these days that are not over and have a technician and a time."""
    visits = Visit.objects.standing().filter(
        state__in=OPEN, day__gte=first, slot_ends_at__gt=at, technician__isnull=False
    )
    if last is not None:
        visits = visits.filter(day__lte=last)
    if technicians is not None:
        visits = visits.filter(technician__in=technicians)
    rows = visits.select_related("site", "technician__person")
    return list(rows.order_by("slot_starts_at", "pk"))


def held_by_shifts(visits: Collection[Visit]) -> set[int]:
    """The numbers of those that a shift of their technician holds."""
    days = {visit.day for visit in visits if visit.day is not None}
    shifts = {(s.technician.pk, s.day): s for s in shifts_on(sorted(days))}
    return {v.pk for v in visits if is_held(v, shifts.get((v.technician_id, v.day)))}  # type: ignore[arg-type]


def is_held(visit: Visit, shift: CrewShift | None) -> bool:
    """Whether the visit's time lies within the shift and its overtime, and its skills are there."""
    if shift is None or visit.slot_starts_at is None or visit.slot_ends_at is None:
        return False
    latest = shift.ends_at + timedelta(minutes=shift.overtime_minutes)
    is_within = shift.starts_at <= visit.slot_starts_at and visit.slot_ends_at <= latest
    return is_within and set(visit.skills_wanted) <= shift.skills
