"""What planning goes by, and the days on which nobody drives."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.text import clean_line
from drainservice.bounds import LINE
from drainservice.visits import queries
from drainservice.visits.actions.touched import Touched, touching
from drainservice.visits.models import ClosedDay, PlanningTerms
from drainservice.visits.queries.closed import CalendarIsUnknown, public_holidays

LONGEST = timedelta(days=366)


class TermsRefused(CannotBeDone):
    """Terms of planning that cannot be; the text says what to change."""


class ClosedDayRefused(CannotBeDone):
    """Closed days that cannot be; the text says what to change."""


@transaction.atomic
def set_planning_terms(*, asker: Asker, version: int | None = None, **new: Any) -> Touched:
    """Set some of the terms; the row is made when first set.

    `version` is the one that was read; None takes the row as it stands. Errors: TermsRefused,
    ChangedMeanwhile, RuleBroken.
    """
    today = accounts.today_of_firm(asker.at)
    terms = queries.the_terms()
    country = new.get("country", terms.country).strip().upper()
    subdivision = new.get("subdivision", terms.subdivision).strip().upper()
    _is_known(country, subdivision, today.year)
    new |= {"country": country, "subdivision": subdivision}
    # A first entry that was undone left its row, out of sight.
    row = PlanningTerms.objects.filter(pk=terms.pk).first()
    with touching(asker, first=today) as touched:
        if row is None:
            touched.row = history.enter(PlanningTerms(pk=terms.pk, **new), asker=asker)
        else:
            if version is not None and row.removed_at is None:
                row.version = version
            touched.row = history.keep(row, asker=asker, **new, removed_at=None)
    return touched


@transaction.atomic
def close_days(
    *, asker: Asker, first_on: date, last_on: date, name: str, is_worked: bool = False
) -> Touched:
    """Days on which nobody drives; with `is_worked`, public holidays on which we do.

    Errors: ClosedDayRefused, TextRefused.
    """
    row = ClosedDay(first_on=first_on, last_on=last_on, name=_name(name), is_worked=is_worked)
    _can_be(first_on, last_on)
    with touching(asker, first=first_on, last=last_on) as touched:
        touched.row = history.enter(row, asker=asker)
    return touched


@transaction.atomic
def change_closed_days(row: ClosedDay, *, asker: Asker, **new: Any) -> Touched:
    """Other days, another name. Errors: ClosedDayRefused, TextRefused, ChangedMeanwhile."""
    new["name"] = _name(new.get("name", row.name))
    first_on, last_on = new.get("first_on", row.first_on), new.get("last_on", row.last_on)
    _can_be(first_on, last_on)
    first, last = min(row.first_on, first_on), max(row.last_on, last_on)
    with touching(asker, first=first, last=last) as touched:
        touched.row = history.keep(row, asker=asker, **new)
    return touched


@transaction.atomic
def take_closed_days_off(row: ClosedDay, *, asker: Asker) -> Touched:
    """These days are as any other; what was worked is a holiday again. Errors: ChangedMeanwhile."""
    with touching(asker, first=row.first_on, last=row.last_on) as touched:
        touched.row = history.remove(row, asker=asker)
    return touched


def _is_known(country: str, subdivision: str, year: int) -> None:
    if subdivision and not country:
        raise TermsRefused("A part belongs to a country; give its two letters, such as US.")
    try:
        public_holidays(country, subdivision, year)
    except CalendarIsUnknown as unknown:
        raise TermsRefused(str(unknown)) from unknown


def _name(name: str) -> str:
    name = clean_line(name, most=LINE, what="The name")
    if not name:
        raise ClosedDayRefused("Give the days a name, such as Stock taking.")
    return name


def _can_be(first_on: date, last_on: date) -> None:
    if last_on < first_on:
        raise ClosedDayRefused("The last day lies before the first; swap them.")
    if last_on - first_on > LONGEST:
        raise ClosedDayRefused("That is more than a year; mend one of the two days.")
