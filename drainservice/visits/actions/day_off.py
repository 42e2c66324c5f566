"""A whole day called off, in one act: whoever was told hears of it once, and each visit comes back
as a planned one that is wanted soon."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.accounts.text import clean_line
from drainservice.visits.actions.access import close_for
from drainservice.visits.actions.book import announce
from drainservice.visits.actions.rounds import UNBOOKED, raise_versions, round_of_visit
from drainservice.visits.models import State, Visit, VisitSystem

# By when a visit of a day that was called off is wanted, if nothing wants it sooner: judgement.
SOON = timedelta(days=14)
TOLD = {State.OFFERED, State.AGREED}


class NothingToCallOff(CannotBeDone):
    """No visit of that day can be called off any more."""


@dataclass(frozen=True, slots=True)
class DayOff:
    """What a day called off left behind: visits called off, those nobody had been told of, and the
    planned visits, old and new, that want another day."""

    called_off: list[Visit]
    unbooked: list[Visit]
    to_rebook: list[Visit]


@transaction.atomic
def call_off_day(
    day: date,
    *,
    asker: Asker,
    by: str,
    because: str,
    technicians: Collection[Account] | None = None,
) -> DayOff:
    """Call off every visit of a day, or those of some technicians, that nobody is on the way to.

    Errors: NothingToCallOff, TextRefused; nothing is done then.
    """
    by = clean_line(by, most=200, what="Who called it off")
    because = clean_line(because, most=200, what="The reason")
    if not because:
        raise CannotBeDone("Say why the day is called off; the office reads it on each visit.")
    if day < accounts.today_of_firm(asker.at):
        raise NothingToCallOff("That day is over; choose today or a day to come.")
    visits = _visits_of(day, technicians)
    if not visits:
        raise NothingToCallOff(
            "No visit of that day can be called off: there is none, or somebody is on the way."
        )
    raise_versions(round_of_visit(visit) for visit in visits)
    told = [visit for visit in visits if visit.state in TOLD]
    untold = [visit for visit in visits if visit.state not in TOLD]
    come_back = _come_back(told, asker)
    for visit in told:
        _call_off(visit, asker, by, because)
    for visit in untold:
        soon = {"meant_for": visit.meant_for or visit.day, "wanted_by": _soon(visit, asker)}
        history.keep(visit, asker=asker, state=State.PLANNED, **UNBOOKED | soon)
    return DayOff(told, untold, [*come_back, *untold])


def _visits_of(day: date, technicians: Collection[Account] | None) -> list[Visit]:
    states = [State.PLANNED, State.HELD, State.OFFERED, State.AGREED]
    rows = Visit.objects.standing().filter(day=day, state__in=states, set_out_at__isnull=True)
    if technicians is not None:
        rows = rows.filter(technician__in=technicians)
    return list(rows.select_related("site").order_by("technician_id", "slot_starts_at", "pk"))


def _call_off(visit: Visit, asker: Asker, by: str, because: str) -> None:
    history.keep(
        visit,
        asker=asker,
        state=State.CALLED_OFF,
        called_off_at=asker.at,
        called_off_by=by,
        called_off_because=because,
        needs_person_since=None,
        sequence=visit.sequence + 1,
    )
    close_for(visit, asker=asker)
    announce("visit.called_off", visit, asker)


def _come_back(visits: list[Visit], asker: Asker) -> list[Visit]:
    """The same visits anew, in the week they were meant for, with the systems and looks wanted."""
    rows = VisitSystem.objects.standing().filter(visit__in=visits).select_related("system")
    wanted: dict[int, list[VisitSystem]] = {}
    for row in rows.order_by("pk"):
        wanted.setdefault(row.visit_id, []).append(row)
    found = []
    for visit in visits:
        again = Visit(
            site=visit.site,
            purpose=visit.purpose,
            meant_for=visit.day,
            minutes=visit.minutes,
            is_digging=visit.is_digging,
            skills_wanted=visit.skills_wanted,
            likes=visit.likes,
            is_urgent=visit.is_urgent,
            wanted_by=_soon(visit, asker),
        )
        history.enter(again, asker=asker)
        systems = [
            VisitSystem(visit=again, system=row.system, looks_wanted=row.looks_wanted)
            for row in wanted.get(visit.pk, [])
        ]
        if systems:
            history.enter_rows(systems, asker=asker)
        found.append(again)
    return found


def _soon(visit: Visit, asker: Asker) -> date:
    """Within two weeks of the day, and not before tomorrow."""
    day = visit.day or accounts.today_of_firm(asker.at)
    soon = day + SOON
    wanted = soon if visit.wanted_by is None else min(visit.wanted_by, soon)
    return max(wanted, accounts.today_of_firm(asker.at) + timedelta(days=1))
