"""What was read last at a system: the newest value of each kind, with its day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from drainservice.inspections.models import Inspection
from drainservice.inspections.models.reading_kinds import KINDS


@dataclass(frozen=True, slots=True)
class LastReading:
    """One reading in SI, as it was last taken."""

    kind: str
    words: str
    quantity: str
    value: float
    on: date


def last_readings(inspections: Sequence[Inspection]) -> dict[str, LastReading]:
    """By kind; `inspections` newest first. What was corrected later does not count."""
    found: dict[str, LastReading] = {}
    for inspection in inspections:
        if hasattr(inspection, "corrected_by"):
            continue
        for look in inspection.looks.all():
            for reading in look.readings.all():
                row = KINDS.get(reading.kind)
                if row is not None and reading.kind not in found:
                    found[reading.kind] = LastReading(
                        reading.kind, row.words, row.quantity, reading.value, inspection.on
                    )
    return found
