"""What placing a row is given and what it answers."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from drainservice.exchange.on_record import SystemEntry
from drainservice.register.models import Jurisdiction


class NotPlaced(Exception):
    """Nobody but a person can say where the row belongs."""

    def __init__(self, fact: str, reason: str, why: str) -> None:
        super().__init__(why)
        self.fact, self.reason, self.why = fact, reason, why


@dataclass(frozen=True, slots=True)
class Setting:
    """What is the same for all rows: the day, the zone, whose rules hold where none is told."""

    today: date
    zone: str
    jurisdictions: dict[str, Jurisdiction]
    jurisdiction: Jurisdiction
    firm_name: str = ""
    units: str = "trade"


@dataclass(frozen=True, slots=True)
class Told:
    """A person's answers: facts that overrule the record, a second system, or which system."""

    overrule: frozenset[str] = frozenset()
    is_second: bool = False
    system_id: int | None = None


@dataclass(slots=True)
class Placing:
    """What became of a row; problems are (fact, reason, why)."""

    system: SystemEntry | None = None
    asked: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str, str]] = field(default_factory=list)
    added: list[str] = field(default_factory=list)
    made: dict[str, Any] = field(default_factory=dict)

    @property
    def adds_nothing(self) -> bool:
        """All of it was known."""
        return not self.added and not self.made.get("new")
