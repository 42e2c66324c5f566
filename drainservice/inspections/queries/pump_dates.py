"""Dates of one pump among several: the lead pump's with all other looks, a further pump's alone."""

import re
from dataclasses import replace
from datetime import date

from drainservice.engine.interval.due import DueDate, DueKind
from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.interval.facts import SystemFacts

Key = tuple[str, str]
FURTHER_PUMP = re.compile(r"pump (\d)")


def position_of(what: str) -> int:
    """The position of the further pump that a due row concerns; 0: the lead pump, or no pump."""
    told = FURTHER_PUMP.fullmatch(what)
    return int(told[1]) if told else 0


def dates_at(position: int, facts: SystemFacts, *, today: date) -> dict[Key, DueDate]:
    """Dates by kind and what they concern. At a further pump's position only its own test and its
    own mending count; the system's other looks are the lead pump's."""
    dates = due_dates(facts, today=today)
    if not position:
        return {(str(d.kind), d.defect): d for d in dates}
    name = f"pump {position}"
    own = [
        d for d in dates if d.kind is DueKind.PUMP or (d.kind, d.defect) == (DueKind.MEND, "pump")
    ]
    return {(str(d.kind), name): replace(d, defect=name) for d in own}
