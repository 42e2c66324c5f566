"""What follows from a closed inspection and from a household's bucket test."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Q

from drainservice.accounts import history, wall
from drainservice.accounts.asker import Asker
from drainservice.inspections.actions.defects import find_defect, mend_defect
from drainservice.inspections.actions.due import refresh_due
from drainservice.inspections.actions.taking_back import take_back
from drainservice.inspections.models import (
    Defect,
    Down,
    Inspection,
    Look,
    LookKind,
    Outcome,
    SelfCheck,
    SelfCheckAnswer,
)
from drainservice.register import queries as register
from drainservice.register.models import Pump, System
from jobs import queue

FAILED = {
    SelfCheckAnswer.DID_NOT_START,
    SelfCheckAnswer.LEVEL_STOOD,
    SelfCheckAnswer.DID_NOT_STOP,
}

FALSE_WITHIN = timedelta(days=31)


@transaction.atomic
def after_inspection(
    *,
    asker: Asker,
    inspection_id: str,
    found: list[list[str]] | None = None,
    mended: list[str] | None = None,
    **_: Any,
) -> None:
    """Downs, defects and due dates that a closed inspection changes. Repeating it adds nothing.

    A correction first takes back what followed from the inspection it names; what has itself been
    corrected has no consequences any more.
    """
    rows = Inspection.objects.select_related("system__site", "corrects")
    inspection = rows.get(pk=inspection_id)
    system = inspection.system
    if Inspection.objects.filter(corrects=inspection).exists():
        refresh_due(asker=asker, system_id=system.pk)
        return
    if inspection.corrects is not None:
        take_back(inspection.corrects, asker=asker)
    for look in Look.objects.standing().filter(inspection=inspection).select_related("pump"):
        _after_look(look, inspection, asker)
    for kind, part, note in found or []:
        find_defect(
            system,
            asker=asker,
            kind=kind,
            part=part,
            note=note,
            found_on=inspection.on,
            inspection=inspection,
        )
    standing = Defect.objects.standing().filter(system=system, mended_on__isnull=True)
    for defect in standing.filter(kind__in=mended or [], found_on__lte=inspection.on):
        mend_defect(defect, asker=asker, on=inspection.on, inspection=inspection)
    refresh_due(asker=asker, system_id=system.pk)


@transaction.atomic
def give_self_check(
    system: System, *, asker: Asker, answer: str, on: date, **seen: Any
) -> SelfCheck:
    """A household's bucket test. The same answer of the same day is one answer."""
    standing = SelfCheck.objects.standing().filter(
        system=system, on=on, answer=answer, person_id=asker.person_id
    )
    found = standing.first()
    if found is not None:
        return found  # type: ignore[no-any-return]
    row = SelfCheck(system=system, person_id=asker.person_id, on=on, answer=answer, **seen)
    check = history.enter(row, asker=asker)
    queue.put("self_check.given", key=str(check.pk), at=asker.at, self_check_id=check.pk)
    return check


@transaction.atomic
def after_self_check(*, asker: Asker, self_check_id: int, **_: Any) -> None:
    """A pump that a household saw fail is down; the dates follow."""
    check = SelfCheck.objects.select_related("system__site").get(pk=self_check_id)
    if check.answer in FAILED:
        # A household cannot tell two pumps apart: the first is looked at first.
        there = Pump.objects.standing().filter(system=check.system, until_on__isnull=True)
        pump = there.order_by("position", "pk").first()
        if pump is not None and (pump.from_on is None or pump.from_on <= check.on):
            _put_down(pump, asker, since=_noon(check.on, check.system), look=None)
    refresh_due(asker=asker, system_id=check.system_id)


@transaction.atomic
def note_stop_gap(down: Down, *, asker: Asker, stop_gap: str, told: bool) -> Down:
    """What keeps the water out until the pump runs again, and whether the household knows."""
    told_at = asker.at if told and down.told_at is None else down.told_at
    return history.keep(down, asker=asker, stop_gap=stop_gap, told_at=told_at)


