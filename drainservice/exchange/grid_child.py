"""The child process that opens a workbook: limited in memory and time, it answers in JSON.

Run as `python -m drainservice.exchange.grid_child`, workbook on standard input.
"""

import io
import json
import sys
from datetime import date, datetime, time, timedelta
from typing import Any

MEMORY_BYTES = 1 << 30
CPU_SECONDS = 60


def limit_self() -> None:
    """Set the limits; where a system knows none of them, the parent's clock still ends us."""
    try:
        import resource
    except ImportError:
        return
    for kind, most in ((resource.RLIMIT_AS, MEMORY_BYTES), (resource.RLIMIT_CPU, CPU_SECONDS)):
        try:
            resource.setrlimit(kind, (most, most))
        except (ValueError, OSError):
            continue


def main() -> int:
    limit_self()
    try:
        answer: dict[str, Any] = {"sheets": read_workbook(sys.stdin.buffer.read())}
    except MemoryError:
        answer = {"too_large": True}
    except Exception as fault:
        answer = {"damaged": type(fault).__name__}
    sys.stdout.write(json.dumps(answer))
    return 0


def read_workbook(data: bytes) -> list[dict[str, Any]]:
    """Every sheet: only filled cells, with what is struck, hidden, merged or computed."""
    import openpyxl  # type: ignore[import-untyped]

    book = openpyxl.load_workbook(io.BytesIO(data), rich_text=True, keep_links=False)
    cached = _read_cached(data) if _has_formula(book) else {}
    sheets = []
    for sheet in book.worksheets:
        sheets.append(_read_sheet(sheet, cached.get(sheet.title, {})))
    return sheets


def _has_formula(book: Any) -> bool:
    return any(cell.data_type == "f" for sheet in book.worksheets for cell in sheet._cells.values())


def _read_cached(data: bytes) -> dict[str, dict[tuple[int, int], Any]]:
    """What the workbook last computed; a second opening, because it keeps only one of the two."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(data), data_only=True, keep_links=False)
    return {
        sheet.title: {place: cell.value for place, cell in sheet._cells.items()}
        for sheet in book.worksheets
    }


def _read_sheet(sheet: Any, cached: dict[tuple[int, int], Any]) -> dict[str, Any]:
    rows: dict[int, dict[int, dict[str, Any]]] = {}
    for (row, column), cell in sheet._cells.items():
        told = _tell_cell(cell, cached.get((row, column)))
        if told:
            rows.setdefault(row, {})[column - 1] = told
    return {
        "name": sheet.title,
        "hidden": sheet.sheet_state != "visible",
        "rows": sorted(rows.items()),
        "hidden_rows": [n for n, kept in sheet.row_dimensions.items() if kept.hidden],
        "hidden_columns": _hidden_columns(sheet),
        "merged": [(m.min_row, m.min_col, m.max_row, m.max_col) for m in sheet.merged_cells.ranges],
    }


def _hidden_columns(sheet: Any) -> list[int]:
    found: set[int] = set()
    for kept in sheet.column_dimensions.values():
        if kept.hidden and kept.min and kept.max:
            found.update(range(kept.min - 1, min(kept.max, 1_000)))
    return sorted(found)


def _tell_cell(cell: Any, computed: Any) -> dict[str, Any] | None:
    comment = cell.comment.text if getattr(cell, "comment", None) else ""
    value = cell.value
    if value is None and not comment:
        return None
    told: dict[str, Any] = {"t": "" if value is None else str(value)}
    if isinstance(value, bool):
        told |= {"t": "yes" if value else "no", "k": "yesno"}
    elif isinstance(value, int | float):
        told |= {"t": _show_number(value, cell.number_format), "k": "number", "n": float(value)}
    elif isinstance(value, datetime | date):
        day = value.date() if isinstance(value, datetime) else value
        told |= {"t": day.isoformat(), "k": "date", "d": day.isoformat()}
    elif isinstance(value, time | timedelta):
        told |= {"k": "time"}
    elif cell.data_type == "e":
        told |= {"k": "error"}
    elif cell.data_type == "f":
        told |= _tell_formula(value, computed)
    if value is not None and (getattr(cell.font, "strike", None) or _is_struck_text(value)):
        told["s"] = 1
    if comment:
        told["c"] = comment
    return told


def _is_struck_text(value: Any) -> bool:
    """Rich text of which a part is struck through."""
    return isinstance(value, list) and any(
        getattr(getattr(part, "font", None), "strike", None) for part in value
    )


def _tell_formula(value: Any, computed: Any) -> dict[str, Any]:
    text = getattr(value, "text", None) or str(value)
    if isinstance(computed, datetime | date):
        computed = computed.isoformat()[:10]
    return {"t": text, "k": "formula", "f": "" if computed is None else str(computed)}


def _show_number(value: float, number_format: str) -> str:
    """The number with the words its format puts round it, such as 0.0" ft"."""
    text = f"{value:.12g}"
    import re

    words = re.findall(r'"([^"]*)"', (number_format or "").split(";")[0])
    if (number_format or "").rstrip().endswith("%"):
        return f"{value * 100:.12g}%"
    word = " ".join(words).strip()
    return f"{text} {word}" if word else text


if __name__ == "__main__":
    raise SystemExit(main())
