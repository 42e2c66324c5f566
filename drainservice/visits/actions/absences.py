"""Who cannot come, and which van cannot be driven: what it touches is answered at once."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from drainservice.accounts import history, wall
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.accounts.text import clean_line
from drainservice.bounds import LINE
from drainservice.visits.actions.touched import Touched, touching
from drainservice.visits.models import Absence, Van, VanOut

LONGEST = timedelta(days=1100)
INSTANT = timedelta(microseconds=1)


class AbsenceRefused(CannotBeDone):
    """An absence that cannot be; the text says what to change."""


@transaction.atomic
def enter_absence(
    account: Account, *, asker: Asker, from_at: datetime, until_at: datetime, because: str = ""
) -> Touched:
    """Somebody cannot come. Errors: AbsenceRefused, TextRefused."""
    because = clean_line(because, most=LINE, what="The reason")
    _can_be(from_at, until_at)
    row = Absence(account=account, from_at=from_at, until_at=until_at, because=because)
    with _away(asker, [account], from_at, until_at) as touched:
        touched.row = history.enter(row, asker=asker)
    return touched


@transaction.atomic
def change_absence(
    row: Absence, *, asker: Asker, from_at: datetime, until_at: datetime, because: str
) -> Touched:
    """Longer, shorter, at another time. Errors: AbsenceRefused, TextRefused, ChangedMeanwhile."""
    because = clean_line(because, most=LINE, what="The reason")
    _can_be(from_at, until_at)
    first, last = min(row.from_at, from_at), max(row.until_at, until_at)
    with _away(asker, [row.account], first, last, away=(from_at, until_at)) as touched:
        touched.row = history.keep(
            row, asker=asker, from_at=from_at, until_at=until_at, because=because
        )
    return touched


@transaction.atomic
def remove_absence(row: Absence, *, asker: Asker) -> Absence:
    """They come after all. Errors: ChangedMeanwhile."""
    with _away(asker, [row.account], row.from_at, row.until_at, away=None):
        history.remove(row, asker=asker)
    return row


@transaction.atomic
def enter_van_out(
    van: Van, *, asker: Asker, from_at: datetime, until_at: datetime, because: str
) -> Touched:
    """A van cannot be driven, so whose it is does not go. Errors: AbsenceRefused, TextRefused."""
    row = VanOut(van=van, from_at=from_at, until_at=until_at, because=_reason(because))
    _can_be(from_at, until_at)
    with _away(asker, _crew_of(van), from_at, until_at) as touched:
        touched.row = history.enter(row, asker=asker)
    return touched


@transaction.atomic
def change_van_out(row: VanOut, *, asker: Asker, **new: Any) -> Touched:
    """Other times or another reason. Errors: AbsenceRefused, TextRefused, ChangedMeanwhile."""
    new["because"] = _reason(new.get("because", row.because))
    from_at, until_at = new.get("from_at", row.from_at), new.get("until_at", row.until_at)
    _can_be(from_at, until_at)
    first, last = min(row.from_at, from_at), max(row.until_at, until_at)
    crew = _crew_of(row.van)
    with _away(asker, crew, first, last, away=(from_at, until_at)) as touched:
        touched.row = history.keep(row, asker=asker, **new)
    return touched


@transaction.atomic
def remove_van_out(row: VanOut, *, asker: Asker) -> VanOut:
    """The van can be driven after all. Errors: ChangedMeanwhile."""
    with _away(asker, _crew_of(row.van), row.from_at, row.until_at, away=None):
        history.remove(row, asker=asker)
    return row


_SAME: Any = object()


@contextmanager
def _away(
    asker: Asker,
    crew: list[Account],
    from_at: datetime,
    until_at: datetime,
    *,
    away: tuple[datetime, datetime] | None = _SAME,
) -> Iterator[Touched]:
    """Around a change of these times; `away` is what is lost by it, all of it unless told."""
    zone = accounts.the_firm().zone
    first, last = wall.today_in(zone, from_at), _last_day(until_at, zone)
    lost = (from_at, until_at) if away is _SAME else away
    with touching(asker, first=first, last=last, technicians=crew, away=lost) as touched:
        yield touched


def _last_day(until_at: datetime, zone: str) -> date:
    """The last day that is touched: what ends at midnight leaves the new day alone."""
    return wall.today_in(zone, until_at - INSTANT)


def _crew_of(van: Van) -> list[Account]:
    members = van.crew.filter(removed_at__isnull=True).select_related("account")
    return [member.account for member in members]


def _reason(because: str) -> str:
    because = clean_line(because, most=LINE, what="The reason")
    if not because:
        raise AbsenceRefused("Say why the van is out, so that everybody can plan with it.")
    return because


def _can_be(from_at: datetime, until_at: datetime) -> None:
    if until_at <= from_at:
        raise AbsenceRefused("That would end before it begins; choose a later end.")
    if until_at - from_at > LONGEST:
        raise AbsenceRefused(
            "That is longer than three years; mend the year, or switch the account off in the "
            "settings."
        )
