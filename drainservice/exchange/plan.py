"""What a sheet will write: new rows table by table, and changes of rows that stand."""

from dataclasses import dataclass, field
from typing import Any

from drainservice.accounts.models import Channel, Household, Kept, Membership, Person
from drainservice.exchange.on_record import SystemEntry
from drainservice.register.models import (
    AccessPoint,
    Agreement,
    Backup,
    CheckValve,
    CurvePoint,
    Downspout,
    Line,
    Part,
    Pit,
    Pump,
    Section,
    Site,
    System,
)

# Whole before part, so that each row's keys are there when it is saved.
ORDER: tuple[type[Kept], ...] = (
    Person,
    Household,
    Membership,
    Channel,
    Site,
    Part,
    Agreement,
    System,
    Pit,
    Pump,
    CurvePoint,
    CheckValve,
    Line,
    Section,
    AccessPoint,
    Backup,
    Downspout,
)


@dataclass(slots=True)
class VisitTold:
    """A visit to be recorded once its system is saved."""

    entry: SystemEntry
    facts: dict[str, Any]
    note: str


@dataclass(slots=True)
class Plan:
    """Everything to be written, in memory; nothing is saved before all of it is known."""

    new: dict[type[Kept], list[Kept]] = field(default_factory=lambda: {m: [] for m in ORDER})
    changes: dict[int, tuple[Kept, dict[str, Any]]] = field(default_factory=dict)
    touched: dict[int, System] = field(default_factory=dict)  # systems that stand and changed
    visits: list[VisitTold] = field(default_factory=list)

    def add(self, row: Any) -> Any:
        """A new row."""
        self.new[type(row)].append(row)
        return row

    def value(self, row: Any, name: str) -> Any:
        """A field as it will be."""
        pending = self.changes.get(id(row))
        if pending is not None and name in pending[1]:
            return pending[1][name]
        return getattr(row, name)

    def put(self, row: Any, **new: Any) -> None:
        """Set fields: at once on a new row, later by the one writer on a row that stands."""
        if row.pk is None:
            for name, value in new.items():
                setattr(row, name, value)
            return
        _, pending = self.changes.setdefault(id(row), (row, {}))
        pending.update(new)

    @property
    def is_empty(self) -> bool:
        """Nothing to write."""
        return not (any(self.new.values()) or self.changes or self.visits)
