"""A sheet's row about a visit as an inspection's record."""

import uuid
from typing import Any

from drainservice.exchange.keys import fingerprint
from drainservice.exchange.spans import read_span
from drainservice.inspections.models.reading_kinds import KINDS
from drainservice.inspections.models.record import InspectionRecord, LookRecord, ReadingRecord

READINGS = {
    "inspection.sediment_m": "sediment_m",
    "inspection.drain_time_s": "drain_time_s",
    "inspection.water_level_m": "arrival_level_m",
    "inspection.pump_down_s": "pump_down_s",
    "inspection.current_a": "current_a",
    "inspection.voltage_v": "voltage_v",
    "inspection.flow_m3s": "outlet_flow_m3s",
}
# So that a row always makes the same inspection, and a second telling is known for one.
SPACE = uuid.UUID("6f0d3c1e-5d0e-5b7c-9a53-7d8a1b2c4e90")


def unfit_readings(facts: dict[str, Any]) -> dict[str, str]:
    """Facts no reading can hold, each with why."""
    found = {}
    for fact, kind in READINGS.items():
        row = KINDS[kind]
        if fact in facts and not row.low <= facts[fact] <= row.high:
            found[fact] = f"a reading of the {row.words} lies between {row.low:g} and {row.high:g}"
    if len(str(facts.get("inspection.by", ""))) > 200:
        found["inspection.by"] = "a name holds at most 200 characters"
    return found


def visit_facts(facts: dict[str, Any]) -> dict[str, Any]:
    """Those facts of a row that tell of a visit."""
    return {fact: value for fact, value in facts.items() if fact.startswith("inspection.")}


def inspection_record(facts: dict[str, Any], *, system_key: str, note: str) -> InspectionRecord:
    """The inspection a row tells of; `inspection.on` must be among the facts."""
    day, span = read_span(facts["inspection.on"])
    told = visit_facts(facts) | {"system": system_key, "note": note}
    next_on = facts.get("inspection.next_on")
    notes = [note] if note else []
    if next_on:
        notes.append(f"Next visit told: {next_on}.")
    return InspectionRecord(
        id=uuid.uuid5(SPACE, fingerprint(told)),
        on=day,
        on_span=span,
        origin="sheet",
        person_named=str(facts.get("inspection.by", "")),
        looks=_looks(facts),
        note="\n".join(notes)[:5000],
    )


def _looks(facts: dict[str, Any]) -> tuple[LookRecord, ...]:
    readings: dict[str, list[ReadingRecord]] = {}
    for fact, kind in READINGS.items():
        if fact in facts:
            readings.setdefault(KINDS[kind].look, []).append(ReadingRecord(kind, facts[fact]))
    looks = {kind: LookRecord(kind, readings=tuple(found)) for kind, found in readings.items()}
    ran = facts.get("inspection.pump_ran")
    if ran is not None:
        looks["pump"] = LookRecord(
            "pump", passed=ran, pump_position=1, readings=tuple(readings.get("pump", ()))
        )
    if not looks:
        # Somebody was there, and the sheet does not say what was looked at.
        told = "The sheet tells of a visit, and not what was looked at."
        return (LookRecord("first_look", outcome="in_part", note=told),)
    return tuple(looks.values())
