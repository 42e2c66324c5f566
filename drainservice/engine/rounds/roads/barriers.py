"""Rivers, lakes and rails that a drive cannot cross but at certain points."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import check_place, haversine_km


class BarrierCannotBe(ValueError):
    """A barrier without a line or without a crossing; the text says what to draw."""


@dataclass(frozen=True, slots=True)
class Barrier:
    """A line that no drive crosses but at its crossings.

    Draw it past its ends: a drive that would go round an end counts as one that does not cross.
    """

    line: tuple[Place, ...]
    crossings: tuple[Place, ...]

    def __post_init__(self) -> None:
        if len(self.line) < 2:
            raise BarrierCannotBe("A barrier needs a line of two points or more; draw its course.")
        if not self.crossings:
            raise BarrierCannotBe(
                "A barrier needs a bridge or another crossing, or nobody would ever get across; "
                "mark at least one."
            )
        for place in (*self.line, *self.crossings):
            check_place(place, "A point of the barrier")


def way_km(a: Place, b: Place, barriers: Sequence[Barrier] = ()) -> float:
    """Kilometres as the crow flies, by the crossings that make the way shortest.

    Barriers in the way are crossed in the order in which the straight line meets them. A line met
    an even number of times is not in the way: both ends lie on the same side of it.
    """
    met = [(at, barrier) for barrier in barriers if (at := _meets_at(a, b, barrier)) is not None]
    reached = [(a, 0.0)]
    for _, barrier in sorted(met, key=lambda one: one[0]):
        reached = [
            (crossing, min(km + haversine_km(place, crossing) for place, km in reached))
            for crossing in barrier.crossings
        ]
    return min(km + haversine_km(place, b) for place, km in reached)


def side(p: Place, q: Place, of: Place) -> bool:
    """On which side of the line through p and q a place lies, in the plane of the degrees.

    A place on the line counts to one side always, so that a way through a corner of a barrier
    meets it once.
    """
    return (q.lon - p.lon) * (of.lat - p.lat) - (q.lat - p.lat) * (of.lon - p.lon) >= 0


def _meets_at(a: Place, b: Place, barrier: Barrier) -> float | None:
    """How far along a to b (0 to 1) the barrier is in the way; None where it is not."""
    met = [
        _share(a, b, p, q)
        for p, q in pairwise(barrier.line)
        if side(p, q, a) != side(p, q, b) and side(a, b, p) != side(a, b, q)
    ]
    return sorted(met)[len(met) // 2] if len(met) % 2 else None


def _share(a: Place, b: Place, p: Place, q: Place) -> float:
    """The share of a to b at which it meets p to q, which it does."""
    across = (q.lon - p.lon) * (b.lat - a.lat) - (q.lat - p.lat) * (b.lon - a.lon)
    reached = (q.lat - p.lat) * (a.lon - p.lon) - (q.lon - p.lon) * (a.lat - p.lat)
    return reached / across if across else 0.0
