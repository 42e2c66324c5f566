"""Working hours: a change is a new pattern from a day on, and the past stays as it was."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.visits.actions.touched import Touched, touching
from drainservice.visits.models import WorkingHours
from drainservice.visits.models.crew import WEEKDAYS

MOST_OVERTIME_MIN, MOST_BREAK_MIN = 240, 180


class HoursRefused(CannotBeDone):
    """Working hours that cannot be; the text says what to change."""


@dataclass(frozen=True, slots=True)
class DayHours:
    """One weekday of a pattern, Monday 0. The break starts between its two times; 0: none."""

    weekday: int
    starts: time
    ends: time
    overtime_minutes: int = 60
    break_minutes: int = 30
    break_earliest: time = time(11, 30)
    break_latest: time = time(13, 30)


@transaction.atomic
def set_working_hours(
    account: Account, *, asker: Asker, valid_from: date, days: Sequence[DayHours]
) -> Touched:
    """A pattern that holds from a day until the next one begins; weekdays it lacks are off.

    One of the same day is replaced. Days that are over keep their hours: only a first pattern may
    begin before today. Errors: HoursRefused.
    """
    _can_be(days)
    today = accounts.today_of_firm(asker.at)
    standing = WorkingHours.objects.standing().filter(account=account)
    if valid_from < today and standing.exists():
        raise HoursRefused(
            f"Days that are over keep their hours; let the new ones begin on {today} or later."
        )
    later = standing.filter(valid_from__gt=valid_from).order_by("valid_from").first()
    last = later.valid_from - timedelta(days=1) if later is not None else None
    with touching(asker, first=valid_from, last=last, technicians=[account]) as touched:
        for row in standing.filter(valid_from=valid_from):
            history.remove(row, asker=asker)
        rows = [WorkingHours(account=account, valid_from=valid_from, **asdict(day)) for day in days]
        touched.row = history.enter_rows(rows, asker=asker)
    return touched


@transaction.atomic
def take_back_hours(account: Account, *, asker: Asker, valid_from: date) -> Touched:
    """A pattern that has not begun yet, and shall not. Errors: HoursRefused."""
    if valid_from <= accounts.today_of_firm(asker.at):
        raise HoursRefused("These hours have begun; enter new ones from a day on instead.")
    rows = WorkingHours.objects.standing().filter(account=account, valid_from=valid_from)
    with touching(asker, first=valid_from, technicians=[account]) as touched:
        for row in rows:
            history.remove(row, asker=asker)
    return touched


def _can_be(days: Sequence[DayHours]) -> None:
    if not days:
        raise HoursRefused(
            "Give the hours of at least one weekday. For somebody who does not work at all for a "
            "while, enter an absence; who has left is switched off in the settings."
        )
    for day in days:
        _day_can_be(day)
    twice = [weekday for weekday, number in Counter(d.weekday for d in days).items() if number > 1]
    if twice:
        raise HoursRefused(f"{WEEKDAYS[twice[0]]} stands there twice; give its hours once.")


def _day_can_be(day: DayHours) -> None:
    if day.weekday not in range(7):
        raise HoursRefused("A week has seven days, Monday 0 to Sunday 6.")
    on = f"On {WEEKDAYS[day.weekday]}s"
    if day.ends <= day.starts:
        raise HoursRefused(f"{on} work would end before it begins; choose a later end.")
    if not 0 <= day.overtime_minutes <= MOST_OVERTIME_MIN:
        raise HoursRefused(f"{on} overtime may be 0 to {MOST_OVERTIME_MIN} minutes.")
    if not 0 <= day.break_minutes <= MOST_BREAK_MIN:
        raise HoursRefused(f"{on} a break may take 0 (none) to {MOST_BREAK_MIN} minutes.")
    if day.break_minutes:
        _break_can_be(day, on)


def _break_can_be(day: DayHours, on: str) -> None:
    if day.break_latest < day.break_earliest:
        raise HoursRefused(f"{on} the break's latest start lies before its earliest; swap them.")
    latest_end = datetime.combine(date.min, day.break_latest) + timedelta(minutes=day.break_minutes)
    ends = datetime.combine(date.min, day.ends)
    if day.break_earliest < day.starts or latest_end > ends:
        raise HoursRefused(
            f"{on} the break would not lie within working hours; let it start between "
            f"{day.starts:%H:%M} and {day.break_minutes} minutes before {day.ends:%H:%M}, or give "
            "0 minutes for none."
        )
