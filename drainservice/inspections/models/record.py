"""An inspection as it is handed in whole: by a phone, a sheet, or the office."""

import hashlib
import json
import uuid
from dataclasses import asdict, dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class ReadingRecord:
    """One number in SI, with its uncertainty and its moment in the test where they are known."""

    kind: str
    value: float
    uncertainty: float | None = None
    seconds_into_test: float | None = None


@dataclass(frozen=True, slots=True)
class LookRecord:
    """One look and what became of it. `pump_position` names the pump whose test it was."""

    kind: str
    outcome: str = "done"
    why_not: str = ""
    next_step: str = ""
    next_step_on: date | None = None
    passed: bool | None = None
    pump_position: int = 0
    note: str = ""
    readings: tuple[ReadingRecord, ...] = ()


@dataclass(frozen=True, slots=True)
class DefectRecord:
    """Something found wrong on site."""

    kind: str
    part: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class InspectionRecord:
    """Everything one inspection says. Its id is made where it is recorded: the same id and words
    are one inspection however often they arrive."""

    id: uuid.UUID
    on: date
    looks: tuple[LookRecord, ...]
    on_span: str = "day"
    origin: str = "site"
    person_named: str = ""
    arrived_at: datetime | None = None
    left_at: datetime | None = None
    device: str = ""
    work_lines: str = ""
    note: str = ""
    defects_found: tuple[DefectRecord, ...] = ()
    kinds_mended: tuple[str, ...] = ()
    corrects: uuid.UUID | None = None

    def body_hash(self) -> str:
        """SHA-256 of all it says."""
        return hashlib.sha256(
            json.dumps(asdict(self), sort_keys=True, default=str).encode()
        ).hexdigest()
