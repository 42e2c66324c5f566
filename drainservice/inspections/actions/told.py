"""Recording many old inspections at once, as a sheet tells them: whole tables at a time."""

from django.db import transaction

from drainservice.accounts import history, wall
from drainservice.accounts.asker import Asker
from drainservice.inspections.actions.record import (
    inspection_row,
    judge_record,
    look_row,
    reading_rows,
    record_inspection,
    result_rows,
)
from drainservice.inspections.models import Inspection, Reading, Result
from drainservice.inspections.models.record import InspectionRecord
from drainservice.register import queries as register
from drainservice.register.models import Pump, System
from drainservice.register.queries import Whole
from jobs import queue

AT_ONCE = 500


@transaction.atomic
def record_told(
    told: list[tuple[System, InspectionRecord]], *, asker: Asker, lane: str = ""
) -> None:
    """Store them all, each as `record_inspection` would; what is stored already is left.

    Errors: as `record_inspection`; nothing is stored then.
    """
    for start in range(0, len(told), AT_ONCE):
        _record_part(told[start : start + AT_ONCE], asker, lane)


def _record_part(told: list[tuple[System, InspectionRecord]], asker: Asker, lane: str) -> None:
    ids = {record.id for _, record in told}
    stored = set(Inspection.objects.filter(pk__in=ids).values_list("pk", flat=True))
    systems = {system.pk for system, _ in told}
    changed = _systems_with_old_pumps(systems)
    plain = System.objects.filter(pk__in=systems - changed)
    day = wall.today_in("UTC", asker.at)
    wholes = {w.system.pk: w for w in register.wholes(plain, day=day)}
    rows: list[tuple[Inspection, InspectionRecord, Whole]] = []
    for system, record in told:
        if record.id in stored or system.pk in changed:
            record_inspection(system, asker=asker, record=record)
            continue
        stored.add(record.id)
        judge_record(system, asker, record)
        rows.append((inspection_row(system, asker, record), record, wholes[system.pk]))
    _write(rows, asker)
    queue.put_many(
        [
            queue.new_row(
                "inspection.closed",
                key=str(row.pk),
                at=asker.at,
                due_at=asker.at,
                lane=lane,
                inspection_id=str(row.pk),
                found=[[d.kind, d.part, d.note] for d in record.defects_found],
                mended=list(record.kinds_mended),
            )
            for row, record, _ in rows
        ]
    )


def _systems_with_old_pumps(systems: set[int]) -> set[int]:
    """Where a pump was changed, an old visit saw the old one: those are looked up day by day."""
    old = Pump.objects.filter(system__in=systems, until_on__isnull=False)
    return set(old.values_list("system", flat=True))


def _write(rows: list[tuple[Inspection, InspectionRecord, Whole]], asker: Asker) -> None:
    history.enter_rows([row for row, _, _ in rows], asker=asker)
    looks = [
        (look_row(row, whole, look), look, whole)
        for row, record, whole in rows
        for look in record.looks
    ]
    history.enter_rows([row for row, _, _ in looks], asker=asker)
    readings: list[Reading] = [each for row, look, _ in looks for each in reading_rows(row, look)]
    results: list[Result] = [r for row, look, whole in looks for r in result_rows(row, whole, look)]
    history.enter_rows(readings, asker=asker)
    history.enter_rows(results, asker=asker)
