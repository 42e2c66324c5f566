"""In which one, two or three weeks to drive to a neighbourhood: every set of weeks is tried."""

from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[np.float64]]
    Numbers = np.ndarray[Any, np.dtype[np.intp]]

MOST_WEEKS_A_CELL = 3


@dataclass(frozen=True, slots=True)
class SetTable:
    """All sets of one to three of so many weeks: 696 for 16.

    Pair p joins `first[p]` and `second[p]`; triple t joins pair `pair[t]` and week `third[t]`.
    """

    first: "Numbers"
    second: "Numbers"
    pair: "Numbers"
    third: "Numbers"


@cache
def set_table(weeks: int) -> SetTable:
    """The table for so many weeks."""
    import numpy as np

    pairs = list(combinations(range(weeks), 2))
    number = {pair: place for place, pair in enumerate(pairs)}
    triples = list(combinations(range(weeks), 3))

    def column(values: list[int]) -> "Numbers":
        return np.array(values, dtype=np.intp)

    return SetTable(
        first=column([a for a, _ in pairs]),
        second=column([b for _, b in pairs]),
        pair=column([number[(a, b)] for a, b, _ in triples]),
        third=column([c for _, _, c in triples]),
    )


def best_set(gain: "Array", drive: "Array", most: int) -> tuple[int, ...]:
    """The weeks whose gain less their drives is largest, for one cell; () where none gains.

    `gain[w, j]`: what visit j saves in week w against the best it has without; each takes the
    larger of the weeks chosen. `drive[w]`: what driving there costs. At most `most` weeks.
    """
    import numpy as np

    best: float = 0.0
    chosen: tuple[int, ...] = ()
    if most == 0 or not len(drive):
        return chosen
    single = np.einsum("wj->w", gain) - drive
    at = int(single.argmax())
    if single[at] > best:
        best, chosen = float(single[at]), (at,)
    if most == 1 or len(drive) == 1:
        return chosen
    table = set_table(len(drive))
    of_pairs = np.maximum(gain.take(table.first, 0), gain.take(table.second, 0))
    pair_drive = drive.take(table.first) + drive.take(table.second)
    double = np.einsum("pj->p", of_pairs) - pair_drive
    at = int(double.argmax())
    if double[at] > best:
        best, chosen = float(double[at]), (int(table.first[at]), int(table.second[at]))
    if most == 2 or len(drive) == 2:
        return chosen
    of_triples = np.maximum(of_pairs.take(table.pair, 0), gain.take(table.third, 0))
    triple = np.einsum("tj->t", of_triples)
    triple -= pair_drive.take(table.pair) + drive.take(table.third)
    at = int(triple.argmax())
    if triple[at] > best:
        pair = table.pair[at]
        chosen = (int(table.first[pair]), int(table.second[pair]), int(table.third[at]))
    return chosen


def best_sets(gain: "Array", drive: "Array", most: "Numbers") -> tuple["Array", "Numbers"]:
    """The same for many cells at once: what the best sets gain, and their weeks.

    `gain[w, j, k]`, `drive[w, k]`, `most[k]` for cell k. Weeks come as (k, 3), -1 where fewer.
    """
    import numpy as np

    weeks, _, cells = gain.shape
    table = set_table(weeks)
    pairs, triples = len(table.first), len(table.third)
    value = np.empty((1 + weeks + pairs + triples, cells))
    value[0] = 0.0
    value[1 : 1 + weeks] = gain.sum(axis=1) - drive
    room = np.empty_like(gain)
    at = 1 + weeks
    for a in range(weeks - 1):
        at = _fill(value, at, gain[a], drive[a], gain[a + 1 :], drive[a + 1 :], room)
    joined = np.empty_like(gain[0]) if weeks else None
    for a in range(weeks - 2):
        for b in range(a + 1, weeks - 1):
            np.maximum(gain[a], gain[b], out=joined)
            both = drive[a] + drive[b]
            at = _fill(value, at, joined, both, gain[b + 1 :], drive[b + 1 :], room)
    value[1 : 1 + weeks, most < 1] = -np.inf
    value[1 + weeks : 1 + weeks + pairs, most < 2] = -np.inf
    value[1 + weeks + pairs :, most < 3] = -np.inf
    found = value.argmax(axis=0)
    return value[found, np.arange(cells)], _members(weeks)[found]


def _fill(
    value: "Array",
    at: int,
    one: Any,
    one_drive: Any,
    rest: "Array",
    rest_drive: "Array",
    room: "Array",
) -> int:
    """Write the gains of `one` joined with each of `rest`; say where the next begin."""
    import numpy as np

    count = len(rest)
    np.maximum(one, rest, out=room[:count])
    into = value[at : at + count]
    np.add.reduce(room[:count], axis=1, out=into)
    into -= rest_drive
    into -= one_drive
    return at + count


@cache
def _members(weeks: int) -> "Numbers":
    """The weeks of each set in the order of `best_sets`: none, singles, pairs, triples."""
    import numpy as np

    sets: list[tuple[int, ...]] = [()]
    for size in (1, 2, 3):
        sets += combinations(range(weeks), size)
    return np.array([[*chosen, -1, -1, -1][:3] for chosen in sets], dtype=np.intp)
