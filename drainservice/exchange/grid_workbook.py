"""Workbooks: opened in a child process, so that nothing in them can harm or hold up the server."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

from drainservice.exchange.cells import BLANK, Cell, clean_text
from drainservice.exchange.grid import MOST_CELLS, Grid, Line, SheetRefused, refuse_too_large
from drainservice.exchange.grid_zip import look_into

_ROOT = Path(__file__).resolve().parents[2]
_MOST_SECONDS = 120  # the child has 60 s of processor; a busy machine may need longer by the clock


def read_workbook_grids(data: bytes) -> tuple[Grid, ...]:
    """Every sheet of a workbook.  Raises SheetRefused."""
    look_into(data)
    return tuple(_build_grid(told) for told in _ask_child(data))


def _ask_child(data: bytes) -> list[dict[str, Any]]:
    try:
        done = subprocess.run(
            [sys.executable, "-m", "drainservice.exchange.grid_child"],
            input=data, capture_output=True, cwd=_ROOT, timeout=_MOST_SECONDS, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise _too_large() from None
    try:
        answer = json.loads(done.stdout)
    except ValueError:
        raise _too_large() from None
    if "sheets" in answer:
        sheets: list[dict[str, Any]] = answer["sheets"]
        return sheets
    if answer.get("too_large"):
        raise _too_large()
    raise SheetRefused(
        "The workbook cannot be opened; it seems damaged or not to be XLSX. Open it in a "
        "spreadsheet program, save it as XLSX or as CSV (UTF-8), and bring in that file."
    )


def _too_large() -> SheetRefused:
    return SheetRefused(
        "The workbook takes too much memory or time to open. Save the sheet with the list as CSV "
        "(UTF-8), or cut it into smaller workbooks."
    )


def _build_grid(told: dict[str, Any]) -> Grid:
    rows = {
        number: {int(at): _build_cell(cell) for at, cell in cells.items()}
        for number, cells in told["rows"]
    }
    _refuse_beyond_caps(rows)
    spans: dict[tuple[int, int], int] = {}
    for top, left, bottom, right in told["merged"]:
        _fill_merged(rows, spans, (top, left - 1, bottom, right - 1))
    hidden = set(told["hidden_rows"])
    last = max(rows, default=0)
    lines = tuple(_build_line(n, rows.get(n, {}), n in hidden) for n in range(1, last + 1))
    columns = frozenset(told["hidden_columns"])
    return Grid(told["name"], lines, told["hidden"], columns, spans=spans)


def _refuse_beyond_caps(rows: dict[int, dict[int, Cell]]) -> None:
    widest = max((max(cells) + 1 for cells in rows.values() if cells), default=0)
    refuse_too_large(max(rows, default=0), widest)
    if sum(map(len, rows.values())) > MOST_CELLS:
        raise _too_large()


def _build_cell(told: dict[str, Any]) -> Cell:
    return Cell(
        text=clean_text(told["t"]),
        kind=told.get("k", "text"),
        number=told.get("n"),
        date_iso=told.get("d", ""),
        cached=told.get("f", ""),
        struck=bool(told.get("s")),
        comment=clean_text(told.get("c", "")),
    )


def _fill_merged(
    rows: dict[int, dict[int, Cell]],
    spans: dict[tuple[int, int], int],
    box: tuple[int, int, int, int],
) -> None:
    """A cell merged downward stands in each row it covers; merged sideways it only spans."""
    top, left, bottom, right = box
    first = rows.get(top, {}).get(left)
    if right > left:
        spans[(top, left)] = right - left + 1
    if first is None or right - left >= 200:
        return
    last = max(rows)
    for number in range(top + 1, min(bottom, last) + 1):
        if number in rows:
            rows[number].setdefault(left, _covered(first, top))


def _covered(cell: Cell, row: int) -> Cell:
    return Cell(cell.text, cell.kind, cell.number, cell.date_iso, cell.cached, cell.struck, "", row)


def _build_line(number: int, cells: dict[int, Cell], hidden: bool) -> Line:
    width = max(cells, default=-1) + 1
    return Line(number, tuple(cells.get(at, BLANK) for at in range(width)), hidden=hidden)
