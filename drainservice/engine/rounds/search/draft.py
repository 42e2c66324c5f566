"""A plan in the making: one way for each shift, and the stops that have no place yet."""

from dataclasses import dataclass

from drainservice.engine.rounds.facts import Gate, Plan, Round
from drainservice.engine.rounds.search.figures import MISSING, Figures
from drainservice.engine.rounds.search.way import Spot, Way, best_spot, put_in, way_of, without


@dataclass(slots=True, eq=False)
class Draft:
    """`at[stop]` is the shift that serves the stop, -1 none. `cost` is in sixtieths of a unit."""

    f: Figures
    ways: list[Way]
    at: list[int]
    cost: int

    def copy(self) -> "Draft":
        """The same draft, to be changed apart."""
        return Draft(self.f, self.ways[:], self.at[:], self.cost)

    def set_way(self, way: Way) -> None:
        """Put a way where another was, and mind the stops it has lost or won."""
        f, old = self.f, self.ways[way.shift]
        for option in old.options:
            self.at[f.stop_of[option]] = -1
            self.cost += f.skip[f.stop_of[option]]
        for option in way.options:
            self.at[f.stop_of[option]] = way.shift
            self.cost -= f.skip[f.stop_of[option]]
        self.ways[way.shift] = way
        self.cost += way.cost - old.cost

    def take_out(self, stop: int) -> bool:
        """Leave a stop out; false where its round cannot do without."""
        rest = without(self.f, self.ways[self.at[stop]], stop)
        if rest is None:
            return False
        self.set_way(rest)
        return True

    def put(self, shift: int, spot: Spot) -> None:
        """Put a stop where `best_place` found a spot for it."""
        way = way_of(self.f, shift, put_in(self.ways[shift], spot))
        if way is None:
            raise AssertionError("a spot that was found free is not free")
        self.set_way(way)

    def best_place(self, stop: int, besides: int = -1) -> tuple[int, Spot] | None:
        """The shift and spot where the stop adds least; not on the shift `besides`."""
        best: Spot | None = None
        where = -1
        for shift in self.f.shifts_of[stop]:
            if shift == besides:
                continue
            spot = best_spot(self.f, self.ways[shift], stop)
            if spot is not None and (best is None or spot[0] < best[0]):
                best, where = spot, shift
        return None if best is None else (where, best)

    def missing(self) -> list[int]:
        """The stops that must not be left out and have no place."""
        skip = self.f.skip
        return [stop for stop, shift in enumerate(self.at) if shift < 0 and skip[stop] >= MISSING]

    def as_plan(self) -> Plan:
        """Rounds of the shifts that have gates, and the stops left out."""
        f = self.f
        rounds = tuple(
            Round(way.shift, tuple(Gate(f.stop_of[o], f.window_of[o]) for o in way.options))
            for way in self.ways
            if way.options
        )
        return Plan(rounds, tuple(stop for stop, shift in enumerate(self.at) if shift < 0))


def empty_draft(f: Figures) -> Draft:
    """All shifts empty, all stops left out."""
    ways = []
    for shift in range(len(f.own)):
        way = way_of(f, shift, ())
        if way is None:
            raise AssertionError("an empty round can always be drawn")
        ways.append(way)
    return Draft(f, ways, [-1] * len(f.skip), sum(f.skip))


def insert_missing(draft: Draft) -> None:
    """Put in what has no place, the promised and the worthiest first, each where it adds least,
    unless leaving it out is cheaper."""
    skip, shifts_of = draft.f.skip, draft.f.shifts_of
    open_ = [stop for stop, shift in enumerate(draft.at) if shift < 0]
    for stop in sorted(open_, key=lambda s: (-skip[s], len(shifts_of[s]), s)):
        found = draft.best_place(stop)
        if found is not None and found[1][0] < skip[stop]:
            draft.put(*found)
