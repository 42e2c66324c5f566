# ruff: noqa: E501
"""Where the tables of a sheet are: header rows, the rows beneath, and what is no data at all."""

import re
from dataclasses import dataclass

from drainservice.exchange.cells import one_line, plain
from drainservice.exchange.columns_placing import Placed, place_header, place_headers
from drainservice.exchange.grid import Grid, Line

_TOTAL = re.compile(r"^(?:\W*(?:grand |sub)?[ -]?totals?\b|(?:count|sum|avg|average|mean|median|min|max)\b(?:\W|$)"
    r"|\d+ (?:systems?|customers?|wells?|dry wells?|drywells?|pits?|households?|rows?|records?|entries|accounts?|homes?|houses?|inspections?|visits?)\b"
    r"|\d+ total|(?:no|number|#) of\b|end of (?:list|file|report|sheet)|printed\b|page \d)", re.IGNORECASE)  # fmt: skip
_SECTION_WORDS = re.compile(
    r"\b(?:north|south|east|west|side|route|zone|area|section|region|phase|district|county|city of|neighbou?rhood|subdivision"
    r"|block|tract|installs?|installed|systems|customers|clients|list|residential|commercial|hoa accounts|old|new|active|inactive"
    r"|jobs|log|year|season|spring|summer|fall|autumn|winter|january|february|march|april|may|june|july|august|september|october"
    r"|november|december|crew|part|group|page|continued|cont)\b",
    re.IGNORECASE,
)
_MOST_TITLES = 300  # rows in which the first header must stand
_MOST_BODY = 2000  # rows looked at when a column is placed by its cells


@dataclass(frozen=True, slots=True)
class Table:
    """A header (one or two rows), what its columns hold, and the rows under it."""

    header: tuple[int, ...]  # indexes of lines
    placed: tuple[Placed, ...]
    first: int
    last: int  # one past


def find_tables(grid: Grid) -> list[Table]:
    """The tables of a sheet, from top to bottom; none where no headings are found."""
    starts: list[tuple[tuple[int, ...], list[str]]] = []
    at = 0
    while at < len(grid.lines) and (starts or at < _MOST_TITLES):
        found = _find_header(grid, at, starts[-1][1] if starts else [])
        if found:
            starts.append(found)
            at = found[0][-1] + 1
        else:
            at += 1
    tables = []
    for index, (header, texts) in enumerate(starts):
        first = header[-1] + 1
        last = starts[index + 1][0][0] if index + 1 < len(starts) else len(grid.lines)
        tables.append(_build_table(grid, header, texts, first, last))
    return tables


def _build_table(
    grid: Grid, header: tuple[int, ...], texts: list[str], first: int, last: int
) -> Table:
    lines = grid.lines[first : min(last, first + _MOST_BODY)]
    width = max([len(texts)] + ([] if grid.from_text else [len(line.cells) for line in lines]))
    texts = texts + [""] * (width - len(texts))
    bodies = [[line.cell(at).text for line in lines] for at in range(width)]
    return Table(header, tuple(place_headers(texts, bodies, grid.name)), first, last)


def _texts(line: Line) -> list[str]:
    return [one_line(cell.text) for cell in line.cells]


def _score(texts: list[str]) -> int:
    """How many different facts the row names, seen as headings."""
    placed = [place_header(text) for text in texts if text]
    return len(
        {
            each.fact.name if each.fact else each.pending
            for each in placed
            if each.fact or each.pending
        }
    )


def _is_heading_like(texts: list[str]) -> bool:
    filled = [text for text in texts if text]
    return bool(filled) and not any(
        len(text) > 60 or "@" in text or re.search(r"\d{3}|\d/\d|^[-+=]?\d", text)
        for text in filled
    )


def _find_header(
    grid: Grid, at: int, before: list[str]
) -> tuple[tuple[int, ...], list[str]] | None:
    """A header at this row, possibly of two rows; after the first, only a plain one counts."""
    line = grid.lines[at]
    texts = _texts(line)
    filled = [text for text in texts if text]
    if len(filled) < 2 or not _is_heading_like(texts):
        return None
    if before and not any(_is_known(text) for text in filled[:4]):
        return None
    options: list[tuple[int, tuple[int, ...], list[str]]] = [(_score(texts), (at,), texts)]
    if at + 1 < len(grid.lines):
        below = _texts(grid.lines[at + 1])
        if _is_heading_like(below) and any(below):
            both = _combine(_spread(grid, line, texts), below)
            lower = [_score([text]) or _is_unit(text) for text in below if text]
            if sum(map(bool, lower)) >= max(1, len(lower) / 2) and not _is_same(below, texts):
                options.append((_score(both), (at, at + 1), both))
    best = max(options, key=lambda option: (option[0], -len(option[1])))
    needed = 2 if not before else 3
    named = sum(_score([text]) > 0 for text in best[2] if text)
    share = named / max(1, sum(bool(text) for text in best[2]))
    if before and _is_same(texts, before):
        return (at,), texts
    if best[0] < needed or share < (0.5 if not before else 0.7):
        return None
    return _add_units(grid, best[1], best[2])


