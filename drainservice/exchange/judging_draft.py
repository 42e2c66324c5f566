"""A row while it is being judged: every cell leaves a fate, so that nothing can vanish."""

from dataclasses import dataclass, field
from typing import Any

from drainservice.exchange.cells import CellDoubtful, CellRefused
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.grid import Line
from drainservice.exchange.report import Fate, FromRemark, Problem, Row, say_problem

_LISTS = frozenset({"household.names", "household.phones", "household.emails"})


@dataclass(slots=True)
class Draft:
    """Gathers what one row says; `finish` makes the frozen answer."""

    sheet: str
    line: Line
    facts: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)  # fact -> heading
    from_remarks: dict[str, FromRemark] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    refused: list[Problem] = field(default_factory=list)
    questions: list[Problem] = field(default_factory=list)
    unknown: dict[str, str] = field(default_factory=dict)
    kept: dict[str, str] = field(default_factory=dict)
    held: dict[str, Any] = field(default_factory=dict)
    approximate: list[str] = field(default_factory=list)
    fates: list[Fate] = field(default_factory=list)
    parts: dict[str, str] = field(default_factory=dict)  # first and last name, house number
    outcome: str = ""
    why: str = ""
    continues: int | None = None
    same_household_as: int | None = None
    duplicate_of: int | None = None
    refers_to: tuple[str, int] | None = None
    waits: bool = False
    has_address_column: bool = False

    @property
    def number(self) -> int:
        return self.line.number

    def take(self, fact: str, value: Any, column: str) -> None:
        """Keep a fact; lists grow, and two columns that say different things are asked about."""
        if fact in _LISTS:
            together = [*self.facts.get(fact, []), *value]
            self.facts[fact] = list(dict.fromkeys(together))
        elif fact in self.facts and self.facts[fact] != value:
            other = self.facts.pop(fact)
            self.held[fact] = other
            why = f"the column {self.sources[fact]!r} of the same row says {other}"
            self.ask(fact, column, str(value), "duplicate_conflict", why, value)
        elif fact not in self.held:
            self.facts[fact] = value
        self.sources.setdefault(fact, column)

    def refuse(self, fact: str, column: str, text: str, reason: str, why: str) -> None:
        sentence = say_problem(self.number, column, text, why, asks=False)
        self.refused.append(Problem(column, fact, text, reason, sentence))

    def ask(
        self, fact: str, column: str, text: str, reason: str, why: str, proposed: Any = None
    ) -> None:
        sentence = say_problem(self.number, column, text, why, asks=True)
        self.questions.append(Problem(column, fact, text, reason, sentence, proposed))

    def report(self, fault: CellRefused | CellDoubtful, fact: str, column: str, text: str) -> str:
        """Write a fault down; the word for the cell's fate."""
        if isinstance(fault, CellDoubtful):
            self.ask(fact, column, text, fault.reason, fault.why, fault.proposed)
            return "question"
        self.refuse(fact, column, text, fault.reason, fault.why)
        return "refused"

    def keep(self, placed: Placed, letter: str, text: str) -> None:
        """A cell of a column that is no fact of ours stays with the row, under its heading."""
        label = placed.header or f"column {letter}"
        self.kept[label] = f"{self.kept[label]}; {text}" if label in self.kept else text

    def hold_all(self) -> None:
        """Nothing of the row is offered; what was read can still be seen."""
        self.held = {**self.held, **self.facts}
        self.facts = {}
        self.waits = True

    def typed(self, fact: str, value: Any) -> str:
        """The cell's own words for a fact."""
        column = self.sources.get(fact)
        return next((fate.text for fate in self.fates if fate.column == column), str(value))

    def finish(self) -> Row:
        return Row(
            sheet=self.sheet, number=self.number, outcome=self.outcome,
            line=self.line.physical_line,
            why=self.why, facts=self.facts, from_remarks=self.from_remarks,
            refused=tuple(self.refused),
            questions=tuple(self.questions), unknown=self.unknown, kept=self.kept, held=self.held,
            approximate=tuple(self.approximate), continues=self.continues,
            same_household_as=self.same_household_as, duplicate_of=self.duplicate_of,
            refers_to=self.refers_to, waits=self.waits, fates=tuple(self.fates),
        )  # fmt: skip