def _after_look(look: Look, inspection: Inspection, asker: Asker) -> None:
    if look.kind == LookKind.PUMP and look.passed is not None:
        pump = look.pump or _first_pump(inspection)
        if pump is not None and pump.until_on is None:
            _after_pump_test(look, pump, inspection, asker)


def _after_pump_test(look: Look, pump: Pump, inspection: Inspection, asker: Asker) -> None:
    if look.passed is False:
        seen_at = inspection.left_at or inspection.arrived_at
        since = seen_at or _noon(inspection.on, inspection.system)
        if not _ran_later(pump, inspection):
            _put_down(pump, asker, since=since, look=look)
        _prove_false(inspection, asker)
    elif look.outcome == Outcome.DONE:
        _prove(pump, look, inspection, asker)


def _prove(pump: Pump, look: Look, inspection: Inspection, asker: Asker) -> None:
    """A full test passed: what was down is proven, unless it was found dead after that test.

    So is a pump that stood here before and went down for good: its place pumps again.
    """
    went_before = Q(pump__until_on__lte=inspection.on, pump__position=pump.position)
    downs = Down.objects.standing().filter(
        Q(pump=pump) | went_before, pump__system=pump.system_id, proven_at__isnull=True
    )
    for down in downs:
        _prove_one(down, look, inspection, asker)


def _prove_one(down: Down, look: Look, inspection: Inspection, asker: Asker) -> None:
    zone = inspection.system.site.zone
    seen_at = inspection.left_at or inspection.arrived_at
    if seen_at is not None:
        is_later = seen_at >= down.since_at
    else:
        # Nobody wrote down the hour: the day decides, and on the same day what was told later.
        found_on, told_at = wall.today_in(zone, down.since_at), inspection.closed_at or asker.at
        is_later = inspection.on > found_on or (
            inspection.on == found_on and told_at >= down.since_at
        )
    if is_later:
        proven_at = max(seen_at or _noon(inspection.on, inspection.system), down.since_at)
        history.keep(down, asker=asker, proven_at=proven_at, proven_by=look)


def _ran_later(pump: Pump, inspection: Inspection) -> bool:
    """Old inspections may arrive after newer ones: a log tells of years in any order."""
    passed = Look.objects.standing().filter(pump=pump, passed=True, outcome=Outcome.DONE)
    return passed.filter(
        inspection__on__gt=inspection.on, inspection__corrected_by__isnull=True
    ).exists()


def _put_down(pump: Pump, asker: Asker, *, since: datetime, look: Look | None) -> None:
    if not Down.objects.standing().filter(pump=pump, proven_at__isnull=True).exists():
        was_proven_later = Down.objects.standing().filter(pump=pump, proven_at__gte=since)
        if not was_proven_later.exists():
            history.enter(Down(pump=pump, since_at=since, found_by=look), asker=asker)


def _prove_false(inspection: Inspection, asker: Asker) -> None:
    """A pump found dead within a month of the household's "it ran": that answer weighs less,
    unless one of us has seen the pump run in between."""
    system = inspection.system
    checks = SelfCheck.objects.standing().filter(
        system=system, answer=SelfCheckAnswer.RAN_AND_STOPPED, on__lte=inspection.on
    )
    last = checks.order_by("-on", "-pk").first()
    if last is None or last.proved_false_on or last.on < inspection.on - FALSE_WITHIN:
        return
    seen_running = Look.objects.standing().filter(
        inspection__system=system,
        inspection__corrected_by__isnull=True,
        inspection__on__gt=last.on,
        inspection__on__lt=inspection.on,
        kind=LookKind.PUMP,
        passed=True,
    )
    if not seen_running.exists():
        history.keep(last, asker=asker, proved_false_on=inspection.on)


def _first_pump(inspection: Inspection) -> Pump | None:
    on = inspection.on
    whole = register.whole(inspection.system, day=on)
    return whole.pump


def _noon(day: date, system: System) -> datetime:
    return wall.instant(day, time(12, 0), system.site.zone).astimezone(UTC)
