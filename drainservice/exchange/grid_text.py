"""Text files: which encoding, which sign between the cells, and where a quoted cell ends."""

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache

from drainservice.exchange.cells import LONGEST_CELL, Cell, clean_text
from drainservice.exchange.grid import MOST_COLUMNS, Grid, Line, SheetRefused, refuse_too_large

_DELIMITERS = (",", ";", "\t", "|")
_SAMPLE = 200_000
_MOST_QUOTED_LINES = 40  # judgement, no source: longer is a quote sign that was never closed


def read_text_grid(data: bytes) -> Grid:
    """The one sheet of a text file.  Raises SheetRefused."""
    text, encoding = decode(data)
    delimiter, skip = find_delimiter(text)
    lines: list[Line] = []
    for number, (physical, texts) in enumerate(cut_records(text, delimiter), start=1):
        refuse_too_large(number, len(texts))
        if skip and number == 1:
            texts = []
        cells = tuple(Cell(text=_tidy(each)) for each in texts)
        lines.append(Line(number, cells, physical_line=physical))
    return Grid("", tuple(lines), from_text=True, encoding=encoding, delimiter=delimiter)


def _tidy(text: str) -> str:
    return clean_text(text) if len(text) <= LONGEST_CELL else text


def decode(data: bytes) -> tuple[str, str]:
    """The text and the name of its encoding; a byte order mark decides, then what fits."""
    for mark, name in (
        (b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe\x00\x00", "utf-32"),
        (b"\x00\x00\xfe\xff", "utf-32"),
        (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"),
    ):  # fmt: skip
        if data.startswith(mark):
            try:
                return data.decode(name), name
            except UnicodeDecodeError:
                break
    name = _guess_wide(data)
    if name:
        return data.decode(name, errors="replace"), name
    if data.count(0) > max(8, len(data) // 1000):
        raise SheetRefused(
            "The file holds bytes that no text has, so it is not a list. Open it in the program "
            "that made it and save it as CSV (UTF-8) or XLSX."
        )
    try:
        return data.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        pass
    # Five bytes are not assigned in Windows 1252; as controls they are refused cell by cell.
    return data.decode("cp1252", errors="surrogateescape").translate(_UNASSIGNED), "cp1252"


_UNASSIGNED = {0xDC00 + byte: chr(byte) for byte in (0x81, 0x8D, 0x8F, 0x90, 0x9D)}


def _guess_wide(data: bytes) -> str:
    """UTF-16 without its mark: in mostly Latin text every second byte is nothing."""
    head = data[:4000]
    pairs = len(head) // 2
    if pairs < 4:
        return ""
    low, high = head[1::2].count(0), head[0::2].count(0)
    if low > 0.6 * pairs and high < 0.1 * pairs:
        return "utf-16-le"
    if high > 0.6 * pairs and low < 0.1 * pairs:
        return "utf-16-be"
    return ""


def find_delimiter(text: str) -> tuple[str, bool]:
    """The sign between cells, and whether a first line "sep=;" names it."""
    named = re.match(r'"?sep=(.)"?\r?\n', text[:20])
    if named:
        return named[1], True
    sample = text[:_SAMPLE]
    return max(_DELIMITERS, key=lambda sign: _evenness(sample, sign)), False


def _evenness(sample: str, delimiter: str) -> float:
    """How many records have the commonest number of cells, weighed by that number."""
    widths: list[int] = []
    for _, texts in cut_records(sample, delimiter):
        if any(each.strip() for each in texts):
            widths.append(min(len(texts), MOST_COLUMNS))
        if len(widths) >= 300:
            break
    wide = Counter(width for width in widths if width > 1)
    if not wide:
        return 0.0
    width, times = max(wide.items(), key=lambda item: (item[1], item[0]))
    return times / len(widths) + 0.01 * min(width, 30)


def cut_records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Each record with the physical line on which it begins.

    A quote sign opens a quoted cell only at the cell's start and only where it is closed before
    the next delimiter or line end within reason: inch marks and ditto marks are common here.
    """
    at, physical, size = 0, 1, len(text)
    barren = [0]
    while at < size:
        begun, texts = physical, []
        while True:
            cell, at, broken = _cut_cell(text, at, delimiter, barren)
            texts.append(cell)
            physical += broken
            if at >= size or text[at] != delimiter or len(texts) > MOST_COLUMNS:
                break
            at += 1
        if len(texts) > MOST_COLUMNS:
            refuse_too_large(0, len(texts))
        if at < size:
            at += 2 if text.startswith("\r\n", at) else 1
            physical += 1
        yield begun, texts


def _cut_cell(text: str, at: int, delimiter: str, barren: list[int]) -> tuple[str, int, int]:
    """The cell that begins here, where it ends, and the line breaks inside it.

    `barren` remembers how far no closing quote was found, so that none is sought twice.
    """
    start = at
    while start < len(text) and text[start] == " ":
        start += 1
    if text.startswith('"', start) and start >= barren[0]:
        quoted = _cut_quoted(text, start, delimiter, barren)
        if quoted:
            return quoted
    end = _plain_end(text, at, delimiter)
    return text[at:end], end, 0


def _plain_end(text: str, at: int, delimiter: str) -> int:
    found = _end_of_cell(delimiter).search(text, at)
    return found.start() if found else len(text)


@cache
def _end_of_cell(delimiter: str) -> re.Pattern[str]:
    return re.compile(f"[\r\n{re.escape(delimiter)}]")


def _cut_quoted(
    text: str, start: int, delimiter: str, barren: list[int]
) -> tuple[str, int, int] | None:
    """A quoted cell, or None where the quote sign is a mark and not an opening."""
    after = text[start + 1 : start + 2]
    if after in (delimiter, "\r", "\n", ""):
        return None  # a lone ditto mark
    at = start + 1
    limit = start + 2 * LONGEST_CELL + 200
    while True:
        at = text.find('"', at, limit)
        if at < 0:
            barren[0] = limit
            return None
        if text.startswith('""', at):
            at += 2
            continue
        end = at + 1
        while end < len(text) and text[end] == " ":
            end += 1
        if end >= len(text) or text[end] in (delimiter, "\r", "\n"):
            break
        at += 1
    inside = text[start + 1 : at].replace('""', '"')
    broken = len(re.findall("\r\n|\r|\n", inside))
    if broken > _MOST_QUOTED_LINES:
        return None
    return inside, end, broken
