"""What was read out of a sheet: per row the facts, what was refused and what must be asked."""

from dataclasses import asdict, dataclass, field
from typing import Any

# Outcomes of a row.
TAKEN, REFUSED, QUESTION, DUPLICATE, NOT_DATA = (
    "taken",
    "refused",
    "question",
    "duplicate",
    "not_data",
)


@dataclass(frozen=True, slots=True)
class Problem:
    """A cell that is refused or asked about; `fact` is empty where it concerns no single fact."""

    column: str
    fact: str
    value: str
    reason: str
    sentence: str
    proposed: object = None


@dataclass(frozen=True, slots=True)
class FromRemark:
    """A fact that stands only in remarks, with the words it came from."""

    value: object
    words: str


@dataclass(frozen=True, slots=True)
class Fate:
    """Where the text of one cell went: fact, note, kept, unknown, refused, question or left."""

    at: int
    column: str
    text: str
    went: str


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a sheet.

    `facts` may be brought in, unless `waits` is true: then nothing of the row may be, before its
    questions are answered.  `held` are facts read but not offered.  `kept` are cells of columns
    that are no fact of ours, `unknown` the facts of which the sheet itself says that nobody knows.
    """

    sheet: str
    number: int
    outcome: str
    line: int | None = None
    why: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    from_remarks: dict[str, FromRemark] = field(default_factory=dict)
    refused: tuple[Problem, ...] = ()
    questions: tuple[Problem, ...] = ()
    unknown: dict[str, str] = field(default_factory=dict)
    kept: dict[str, str] = field(default_factory=dict)
    held: dict[str, Any] = field(default_factory=dict)
    approximate: tuple[str, ...] = ()
    continues: int | None = None
    same_household_as: int | None = None
    duplicate_of: int | None = None
    refers_to: tuple[str, int] | None = None
    waits: bool = False
    fates: tuple[Fate, ...] = ()


@dataclass(frozen=True, slots=True)
class ColumnQuestion:
    """A column that is no fact of ours, or may be two; asked once, with examples."""

    sheet: str
    column: str
    letter: str
    examples: tuple[str, ...]
    reason: str
    sentence: str


@dataclass(frozen=True, slots=True)
class SheetNote:
    """What was done with a sheet as a whole."""

    sheet: str
    sentence: str
    columns: tuple[tuple[str, str], ...] = ()  # heading, fact


@dataclass(frozen=True, slots=True)
class Reading:
    """All that was read out of a file."""

    name: str
    rows: tuple[Row, ...]
    columns: tuple[ColumnQuestion, ...] = ()
    sheets: tuple[SheetNote, ...] = ()
    encoding: str = ""
    delimiter: str = ""

    def count(self, outcome: str) -> int:
        return sum(row.outcome == outcome for row in self.rows)

    def as_json(self) -> dict[str, Any]:
        """The reading as plain lists and dictionaries, ready for `json.dumps`."""
        told = asdict(self)
        told["counts"] = {
            outcome: self.count(outcome)
            for outcome in (TAKEN, REFUSED, QUESTION, DUPLICATE, NOT_DATA)
        }
        return told


def say_problem(row: int, column: str, text: str, why: str, *, asks: bool) -> str:
    """One sentence with the row, the column, the value and what to do."""
    shown = text if len(text) <= 60 else text[:57] + "..."
    where = f'Row {row}, column "{column}"' if column else f"Row {row}"
    if why.startswith(repr(text)):
        why = "it" + why[len(repr(text)) :]
    done = "was not taken" if asks else "was left out"
    todo = (
        "Please say what is meant."
        if asks
        else "Mend the cell, or type the value when you know it."
    )
    end = "" if why.endswith("?") else "."
    return f'{where}: "{shown}" {done}, because {why}{end} {todo}'


def column_letter(at: int) -> str:
    """The letter by which a spreadsheet program names a column; 0 is A."""
    letters = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
