"""Changing what belongs to a site: surroundings, permits, locate tickets, agreements."""

from typing import Any, TypeVar

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.register.actions.systems import say_changed
from drainservice.register.models import (
    Agreement,
    LocateTicket,
    Permit,
    Site,
    Surrounding,
    System,
)
from jobs import queue

Belonging = TypeVar("Belonging", Surrounding, Permit, LocateTicket, Agreement)


@transaction.atomic
def change_belonging(row: Belonging, *, asker: Asker, **new: Any) -> Belonging:
    """Change one; what stands near counts in the dates. Errors: ChangedMeanwhile, RuleBroken."""
    before = row.version
    history.keep(row, asker=asker, **new)
    if row.version != before:
        _say(row, asker)
    return row


@transaction.atomic
def take_off(row: Belonging, *, asker: Asker) -> None:
    """Take one off the record; it stays readable in history. Systems leave an agreement first."""
    if isinstance(row, Agreement):
        for system in System.objects.standing().filter(agreement=row):
            history.keep(system, asker=asker, agreement=None)
    history.remove(row, asker=asker)
    _say(row, asker)


@transaction.atomic
def set_agreed(agreement: Agreement, site: Site, *, asker: Asker, systems: list[System]) -> None:
    """These systems of the site share the agreement; its others there leave it."""
    chosen = {system.pk for system in systems}
    for system in System.objects.standing().filter(site=site):
        if system.pk in chosen:
            history.keep(system, asker=asker, agreement=agreement)
        elif system.agreement_id == agreement.pk:
            history.keep(system, asker=asker, agreement=None)


@transaction.atomic
def say_put_back(site_ids: set[int], *, asker: Asker, group: str) -> None:
    """An act was undone at these sites: what was counted by it is counted anew."""
    for system in System.objects.standing().filter(site__in=site_ids):
        queue.put(
            "system.changed",
            key=f"{system.pk}:undone:{group}",
            at=asker.at,
            folds_into=f"{system.pk}:",
            system_id=system.pk,
        )


def say_site_changed(row: Any, site: Site, asker: Asker) -> None:
    """Every system of the site is judged anew."""
    for system in System.objects.standing().filter(site=site):
        say_changed(row, system, asker)


def _say(row: Any, asker: Asker) -> None:
    if isinstance(row, Surrounding):
        say_site_changed(row, row.site, asker)
