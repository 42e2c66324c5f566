"""Putting stops that lost their place into the rounds of a day: first whoever would regret most
not to come first, then by letting another stop give way."""

from collections.abc import Iterable, Sequence

from drainservice.engine.rounds.search.draft import Draft
from drainservice.engine.rounds.search.figures import MISSING
from drainservice.engine.rounds.search.way import Spot, Way, best_spot, put_in, way_of, without

# How many near stops are looked at for one that might give way: judgement, for the time it takes.
NEAR = 60


def insert_by_regret(draft: Draft, stops: Iterable[int]) -> list[int]:
    """Put in each stop where it adds least, the one first whose second-best round is dearest
    against its best; the stops that found no place, in their order.

    A stop goes in only where that costs less than leaving it out.
    """
    waiting, unplaced = list(stops), []
    while waiting:
        rated = [(_regret(draft, stop), stop) for stop in waiting]
        unplaced += [stop for regret, stop in rated if regret is None]
        fits = [(regret, stop) for regret, stop in rated if regret is not None]
        if not fits:
            break
        # Of equal regrets the stop that stands first.
        _, stop = max(fits, key=lambda one: (one[0], -one[1]))
        found = draft.best_place(stop)
        if found is None:
            raise AssertionError("a place that was found is gone")
        draft.put(*found)
        waiting = [other for _, other in fits if other != stop]
    return [stop for stop in sorted(unplaced) if draft.at[stop] < 0]


def _regret(draft: Draft, stop: int) -> int | None:
    """How much dearer the second-best round is, in sixtieths of a unit; None: no place."""
    costs, skip = [], draft.f.skip[stop]
    for shift in draft.f.shifts_of[stop]:
        spot = best_spot(draft.f, draft.ways[shift], stop)
        if spot is not None and spot[0] < skip:
            costs.append(spot[0])
    if not costs:
        return None
    best, second, *_ = [*sorted(costs), MISSING]
    return second - best


def make_way_for(draft: Draft, stop: int) -> bool:
    """Put a stop in the place of another, which goes to its cheapest place or, if it is cheaper to
    leave out than this one, waits. The exchange that costs least is made, if any saves."""
    best: tuple[int, Way, tuple[int, Spot] | None] | None = None
    for other in _near(draft, stop):
        found = _exchange(draft, stop, other)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None or best[0] >= draft.f.skip[stop]:
        return False
    draft.set_way(best[1])
    if best[2] is not None:
        draft.put(*best[2])
    return True


def _exchange(
    draft: Draft, stop: int, other: int
) -> tuple[int, Way, tuple[int, Spot] | None] | None:
    """The added cost, the round with the stop instead of the other, and where that one goes."""
    f, shift = draft.f, draft.at[other]
    now = draft.ways[shift]
    rest = without(f, now, other)
    spot = None if rest is None else best_spot(f, rest, stop)
    if rest is None or spot is None:
        return None
    changed = way_of(f, shift, put_in(rest, spot))
    if changed is None:
        raise AssertionError("a spot that was found free is not free")
    goes, price = _place_of(draft, other, changed), f.skip[other]
    if goes is not None and goes[1][0] < price:
        return changed.cost - now.cost + goes[1][0], changed, goes
    return changed.cost - now.cost + price, changed, None


def _place_of(draft: Draft, stop: int, changed: Way) -> tuple[int, Spot] | None:
    """The cheapest place of a stop, once one round is changed."""
    elsewhere = draft.best_place(stop, besides=changed.shift)
    if changed.shift not in draft.f.shifts_of[stop]:
        return elsewhere
    here = best_spot(draft.f, changed, stop)
    if here is None or (elsewhere is not None and elsewhere[1][0] <= here[0]):
        return elsewhere
    return changed.shift, here


def _near(draft: Draft, stop: int) -> Sequence[int]:
    """Placed stops on rounds that may serve this one, nearest first."""
    f, places = draft.f, draft.f.inputs.stops
    here, shifts = places[stop].place, set(f.shifts_of[stop])
    near = [other for other, shift in enumerate(draft.at) if shift in shifts]
    near.sort(key=lambda other: (f.drives[here][places[other].place], other))
    return near[:NEAR]
