"""Changing whose rules hold and the firm's catalogue: the dates of all they touch follow."""

from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.register.actions.shapes import month_day, rates_per_year, reveals, rule_months
from drainservice.register.actions.systems import say_changed
from drainservice.register.models import EquipmentType, Jurisdiction, System, WetSeason

# Tables of parts that name their type.
OF_TYPE = ("pit", "access_point", "line", "pumps", "pumps__check_valves", "backups")


@transaction.atomic
def change_jurisdiction(
    row: Jurisdiction, *, asker: Asker, wet_seasons: list[tuple[str, str]], **new: Any
) -> Jurisdiction:
    """Other limits or seasons. Errors: ShapeRefused, ChangedMeanwhile, RuleBroken."""
    for field, what in (("frost_from", "The start of frost"), ("frost_until", "The end of frost")):
        if new.get(field):
            month_day(new[field], what=what)
    if "rule_months" in new:
        new["rule_months"] = rule_months(new["rule_months"])
    before = row.version
    history.keep(row, asker=asker, **new)
    changed: list[Any] = [row] if row.version != before else []
    changed += _set_seasons(row, wet_seasons, asker)
    if changed:
        _say(changed[0], System.objects.standing().filter(site__jurisdiction=row), asker)
    return row


@transaction.atomic
def change_equipment_type(row: EquipmentType, *, asker: Asker, **new: Any) -> EquipmentType:
    """Other intervals, another life. Errors: ShapeRefused, ChangedMeanwhile, RuleBroken."""
    if "rates_per_year" in new:
        new["rates_per_year"] = rates_per_year(new["rates_per_year"])
    if "reveals" in new:
        new["reveals"] = reveals(new["reveals"])
    before = row.version
    history.keep(row, asker=asker, **new)
    if row.version != before:
        of_type = Q()
        for name in OF_TYPE:
            of_type |= Q(**{f"{name}__type": row})
        _say(row, System.objects.standing().filter(of_type).distinct(), asker)
    return row


def _set_seasons(
    place: Jurisdiction, wanted: list[tuple[str, str]], asker: Asker
) -> list[WetSeason]:
    """Answers the seasons that came or went."""
    left, changed = list(wanted), []
    for row in WetSeason.objects.standing().filter(jurisdiction=place).order_by("pk"):
        if (row.starts, row.ends) in left:
            left.remove((row.starts, row.ends))
        else:
            changed.append(history.remove(row, asker=asker))
    for starts, ends in left:
        season = WetSeason(
            jurisdiction=place,
            starts=month_day(starts, what="The start of a wet season"),
            ends=month_day(ends, what="The end of a wet season"),
        )
        changed.append(history.enter(season, asker=asker))
    return changed


def _say(row: Any, systems: QuerySet[System], asker: Asker) -> None:
    for system in systems:
        say_changed(row, system, asker)
