"""Rows that lean on the row above: merged cells, ditto marks, and blanks under a household."""

from dataclasses import dataclass, replace

from drainservice.exchange.cells import BLANK, Cell, plain, says_ditto
from drainservice.exchange.columns_placing import Placed
from drainservice.exchange.grid import Line

_WHO = frozenset({"household.names", "household.last_name", "household.first_name"})
_WHERE = frozenset(
    [
        "site.address",
        "site.address_2",
        "site.house_number",
        "site.city",
        "site.region",
        "site.postcode",
        "site.county",
        "system.code",
    ]
)


@dataclass(frozen=True, slots=True)
class Leaning:
    """A row with its repeats filled in, and whose household and site it goes on with."""

    line: Line
    root: int  # the first row of this household and site
    continues: int | None = None
    same_household_as: int | None = None
    is_nameless: bool = False
    lost_marks: tuple[int, ...] = ()  # columns with a ditto mark and nothing above
    filled_in: frozenset[int] = frozenset()


def fill_in(line: Line, placed: tuple[Placed, ...], above: Leaning | None) -> Leaning:
    """The row as a reader sees it who looks at the row above."""
    cells = list(line.cells)
    repeated, lost = _repeat_marked(cells, placed, above)
    repeated |= {at for at, cell in enumerate(cells) if cell.merged_from is not None}
    who, where = _columns(placed, _WHO), _columns(placed, _WHERE)
    address = [at for at in where if _name(placed, at) == "site.address"]
    copied: set[int] = set()
    if above is not None and _has_other(cells, {*who, *where}):
        if who and _all_blank(cells, who) and _all_blank(cells, address):
            copied = _copy(cells, [*who, *where], above.line)
        elif address and _all_blank(cells, address) and _is_same(cells, who, above.line):
            copied = _copy(cells, where, above.line)
        elif _all_blank(cells, who) and address and _is_same(cells, address, above.line):
            copied = _copy(cells, who, above.line)
            repeated |= set(address)
    leans_who = any(at in repeated | copied for at in who)
    leans_where = not address or any(at in repeated | copied for at in address)
    root = _find_root(cells, [*who, *address], above)
    filled = replace(line, cells=tuple(cells))
    is_nameless = bool(who) and _all_blank(cells, who)
    if leans_where and (leans_who or copied) and root is not None and address:
        return Leaning(filled, root, root, None, is_nameless, lost, frozenset(copied))
    if leans_who and root is not None:
        kind = root if not leans_where else None
        continues = root if leans_where else None
        return Leaning(
            filled,
            line.number if kind else root,
            continues,
            kind,
            is_nameless,
            lost,
            frozenset(copied),
        )
    return Leaning(filled, line.number, None, None, is_nameless, lost, frozenset(copied))


def _find_root(cells: list[Cell], columns: list[int], above: Leaning | None) -> int | None:
    merged = [cells[at].merged_from for at in columns if at < len(cells)]
    tops = [top for top in merged if top is not None]
    if tops:
        return min(tops)
    return above.root if above else None


def _name(placed: tuple[Placed, ...], at: int) -> str:
    fact = placed[at].fact if at < len(placed) else None
    return fact.name if fact else ""


def _columns(placed: tuple[Placed, ...], names: frozenset[str]) -> list[int]:
    return [at for at in range(len(placed)) if _name(placed, at) in names]


def _all_blank(cells: list[Cell], columns: list[int]) -> bool:
    return all(at >= len(cells) or not cells[at].text.strip() for at in columns)


def _has_other(cells: list[Cell], columns: set[int]) -> bool:
    return any(cell.text.strip() for at, cell in enumerate(cells) if at not in columns)


def _is_same(cells: list[Cell], columns: list[int], above: Line) -> bool:
    ours = [plain(cells[at].text) if at < len(cells) else "" for at in columns]
    theirs = [plain(above.cell(at).text) for at in columns]
    return any(ours) and ours == theirs


def _copy(cells: list[Cell], columns: list[int], above: Line) -> set[int]:
    """Fill blanks of these columns from the row above; the columns that were filled."""
    copied = set()
    for at in columns:
        if above.cell(at).text.strip() and _all_blank(cells, [at]):
            cells.extend([BLANK] * (at + 1 - len(cells)))
            cells[at] = replace(above.cell(at), comment="")
            copied.add(at)
    return copied


def _repeat_marked(
    cells: list[Cell], placed: tuple[Placed, ...], above: Leaning | None
) -> tuple[set[int], tuple[int, ...]]:
    """Put what stands above in place of each ditto mark."""
    repeated: set[int] = set()
    lost: list[int] = []
    for at, cell in enumerate(cells):
        if not cell.text or not says_ditto(cell.text) or cell.kind != "text":
            continue
        if above is not None and above.line.cell(at).text.strip():
            cells[at] = replace(above.line.cell(at), comment=cell.comment, struck=cell.struck)
            repeated.add(at)
        else:
            lost.append(at)
    return repeated, tuple(lost)
