"""Reads a firm's own sheet, whatever its habits, into facts, refusals and questions."""

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from drainservice.exchange.cells import BLANK
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.grid import Grid, Line, SheetRefused
from drainservice.exchange.grid_opening import open_grids
from drainservice.exchange.judging import judge_line
from drainservice.exchange.judging_draft import Draft
from drainservice.exchange.judging_rows import compare_rows, settle_row
from drainservice.exchange.judging_sites import KnownSite
from drainservice.exchange.reading_rows import Leaning, fill_in
from drainservice.exchange.reading_tables import Table, find_tables, why_no_data
from drainservice.exchange.report import (
    NOT_DATA,
    ColumnQuestion,
    Fate,
    Reading,
    SheetNote,
    column_letter,
)

_NO_READING = frozenset({"inspection.next_on", "inspection.by"})


@dataclass(frozen=True, slots=True)
class Context:
    """What is known beside the sheet: the sites already in the register."""

    known_sites: tuple[KnownSite, ...] = ()


def read_sheet(
    source: Path | str | bytes, *, name: str, today: date, context: Context | None = None
) -> Reading:
    """All that a careful person would read out of the file; nothing is changed anywhere.

    A path or the bytes themselves; `name` is what the file is called, `today` the last day that
    has happened.  Raises SheetRefused where the whole file cannot be read.
    """
    grids = open_grids(source, name)
    drafts: list[Draft] = []
    columns: list[ColumnQuestion] = []
    notes: list[SheetNote] = []
    shown = [grid for grid in grids if not grid.hidden]
    tables = {id(grid): find_tables(grid) for grid in grids}
    if not any(tables[id(grid)] for grid in grids):
        raise SheetRefused(
            "No row of headings was found, so nobody can tell what the columns hold. Put one row "
            "of headings above the list (such as customer, address, phone, pit depth (ft), "
            "installed) and bring it in again."
        )
    for grid in grids:
        found = tables[id(grid)]
        if grid.hidden or not found:
            drafts.extend(_leave(grid, line, _why_left(grid)) for line in grid.lines)
            notes.append(_note_left(grid, any(line.filled for line in grid.lines)))
            continue
        drafts.extend(_read_grid(grid, found, today))
        columns.extend(_ask_columns(grid, found))
        notes.append(_note_columns(grid, found))
    compare_rows(drafts, context.known_sites if context else ())
    for draft in drafts:
        settle_row(draft)
    first = shown[0] if shown else grids[0]
    rows = tuple(draft.finish() for draft in drafts)
    return Reading(name, rows, tuple(columns), tuple(notes), first.encoding, first.delimiter)


def _why_left(grid: Grid) -> str:
    return "hidden_sheet" if grid.hidden else "unrelated"


def _leave(grid: Grid, line: Line, why: str) -> Draft:
    """A row that is no data: told, with every cell of it."""
    draft = Draft(grid.name, line, outcome=NOT_DATA, why=why if line.filled else "blank")
    draft.fates = [Fate(at, column_letter(at), line.cells[at].text, "left") for at in line.filled]
    return draft


def _note_left(grid: Grid, has_cells: bool) -> SheetNote:
    label = f'The sheet "{grid.name}"'
    if grid.hidden:
        rest = (
            "is hidden and was not read. If it belongs to the list, show it, save, and try again."
        )
    elif not has_cells:
        rest = "is empty."
    else:
        rest = (
            "has no row of headings; none of its rows was taken. Put headings above the list and "
            "bring it in again."
        )
    return SheetNote(grid.name, f"{label} {rest}")


def _note_columns(grid: Grid, tables: list[Table]) -> SheetNote:
    placed = dict.fromkeys(
        (each.header, each.fact.name) for table in tables for each in table.placed if each.fact
    )
    return SheetNote(grid.name, "These columns were read as told.", tuple(placed))


def _read_grid(grid: Grid, tables: list[Table], today: date) -> list[Draft]:
    drafts = [_leave(grid, line, "title") for line in grid.lines[: tables[0].header[0]]]
    for table in tables:
        drafts.extend(_leave(grid, grid.lines[at], "header") for at in table.header)
        drafts.extend(_read_table(grid, table, today))
    return drafts


def _read_table(grid: Grid, table: Table, today: date) -> list[Draft]:
    width = _heading_width(grid, table)
    drafts: list[Draft] = []
    above: Leaning | None = None
    for line in grid.lines[table.first : table.last]:
        why = why_no_data(grid, line, table)
        if why:
            drafts.append(_leave(grid, line, why))
            above = None
            continue
        before = above
        leaning = fill_in(line, table.placed, above)
        if width and any(at >= width for at in line.filled):
            drafts.append(_refuse_wide(grid, line, width))
            continue
        if not line.hidden:
            above = leaning
        drafts.append(_judge(grid, leaning, list(table.placed), today, before))
    return drafts


