"""Writing an inspection whole, once; a correction is a new one that names the old."""

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.text import clean_line, clean_text
from drainservice.inspections.models import Inspection, Look, Outcome, Reading, Result
from drainservice.inspections.models.inspection import Origin
from drainservice.inspections.models.reading_kinds import check_reading
from drainservice.inspections.models.record import InspectionRecord, LookRecord
from drainservice.inspections.queries.sums import sums_of
from drainservice.inspections.queries.weighed import Sum
from drainservice.register import queries as register
from drainservice.register.models import Pump, System
from drainservice.register.queries import Whole
from jobs import queue


class AnotherInspection(CannotBeDone):
    """The same id arrived with other words."""


class NothingLookedAt(CannotBeDone):
    """An inspection without a look says nothing."""


class DayAhead(CannotBeDone):
    """An inspection of a day that has not come."""


@transaction.atomic
def record_inspection(system: System, *, asker: Asker, record: InspectionRecord) -> Inspection:
    """Store an inspection with its looks, readings, sums and findings, and close it.

    The same record again is the same inspection. Errors: AnotherInspection, NothingLookedAt,
    DayAhead, ReadingRefused; nothing is stored then.
    """
    standing = Inspection.objects.filter(pk=record.id).first()
    if standing is not None:
        return _the_same(standing, system, record)
    judge_record(system, asker, record)
    inspection = history.enter(inspection_row(system, asker, record), asker=asker)
    whole = register.whole(system, day=record.on)
    _write_looks(inspection, whole, record, asker)
    queue.put(
        "inspection.closed",
        key=str(inspection.pk),
        at=asker.at,
        inspection_id=str(inspection.pk),
        found=[[d.kind, d.part, d.note] for d in record.defects_found],
        mended=list(record.kinds_mended),
    )
    return inspection


def _the_same(standing: Inspection, system: System, record: InspectionRecord) -> Inspection:
    if standing.system_id == system.pk and standing.body_hash == record.body_hash():
        return standing
    raise AnotherInspection(
        "An inspection with this number is stored already and says something else. Open the "
        "stored one, and write what differs as a correction."
    )


def judge_record(system: System, asker: Asker, record: InspectionRecord) -> None:
    """Refuse what nobody can have found."""
    if not record.looks:
        raise NothingLookedAt("Say of at least one look whether it was done, and if not, why.")
    if record.on > register.today_at(system.site, asker.at):
        raise DayAhead("The day of the inspection lies ahead; write the day on which you looked.")
    for look in record.looks:
        for reading in look.readings:
            check_reading(reading.kind, reading.value)
    for found in record.defects_found:
        _is_tellable(found.kind, 40, "The kind of a defect")
        _is_tellable(found.part, 20, "The part of a defect")
        clean_line(found.note, most=1000, what="The note on a defect")
    for kind in record.kinds_mended:
        _is_tellable(kind, 40, "The kind of what was mended")


def _is_tellable(text: str, most: int, what: str) -> None:
    if not clean_line(text, most=most, what=what):
        raise CannotBeDone(f"{what} is empty; say what it is.")


def inspection_row(system: System, asker: Asker, record: InspectionRecord) -> Inspection:
    """The inspection itself, not saved yet."""
    corrected = None
    if record.corrects is not None:
        corrected = Inspection.objects.filter(pk=record.corrects, system=system).first()
        if corrected is None:
            raise CannotBeDone("The inspection to correct is not one of this system's.")
        if Inspection.objects.filter(corrects=corrected).exists():
            raise CannotBeDone(
                "That inspection has been corrected before. Open its correction, and correct that."
            )
    return Inspection(
        id=record.id,
        system=system,
        on=record.on,
        on_span=record.on_span,
        # Whoever brings a sheet in is not who stood at the pit.
        person_id=None if record.origin == Origin.SHEET else asker.account_id,
        person_named=clean_line(record.person_named, most=200, what="The name"),
        origin=record.origin,
        arrived_at=record.arrived_at,
        left_at=record.left_at,
        device=clean_line(record.device, most=80, what="The device"),
        body_hash=record.body_hash(),
        work_lines=clean_text(record.work_lines, most=5000, what="The work"),
        note=clean_text(record.note, most=5000, what="The note"),
        closed_at=asker.at,
        corrects=corrected,
    )


def _write_looks(
    inspection: Inspection, whole: Whole, record: InspectionRecord, asker: Asker
) -> None:
    """Whole tables at a time: a phone's record of eight looks is a handful of statements."""
    looks = [look_row(inspection, whole, told) for told in record.looks]
    history.enter_rows(looks, asker=asker)
    both = list(zip(looks, record.looks, strict=True))
    readings: list[Reading] = [each for row, told in both for each in reading_rows(row, told)]
    results: list[Result] = [each for row, told in both for each in result_rows(row, whole, told)]
    history.enter_rows(readings, asker=asker)
    history.enter_rows(results, asker=asker)


def look_row(inspection: Inspection, whole: Whole, record: LookRecord) -> Look:
    """One look, not saved yet."""
    return Look(
        inspection=inspection,
        kind=record.kind,
        outcome=record.outcome,
        why_not=record.why_not,
        next_step=clean_line(record.next_step, most=200, what="The next step"),
        next_step_on=record.next_step_on,
        passed=_passed(record, whole),
        pump=_pump_at(whole, record.pump_position),
        note=clean_line(record.note, most=1000, what="The note"),
    )


def reading_rows(look: Look, record: LookRecord) -> list[Reading]:
    """Its readings, not saved yet."""
    return [
        Reading(
            look=look,
            kind=r.kind,
            value=r.value,
            uncertainty=r.uncertainty,
            seconds_into_test=r.seconds_into_test,
        )
        for r in record.readings
    ]


def result_rows(look: Look, whole: Whole, record: LookRecord) -> list[Result]:
    """The sums of a look that was made, not saved yet."""
    if record.outcome == Outcome.NOT_DONE:
        return []
    readings = {r.kind: r.value for r in record.readings}
    sums = sums_of(whole, record.kind, readings, record.pump_position or 1)
    return [_result(look, one) for one in sums]


def _passed(record: LookRecord, whole: Whole) -> bool | None:
    """A pump that ran while the level stood has failed; one that the water never reached was not
    tested, whatever was ticked."""
    if record.kind != "pump" or record.outcome == Outcome.NOT_DONE:
        return record.passed if record.outcome != Outcome.NOT_DONE else None
    readings = {r.kind: r.value for r in record.readings}
    high_m, low_m = readings.get("pump_down_from_m"), readings.get("pump_down_to_m")
    pump = whole.at_pump(record.pump_position).pump
    on_m = pump.on_level_m if pump else None
    if record.passed and high_m is not None:
        # A hand's breadth of error in either level; judgement, no source.
        if on_m is not None and high_m < on_m - 0.05:
            return None
        if low_m is not None and low_m >= high_m:
            return False
    return record.passed


def _pump_at(whole: Whole, position: int) -> Pump | None:
    return next((p for p in whole.pumps if p.position == position), None)


def _result(look: Look, one: Sum) -> Result:
    return Result(
        look=look,
        what=one.what,
        inputs=one.inputs,
        outputs=one.outputs,
        verdict=one.verdict,
        model_version=one.model_version,
    )
