"""What a file holds before anything in it is understood: sheets of rows of cells."""

from dataclasses import dataclass, field

from drainservice.exchange.cells import BLANK, Cell

MOST_BYTES = 10_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 200
MOST_CELLS = 2_000_000  # what the child process can hold beside everything else


class SheetRefused(ValueError):
    """The whole file cannot be read; the text says what to do."""


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its number as the sheet counts (in a text file, the record's), and its cells."""

    number: int
    cells: tuple[Cell, ...]
    physical_line: int | None = None
    hidden: bool = False

    def cell(self, column: int) -> Cell:
        return self.cells[column] if column < len(self.cells) else BLANK

    @property
    def filled(self) -> tuple[int, ...]:
        """The columns in which something stands."""
        return tuple(i for i, cell in enumerate(self.cells) if not cell.is_blank)


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet of a file."""

    name: str
    lines: tuple[Line, ...]
    hidden: bool = False
    hidden_columns: frozenset[int] = frozenset()
    from_text: bool = False
    encoding: str = ""
    delimiter: str = ""
    spans: dict[tuple[int, int], int] = field(default_factory=dict)  # (row, column) -> columns


def refuse_too_large(rows: int, columns: int) -> None:
    """Refuse what is beyond the caps, in words."""
    if rows > MOST_ROWS:
        raise SheetRefused(
            f"The sheet has more than {MOST_ROWS:,} rows. Cut it into smaller files and bring in "
            "one after the other."
        )
    if columns > MOST_COLUMNS:
        raise SheetRefused(
            f"A row has more than {MOST_COLUMNS} columns. Take out the columns that do not belong "
            "to the list, or check that the file really is a table, and try again."
        )
