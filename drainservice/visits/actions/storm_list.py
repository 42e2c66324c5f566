"""A list before a storm: chosen systems must be reached on a day, whatever else was planned."""

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.register.models import Site, System
from drainservice.visits.models import OPEN, State, Visit, VisitSystem

PURPOSE = "look before the storm"


class NothingOnTheList(CannotBeDone):
    """No system of the list needs another visit that day."""


@transaction.atomic
def list_for_storm(
    day: date,
    systems: Mapping[System, list[str]],
    *,
    asker: Asker,
    minutes: Mapping[int, int],
    purpose: str = PURPOSE,
) -> list[Visit]:
    """One urgent visit for each site of the list, without a time yet: a repair finds it one.

    `systems` maps each to the looks wanted there, `minutes` each site to its time on site. A site
    that is promised a visit that day needs no other; a planned visit without a time becomes
    urgent. Errors: NothingOnTheList.
    """
    if day < accounts.today_of_firm(asker.at):
        raise NothingOnTheList("That day is over; choose today or a day to come.")
    by_site: dict[Site, dict[System, list[str]]] = {}
    for system, looks in systems.items():
        by_site.setdefault(system.site, {})[system] = looks
    comes = _promised(day, by_site)
    waiting = _waiting(by_site)
    found = []
    for site, wanted in by_site.items():
        if site.pk in comes:
            continue
        found.append(_urgent(site, wanted, waiting.get(site.pk), day, minutes, purpose, asker))
    if not found:
        raise NothingOnTheList(
            "Each of these is visited that day already, or nothing was chosen; choose others."
        )
    return found


def _promised(day: date, sites: Collection[Site]) -> set[int]:
    rows = Visit.objects.standing().filter(site__in=sites, day=day, state__in=OPEN)
    return set(rows.values_list("site_id", flat=True))


def _waiting(sites: Collection[Site]) -> dict[int, Visit]:
    """A planned visit without a time at each site, the newest."""
    rows = Visit.objects.standing().filter(
        site__in=sites, state=State.PLANNED, slot_starts_at__isnull=True
    )
    return {visit.site_id: visit for visit in rows.order_by("pk")}


def _urgent(
    site: Site,
    wanted: dict[System, list[str]],
    waiting: Visit | None,
    day: date,
    minutes: Mapping[int, int],
    purpose: str,
    asker: Asker,
) -> Visit:
    urgent: dict[str, Any] = {"is_urgent": True, "meant_for": day, "wanted_by": day}
    if waiting is not None:
        visit = history.keep(waiting, asker=asker, **urgent)
    else:
        visit = Visit(site=site, purpose=purpose, minutes=minutes.get(site.pk, 45), **urgent)
        history.enter(visit, asker=asker)
    there = set(
        VisitSystem.objects.standing().filter(visit=visit).values_list("system_id", flat=True)
    )
    rows = [
        VisitSystem(visit=visit, system=system, looks_wanted=looks)
        for system, looks in wanted.items()
        if system.pk not in there
    ]
    if rows:
        history.enter_rows(rows, asker=asker)
    return visit
