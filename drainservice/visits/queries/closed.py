"""What planning goes by, and the days on which nobody drives."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, timedelta
from functools import lru_cache
from types import MappingProxyType

from drainservice.visits.models import ClosedDay, PlanningTerms

DAY = timedelta(days=1)
# The terms as one reading has found them; no box outside of one.
_read: ContextVar[list[PlanningTerms] | None] = ContextVar("terms_read", default=None)


class CalendarIsUnknown(ValueError):
    """No calendar of public holidays is known for these codes."""


def the_terms() -> PlanningTerms:
    """What planning goes by; as we judge it (not stored) until somebody has set it."""
    box = _read.get()
    if box:
        return box[0]
    row: PlanningTerms | None = PlanningTerms.objects.standing().first()
    found = row or PlanningTerms(pk=1)
    if box is not None:
        box.append(found)
    return found


@contextmanager
def terms_read_once() -> Iterator[None]:
    """Around what only reads: the terms are read once, however often they are asked for."""
    token = _read.set([])
    try:
        yield
    finally:
        _read.reset(token)


@lru_cache(maxsize=256)
def public_holidays(country: str, subdivision: str, year: int) -> Mapping[date, str]:
    """Public holidays of a year by ISO 3166 codes, such as US and WA; none without a country.

    Source: the `holidays` library. Errors: CalendarIsUnknown.
    """
    if not country:
        return MappingProxyType({})
    # Read when first needed: it is large.
    from holidays import country_holidays

    try:
        found = country_holidays(country, subdiv=subdivision or None, years=[year])
    except NotImplementedError as unknown:
        place = f"{country}, {subdivision}" if subdivision else country
        raise CalendarIsUnknown(
            f"No calendar of public holidays is known for {place}. Write a country as two letters, "
            "such as US, and a part of it as its own code, such as WA; or leave both empty and "
            "enter the closed days yourselves."
        ) from unknown
    return MappingProxyType(dict(found))


def closed_days_between(first: date, last: date) -> dict[date, str]:
    """Every closed day of a span, both ends within, with what closes it.

    Public holidays close unless a row of ours says that we work; days of our own always do.
    """
    rows = ClosedDay.objects.standing().filter(first_on__lte=last, last_on__gte=first)
    return closed_by(the_terms(), rows.order_by("first_on", "pk"), first, last)


def closed_by(
    terms: PlanningTerms, rows: Iterable[ClosedDay], first: date, last: date
) -> dict[date, str]:
    """The same from rows that were read already."""
    own: dict[date, str] = {}
    worked: set[date] = set()
    for row in rows:
        days = _days(max(row.first_on, first), min(row.last_on, last))
        if row.is_worked:
            worked.update(days)
        else:
            own |= {day: own.get(day, row.name) for day in days}
    public = {day: name for day, name in _public(terms, first, last).items() if day not in worked}
    return dict(sorted((public | own).items()))


def why_closed(day: date) -> str:
    """ "Closed: Thanksgiving Day." Empty where somebody may drive."""
    name = closed_days_between(day, day).get(day)
    return f"Closed: {name}." if name else ""


def knows_holidays(terms: PlanningTerms, year: int) -> bool:
    """Whether public holidays are known for the country and part that are set."""
    try:
        public_holidays(terms.country, terms.subdivision, year)
    except CalendarIsUnknown:
        return False
    return True


def _public(terms: PlanningTerms, first: date, last: date) -> dict[date, str]:
    found: dict[date, str] = {}
    for year in range(first.year, last.year + 1):
        # What is set was known when it was set; the page says so where it no longer is.
        if knows_holidays(terms, year):
            found |= public_holidays(terms.country, terms.subdivision, year)
    return {day: name for day, name in found.items() if first <= day <= last}


def _days(first: date, last: date) -> list[date]:
    return [first + n * DAY for n in range((last - first).days + 1)]