def _heading_width(grid: Grid, table: Table) -> int:
    """In a text file the columns the header has; 0 where the extra ones are a habit of the file."""
    if not grid.from_text:
        return 0
    width = max(len(grid.lines[at].cells) for at in table.header)
    lines = [line for line in grid.lines[table.first : table.last] if line.filled]
    wide = sum(any(at >= width for at in line.filled) for line in lines)
    return 0 if lines and wide > 0.4 * len(lines) and wide > 1 else width


def _refuse_wide(grid: Grid, line: Line, width: int) -> Draft:
    """Too many cells: a sign between them stands inside one, and nobody can tell in which."""
    draft = Draft(grid.name, line)
    value = line.cells[max(line.filled)].text
    why = (
        f"the row has more cells than the {width} headings; "
        f"one may hold an unquoted {grid.delimiter!r}"
    )
    draft.refuse("", "", value, "too_many_columns", why)
    draft.fates = [
        Fate(at, column_letter(at), line.cells[at].text, "refused") for at in line.filled
    ]
    draft.kept = {column_letter(at): line.cells[at].text for at in line.filled}
    draft.waits = True
    return draft


def _judge(
    grid: Grid, leaning: Leaning, placed: list[Placed], today: date, above: Leaning | None
) -> Draft:
    line = leaning.line
    if leaning.lost_marks:
        cells = list(line.cells)
        for at in leaning.lost_marks:
            cells[at] = BLANK
        line = replace(line, cells=tuple(cells))
    draft = judge_line(grid, line, placed, today)
    for at in leaning.lost_marks:
        header = placed[at].header if at < len(placed) else column_letter(at)
        fact = placed[at].fact if at < len(placed) else None
        mark = leaning.line.cells[at].text
        why = "it is a ditto mark with nothing above it"
        draft.ask(fact.name if fact else "", header, mark, "unclear", why)
        draft.fates.append(Fate(at, header, mark, "question"))
    draft.continues = leaning.continues
    draft.same_household_as = leaning.same_household_as
    readings = [
        name for name in draft.facts if name.startswith("inspection.") and name not in _NO_READING
    ]
    has_column = any(p.fact and p.fact.name == "inspection.on" for p in placed)
    dated = "inspection.on" in draft.facts or any(
        p.fact == "inspection.on" for p in (*draft.refused, *draft.questions)
    )
    if readings and has_column and not dated:
        value = str(draft.facts.get("site.address", draft.number))
        draft.ask("inspection.on", "", value, "unclear", "it tells of a visit without its date")
    if leaning.is_nameless and "site.address" in draft.facts and not draft.continues:
        _mark_nameless(draft, above)
    return draft


def _mark_nameless(draft: Draft, above: Leaning | None) -> None:
    """A site without a name under another row may belong to the household above, or to nobody."""
    own = {"household.phones", "household.emails"} & set(draft.facts)
    if above is None or own or draft.same_household_as or "household.names" in draft.facts:
        draft.unknown.setdefault("household.names", "")
        return
    why = f"it gives no name; is it the household of row {above.line.number}?"
    draft.ask("household.names", "", draft.facts["site.address"], "unclear", why)


def _ask_columns(grid: Grid, tables: list[Table]) -> list[ColumnQuestion]:
    """Each column that is no fact of ours, or that is hidden, asked about once."""
    asked: dict[tuple[str, int], ColumnQuestion] = {}
    for table in tables:
        lines = grid.lines[table.first : table.last]
        for at, placed in enumerate(table.placed):
            if (
                placed.fact is not None
                and at not in grid.hidden_columns
                and placed.pending != "notes"
            ):
                continue
            texts = list(
                dict.fromkeys(line.cell(at).text for line in lines if line.cell(at).text.strip())
            )
            if texts:
                asked.setdefault((placed.header, at), _ask_column(grid, placed, at, texts))
    return list(asked.values())


def _ask_column(grid: Grid, placed: Placed, at: int, texts: list[str]) -> ColumnQuestion:
    examples = tuple(text[:60] for text in texts[:3])
    label = (
        f'The column "{placed.header}"'
        if placed.header
        else f"Column {column_letter(at)}, without a heading,"
    )
    such = ", ".join(f'"{example}"' for example in examples)
    if at in grid.hidden_columns and placed.fact is not None:
        reason, rest = (
            "hidden_column",
            f"is hidden; its cells (such as {such}) were kept aside. Should they be read?",
        )
    elif placed.pending == "date":
        reason, rest = (
            "unclear",
            f"may be the day of building or of a visit (such as {such}). Which is it?",
        )
    elif placed.pending == "notes":
        reason, rest = "unplaced", f"holds {such}. It was read as remarks; is that right?"
    elif placed.pending:
        reason, rest = (
            "unclear",
            f"may be the pump's size or the pit's (such as {such}). Which is it?",
        )
    else:
        reason, rest = "unplaced", f"holds {such}. What is it? Its cells were kept with each row."
    return ColumnQuestion(
        grid.name, placed.header, column_letter(at), examples, reason, f"{label} {rest}"
    )
