"""What a technician writes down at a pit, look by look, rim to outlet."""

import random
import uuid
from dataclasses import dataclass
from datetime import date, datetime

from drainservice.engine.units import INCH_M
from drainservice.inspections.models.record import (
    DefectRecord,
    InspectionRecord,
    LookRecord,
    ReadingRecord,
)
from drainservice.web.demo.physics import drain_readings, pump_readings, rise_m, silt_m
from drainservice.web.demo.places import Place

CLEAN_FROM_M = 3.5 * INCH_M


@dataclass(frozen=True, slots=True)
class Found:
    """What this inspection found besides its numbers."""

    pump_passed: bool = True
    defects: tuple[DefectRecord, ...] = ()
    mended: tuple[str, ...] = ()
    note: str = ""
    work: str = ""


SOUND = Found()


def kinds_for(place: Place, on: date) -> list[str]:
    """The looks of a yearly visit that apply here."""
    build = place.build
    kinds = ["lid", "sediment", "percolation"]
    if build.pump:
        kinds += ["pump", "valve", "line"]
        kinds += ["alarm"] if build.has_alarm else []
        kinds += ["battery"] if build.has_battery else []
    if place.has_frost and on.month in {9, 10, 11}:
        kinds.append("autumn")
    if place.has_frost and on.month in {3, 4}:
        kinds.append("spring")
    if build.is_adopted and place.last_on is None:
        kinds.append("first_look")
    return kinds


def write_record(
    place: Place,
    on: date,
    *,
    kinds: list[str],
    found: Found,
    arrived_at: datetime | None,
    left_at: datetime | None,
    person_named: str = "",
    origin: str = "site",
) -> InspectionRecord:
    """The whole record as a phone would send it."""
    looks, cleaned = [], ""
    for kind in kinds:
        looks.append(_look(place, kind, on, found))
        if kind == "sediment" and looks[-1].readings[0].value > CLEAN_FROM_M:
            place.cleaned_on = on
            cleaned = "Sump cleaned, silt taken away."
    return InspectionRecord(
        id=uuid.UUID(int=place.rng.getrandbits(128), version=4),
        on=on,
        looks=tuple(looks),
        origin=origin,
        person_named=person_named,
        arrived_at=arrived_at,
        left_at=left_at,
        device="phone" if origin == "site" else "",
        work_lines="\n".join(line for line in (found.work, cleaned) if line),
        note=found.note,
        defects_found=found.defects,
        kinds_mended=found.mended,
    )


def unreached(place: Place, on: date, why_not: str, next_step: str) -> InspectionRecord:
    """Nothing could be looked at, and why."""
    return InspectionRecord(
        id=uuid.UUID(int=place.rng.getrandbits(128), version=4),
        on=on,
        looks=(LookRecord("pump", "not_done", why_not=why_not, next_step=next_step),),
        device="phone",
    )


def _look(place: Place, kind: str, on: date, found: Found) -> LookRecord:
    build, rng = place.build, place.rng
    if kind == "pump":
        if not found.pump_passed:
            note = "It hums and does not turn."
            return LookRecord("pump", passed=False, pump_position=1, note=note)
        readings = pump_readings(build, place.truth(), on, rng)
        return LookRecord("pump", passed=True, pump_position=1, readings=readings)
    if kind == "percolation":
        return LookRecord(kind, readings=drain_readings(build, place.truth(), on, rng))
    if kind == "sediment":
        depth_m = silt_m(build, place.cleaned_on, on, rng)
        return LookRecord(kind, readings=(ReadingRecord("sediment_m", depth_m),))
    if kind == "valve" and found.pump_passed:
        rise = ReadingRecord("rise_after_stop_m", rise_m(build, place.truth(), rng))
        return LookRecord(kind, readings=(rise,))
    return LookRecord(kind, readings=_yes_no(kind, found, rng))


def _yes_no(kind: str, found: Found, rng: random.Random) -> tuple[ReadingRecord, ...]:
    """Readings that are seen, not measured: 1 is yes."""
    has_roots = float(rng.random() < 0.04)
    readings = {
        "lid": [("lid_is_sound", 1.0), ("fabric_is_whole", 1.0)],
        "line": [("outlet_seen", float(found.pump_passed)), ("roots_seen", has_roots)],
        "alarm": [("alarm_sounds", 1.0)],
        "battery": [("gfci_trips", 1.0), ("battery_v", round(rng.gauss(12.3, 0.2), 1))],
    }
    return tuple(ReadingRecord(*pair) for pair in readings.get(kind, []))
