"""Who can go on which days: shifts, and why there is none."""

from collections.abc import Iterable, Sequence
from datetime import date

from drainservice.accounts import queries as accounts
from drainservice.accounts.models import Account
from drainservice.visits.models import CrewMember, HomeBase
from drainservice.visits.queries.closed import (
    CalendarIsUnknown,
    closed_days_between,
    the_terms,
    why_closed,
)
from drainservice.visits.queries.crew_known import base_of, first_base, read_crew
from drainservice.visits.queries.hours import Pause
from drainservice.visits.queries.shift import CrewDay, CrewShift, Polygon

__all__ = [
    "CalendarIsUnknown",
    "CrewDay",
    "CrewShift",
    "Pause",
    "Polygon",
    "closed_days_between",
    "crew_on",
    "home_base_of",
    "shifts_on",
    "the_terms",
    "why_closed",
    "why_no_shift",
]


def shifts_on(
    days: Sequence[date], *, technicians: Iterable[Account] | None = None
) -> list[CrewShift]:
    """Every shift of the days, in order of day and handle; all technicians unless some are named.

    A fixed number of statements for any number of days and technicians. Hours, breaks and
    absences are the firm's wall time.
    """
    found = crew_on(days, technicians=technicians)
    return [one.shift for one in found if one.shift is not None]


def crew_on(days: Sequence[date], *, technicians: Iterable[Account] | None = None) -> list[CrewDay]:
    """Every technician on every day, in order of day and handle, with shift or reason."""
    wanted = sorted(set(days))
    crew = accounts.technicians()
    if technicians is not None:
        crew = crew.filter(pk__in=[account.pk for account in technicians])
    people = list(crew)
    if not wanted or not people:
        return []
    known = read_crew(people, wanted)
    return [known.on(account, day) for day in wanted for account in people]


def why_no_shift(technician: Account, day: date) -> str:
    """ "Andrea is away on Thursday 13 May: fever.", "Closed: Thanksgiving Day.", "No working hours
    on Sundays."; empty where they work that day. For the office: it tells an absence's reason."""
    found = crew_on([day], technicians=[technician])
    if not found:
        return f"{technician.person.name} does not go out any more; choose somebody else."
    return "" if found[0].shift else found[0].why


def home_base_of(technician: Account) -> HomeBase | None:
    """Where their rounds begin: their own base, else the firm's first, else none."""
    member = CrewMember.objects.standing().filter(account=technician)
    row = member.select_related("base").first()
    return base_of(row, first_base())
