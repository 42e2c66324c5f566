"""The tables of many rounds side by side, so that one visit is tried at all places at once.

Says the same as `insert.room_at` at each place; numpy's whole numbers hold every time exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING, NamedTuple

from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.insert import Candidate, Room
from drainservice.engine.rounds.tables import Tables

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Arrays:
    """All places of some rounds, in the rounds' order, then by the gates passed before.

    `round_of[p]` counts the tables given, `before[p]` the gates. `nodes` are the places of all
    nodes of all rounds, `first_node` where each round's begin.
    """

    round_of: "Whole"
    before: "Whole"
    from_place: "Whole"
    to_place: "Whole"
    straight_s: "Whole"
    early0_s: "Whole"
    early1_s: "Whole"
    late0_s: "Whole"
    late1_s: "Whole"
    pause_from_s: "Whole"
    pause_to_s: "Whole"
    pause_s: "Whole"
    nodes: "Whole"
    first_node: "Whole"


class Tried(NamedTuple):
    """One visit at all places: the starts that keep the round, and the driving it adds."""

    room: "tuple[Whole, Whole, Whole, Whole]"
    added_drive_s: "Whole"


def make_arrays(tables: Sequence[Tables]) -> Arrays:
    """The tables of rounds as columns, one row for each place a visit may be put."""
    import numpy as np

    counts = [len(one.legs_s) for one in tables]
    return Arrays(
        round_of=np.repeat(np.arange(len(tables)), counts),
        before=_joined([range(count) for count in counts]),
        from_place=_joined([one.places[:-1] for one in tables]),
        to_place=_joined([one.places[1:] for one in tables]),
        straight_s=_joined([one.legs_s if one.gates else [0] for one in tables]),
        early0_s=_joined([one.early0_s[:-1] for one in tables]),
        early1_s=_joined([one.early1_s[:-1] for one in tables]),
        late0_s=_joined([one.late0_s[1:] for one in tables]),
        late1_s=_joined([one.late1_s[1:] for one in tables]),
        pause_from_s=np.repeat([one.pause_from_s for one in tables], counts).astype(np.int64),
        pause_to_s=np.repeat([one.pause_to_s for one in tables], counts).astype(np.int64),
        pause_s=np.repeat([one.pause_s for one in tables], counts).astype(np.int64),
        nodes=_joined([one.places for one in tables]),
        first_node=np.cumsum([0, *(count + 1 for count in counts[:-1])]),
    )


def _joined(rows: Sequence[Sequence[int]]) -> "Whole":
    import numpy as np

    return np.fromiter(chain.from_iterable(rows), dtype=np.int64)


def try_all(arrays: Arrays, candidate: Candidate) -> Tried:
    """`insert.room_at` and `insert.added_drive_s` at every place."""
    import numpy as np

    way_in_s = np.array(candidate.ways_in_s, dtype=np.int64)[arrays.from_place]
    way_on_s = np.array(candidate.ways_on_s, dtype=np.int64)[arrays.to_place]
    work_s = candidate.stop.work_s
    ahead_from_s = arrays.early0_s + way_in_s
    rested_s = np.maximum(ahead_from_s, arrays.pause_from_s) + arrays.pause_s
    behind_from_s = arrays.early1_s + way_in_s
    np.minimum(
        behind_from_s, rested_s, out=behind_from_s, where=arrays.early0_s <= arrays.pause_to_s
    )
    behind_to_s = arrays.late0_s - way_on_s
    rests_s = np.minimum(arrays.pause_to_s, behind_to_s - arrays.pause_s)
    leaves_s = arrays.late1_s - way_on_s
    is_possible = arrays.pause_from_s + arrays.pause_s <= arrays.late0_s
    np.maximum(leaves_s, rests_s, out=leaves_s, where=is_possible)
    room = (behind_from_s, behind_to_s - work_s, ahead_from_s, leaves_s - work_s)
    return Tried(room, way_in_s + way_on_s - arrays.straight_s)


def room_of(tried: Tried, place: int) -> Room:
    """The starts at one place, as `insert.room_at` tells them."""
    behind_from, behind_to, ahead_from, ahead_to = (int(column[place]) for column in tried.room)
    return behind_from, behind_to, ahead_from, ahead_to


def where_fits(tried: Tried, from_s: "Whole", to_s: "Whole") -> "NDArray[np.bool_]":
    """Where a start between these times keeps the round; bounds may have windows as columns."""
    import numpy as np

    behind_from_s, behind_to_s, ahead_from_s, ahead_to_s = (
        column if from_s.ndim == 1 else column[:, None] for column in tried.room
    )
    behind = np.maximum(behind_from_s, from_s) <= np.minimum(behind_to_s, to_s)
    ahead = np.maximum(ahead_from_s, from_s) <= np.minimum(ahead_to_s, to_s)
    found: NDArray[np.bool_] = behind | ahead
    return found


def nearer_s(
    inputs: PlanInputs, arrays: Arrays, ways_on_s: Sequence[int], nearest: Sequence[int]
) -> "Whole":
    """For each round, by how many seconds it comes nearer to these places with a visit that is so
    far from each of them; see `offer_price.near_s`."""
    import numpy as np

    if not nearest or not len(arrays.first_node):
        return np.zeros(len(arrays.first_node), dtype=np.int64)
    ways_s = np.array([ways_on_s[other] for other in nearest], dtype=np.int64)
    places, node_of = np.unique(arrays.nodes, return_inverse=True)
    drives = inputs.drives
    from_places = [[drives[place][other] for other in nearest] for place in places.tolist()]
    at_nodes = np.array(from_places, dtype=np.int64)[node_of]
    now_s = np.minimum.reduceat(at_nodes, arrays.first_node, axis=0)
    total: Whole = np.maximum(0, now_s - ways_s).sum(axis=1)
    return total