def _add_units(
    grid: Grid, header: tuple[int, ...], texts: list[str]
) -> tuple[tuple[int, ...], list[str]]:
    """A row of nothing but units under the headings belongs to them."""
    below = header[-1] + 1
    units = _texts(grid.lines[below]) if below < len(grid.lines) else []
    if not any(units) or not all(_is_unit(unit) for unit in units if unit):
        return header, texts
    return (*header, below), _combine(texts, units)


def _is_same(texts: list[str], before: list[str]) -> bool:
    ours = [plain(text) for text in texts if text]
    theirs = {plain(text) for text in before if text}
    return len(ours) >= 2 and sum(text in theirs for text in ours) >= 0.8 * max(
        len(ours), 0.5 * len(theirs)
    )


def _is_unit(text: str) -> bool:
    placed = place_header(f"depth ({plain(text).strip('()[] ')})")
    return bool(placed.unit) or bool(place_header(f"x ({plain(text).strip('()[] ')})").unit)


def _spread(grid: Grid, line: Line, texts: list[str]) -> list[str]:
    """A group heading stands over every column it spans."""
    spread = list(texts)
    for at, text in enumerate(texts):
        span = grid.spans.get((line.number, at), 1)
        for right in range(at + 1, at + span):
            if right >= len(spread):
                spread.append(text)
            elif not spread[right]:
                spread[right] = text
    if grid.from_text or not grid.spans:
        for at in range(1, len(spread)):
            spread[at] = spread[at] or spread[at - 1]
    return spread


def _combine(upper: list[str], lower: list[str]) -> list[str]:
    """Two header rows as one: "Pump" over "hp" is "Pump hp"; a unit beneath goes in brackets."""
    width = max(len(upper), len(lower))
    upper = upper + [""] * (width - len(upper))
    lower = lower + [""] * (width - len(lower))
    combined = []
    for above, below in zip(upper, lower, strict=True):
        if above and below and _is_unit(below) and not _is_known(below):
            combined.append(f"{above} ({below.strip('()[] ')})")
        elif above and below and _is_known(f"{above} {below}"):
            combined.append(f"{above} {below}")
        elif below and _is_known(below):
            combined.append(below)
        else:
            combined.append(f"{above} {below}".strip() if below or _is_known(above) else "")
    return combined


def _is_known(text: str) -> bool:
    placed = place_header(text)
    return placed.fact is not None or bool(placed.pending)


def why_no_data(grid: Grid, line: Line, table: Table) -> str:
    """Why a row under a header is no data: blank, total, section, unrelated; empty if it is data."""
    filled = [at for at in line.filled if line.cells[at].text.strip()]
    if not filled:
        return "blank"
    texts = [one_line(line.cells[at].text) for at in filled]
    if all(
        at < len(table.placed) and (p := table.placed[at].fact) and p.kind == "code"
        for at in filled
    ):
        return "blank"  # rows numbered in advance
    address = any(
        line.cell(at).text
        for at, p in enumerate(table.placed)
        if p.fact and p.fact.name == "site.address"
    )
    if _TOTAL.match(texts[0]) and not (address and len(filled) > 2):
        return "total"
    if all(re.fullmatch(r"[-=_*.~#\s]{2,}", text) for text in texts):
        return "rule"
    first = table.placed[filled[0]] if filled[0] < len(table.placed) else None
    if len(set(texts)) == 1 and (len(filled) == 1 or len(filled) >= 3):
        return _why_single(grid, line, filled[0], texts[0], first)
    return ""


def _why_single(grid: Grid, line: Line, at: int, text: str, placed: Placed | None) -> str:
    if line.cells[at].merged_from is not None:
        return ""
    kind = placed.fact.kind if placed and placed.fact else ""
    if kind in {"notes", "phones", "emails"} and at > 0 and len(line.filled) == 1:
        return ""
    spans = grid.spans.get((line.number, at), 1) >= 3
    if (
        re.match(r"^\W*(?:note|notes|nb|n\.b\.|\*)\b", text, re.IGNORECASE)
        or text.startswith("*")
        or len(text) > 60
    ):
        return "unrelated"
    is_name = "," in text and kind == "names"
    if spans or (
        not is_name and (text.isupper() or text.endswith(":") or re.match(r"^[-=*#\W]{2,}", text))
    ):
        return "section"
    if (
        not is_name
        and (_SECTION_WORDS.search(text) or re.search(r"\b(?:19|20)\d\d\b", text))
        and at <= 1
        and not re.match(r"\d+\s", text)
    ):
        return "section"
    if kind == "" and at == 0:
        return "unrelated"
    return ""
