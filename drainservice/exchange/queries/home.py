"""Rows to take home, mend and bring in again: as they stood, with what is wrong beside them."""

import csv
import io
from typing import Any

from drainservice.exchange.models import Sheet
from drainservice.exchange.queries.sheets import report_of

MEND_HEADING = "what to mend"
_GUARDED = ("=", "+", "-", "@", "\t", "\r")


def guard(text: str) -> str:
    """A cell that a spreadsheet program would take for a formula, behind one apostrophe."""
    return f"'{text}" if text.startswith((*_GUARDED, "'")) else text


def refused_csv(sheet: Sheet) -> str:
    """Every row with a refused cell or an open question, and why, as CSV (RFC 4180).

    Empty if there is none.  The marks of merged and repeated cells are written out.
    """
    rows = [row for row in report_of(sheet)["rows"] if row["refused"] or row["questions"]]
    if not rows:
        return ""
    columns = _columns(rows)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([guard(name) for name in columns] + [MEND_HEADING])
    for row in rows:
        cells = _cells(row, columns)
        reasons = " ".join(p["sentence"] for p in (*row["refused"], *row["questions"]))
        writer.writerow([guard(cells[name]) for name in columns] + [guard(reasons)])
    return out.getvalue()


def _columns(rows: list[dict[str, Any]]) -> list[str]:
    """All headings, in the order in which they stand in the sheet."""
    seats: dict[str, int] = {}
    for row in rows:
        for fate in row["fates"]:
            if fate["column"].lower() != MEND_HEADING:
                seats[fate["column"]] = min(fate["at"], seats.get(fate["column"], fate["at"]))
    return sorted(seats, key=lambda name: seats[name])


def _cells(row: dict[str, Any], columns: list[str]) -> dict[str, str]:
    cells = dict.fromkeys(columns, "")
    for fate in row["fates"]:
        if fate["column"] in cells:
            together = (cells[fate["column"]], fate["text"])
            cells[fate["column"]] = " / ".join(filter(None, together))
    return cells
