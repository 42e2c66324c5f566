"""The bore log: a system's history read downward from grade, the newest on top."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from drainservice.engine.drawings.axes import NothingToDraw
from drainservice.engine.drawings.dates import say_date
from drainservice.engine.drawings.lettering import wrap
from drainservice.engine.drawings.sheet import Sheet, Width, block, letter, line, trace
from drainservice.engine.drawings.tokens import paint


class Heard(StrEnum):
    """How a thing came into the history."""

    MEASURED = "measured"
    MENDED = "mended"
    SAID = "said"


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One thing of the history in words; what is wrong is marked so."""

    on: date
    kind: Heard
    words: str
    is_wrong: bool = False


ROW_PX = 20.0
COLUMN_PX = 30.0


def draw_bore_log(
    entries: Sequence[LogEntry], width: Width, prefix: str, name: str = "this system"
) -> str:
    """Layers under the grade: measured is water with its level, mended is solid, said is a dashed
    outline. Entries of one day keep the order given. Raises NothingToDraw, PrefixIsNoName.
    """
    if not entries:
        raise NothingToDraw("Nothing has happened at this system yet, so its log is empty.")
    sheet = Sheet(prefix, width)
    newest_first = sorted(entries, key=lambda entry: entry.on, reverse=True)
    column = 120.0 if width == Width.WIDE else 100.0
    y = 24.0
    sheet.add(letter(column - 12, y - 8, "grade", "soft", 13, anchor="end"))
    teeth = "".join(f"M{x} {y:g}l-6 7" for x in range(14, int(sheet.wide_px), 14))
    sheet.add(trace(teeth, "rule", 0.8))
    sheet.add(line(0, y, sheet.wide_px, y, "ink", 2.5))
    y += 10
    for entry in newest_first:
        y = _draw_entry(sheet, entry, column, y)
    sheet.add(line(column, y, column + COLUMN_PX, y, "ink", 1.5))
    desc = " ".join(f"{say_date(entry.on)}, {entry.kind}: {entry.words}" for entry in newest_first)
    return sheet.draw(y + 8, f"History of {name}, newest first", desc)


def _draw_entry(sheet: Sheet, entry: LogEntry, column: float, y: float) -> float:
    left = column + COLUMN_PX + 14
    rows = wrap(entry.words, 15, sheet.wide_px - left - 10)
    high = max(ROW_PX * (1 + len(rows)) + 10, 44)
    _draw_layer(sheet, entry.kind, column, y, high)
    token = "clay" if entry.is_wrong else "ink"
    for row, part in enumerate(wrap(say_date(entry.on), 13, column - 14)):
        sheet.add(letter(column - 10, y + 17 + 17 * row, part, "soft", 13, anchor="end"))
    if entry.is_wrong:
        for out in (3, 6):
            sheet.add(
                block(
                    column - out, y + 4 - out, COLUMN_PX + 2 * out, high - 8 + 2 * out,
                    "none", "clay", 1.4,
                )
            )  # fmt: skip
    kind = f"{entry.kind}, a fault" if entry.is_wrong else str(entry.kind)
    sheet.add(letter(left, y + 17, kind, token, weight=650))
    for row, part in enumerate(rows):
        sheet.add(letter(left, y + 17 + ROW_PX * (row + 1), part))
    return y + high


def _draw_layer(sheet: Sheet, kind: Heard, x: float, y: float, high: float) -> None:
    sheet.add(block(x, y, COLUMN_PX, high, "soil", "ink", 1.5))
    inner = (x + 6, y + 9, COLUMN_PX - 12, high - 18)
    if kind == Heard.MEASURED:
        sheet.add(block(*inner, "pale"), line(x + 6, y + 9, x + 24, y + 9, "deep", 2.5))
        d = f"M{x + 11:g} {y + 4:g}h8l-4 5Z"
        sheet.add(f'<path d="{d}" {paint("paper", "deep", 1)}/>')
    elif kind == Heard.MENDED:
        sheet.add(block(*inner, "ink"))
    else:
        sheet.add(block(*inner, "paper", "ink", 1.3, ' stroke-dasharray="3 3"'))
