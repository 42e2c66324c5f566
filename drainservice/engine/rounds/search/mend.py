"""Rounds that were sketched without breaks are made to hold: what does not fit is taken out, what
was promised gets its place back, and the rest goes in wherever it is worth its cost."""

from collections.abc import Sequence

from drainservice.engine.rounds.search.draft import Draft, empty_draft, insert_missing
from drainservice.engine.rounds.search.figures import MISSING, NEVER_S, Figures
from drainservice.engine.rounds.search.way import Way, best_spot, put_in, way_of, without


def mend_rounds(f: Figures, sketch: Sequence[Sequence[int]], start: Draft | None = None) -> Draft:
    """A draft whose rounds all hold, from options in order for each shift.

    `start` is a plan that holds: a day whose promises find no place gets its rounds of `start`
    back. Promises without a place even there stay out (`Draft.missing`).
    """
    draft = empty_draft(f)
    for shift, options in enumerate(sketch):
        allowed = tuple(option for option in options if option in f.own[shift])
        draft.set_way(heal_round(f, shift, allowed))
    return settle(draft, start)


def settle(draft: Draft, start: Draft | None = None) -> Draft:
    """Place whatever has no place; promises by force, if need be by the days of `start`."""
    insert_missing(draft)
    for stop in draft.missing():
        if draft.at[stop] < 0:
            make_room(draft, stop)
    if start is not None and draft.missing():
        draft = _days_of_start(draft, start)
    insert_missing(draft)
    return draft


def heal_round(f: Figures, shift: int, options: tuple[int, ...]) -> Way:
    """The round less the fewest stops with which it holds: the optional one that heals it
    cheapest, else the cheapest optional one, and a promised one only where no other is left."""
    way = way_of(f, shift, options)
    while way is None:
        best: Way | None = None
        best_cost = NEVER_S
        for option in options:
            skip = f.skip[f.stop_of[option]]
            rest = way_of(f, shift, tuple(o for o in options if o != option))
            if rest is not None and rest.cost + skip < best_cost:
                best, best_cost = rest, rest.cost + skip
        # A promised stop is the dearest of all, so that an optional one heals first.
        if best is not None and best_cost < MISSING:
            return best
        cheapest = min(options, key=lambda o: (f.skip[f.stop_of[o]], o))
        if best is not None and f.skip[f.stop_of[cheapest]] >= MISSING:
            return best
        options = tuple(o for o in options if o != cheapest)
        way = way_of(f, shift, options)
    return way


def make_room(draft: Draft, stop: int) -> bool:
    """Put a stop in by leaving out optional ones of one round, as cheaply as may be."""
    f = draft.f
    best: tuple[int, Way] | None = None
    for shift in f.shifts_of[stop]:
        found = _room_on(draft.ways[shift], f, stop)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        return False
    draft.set_way(best[1])
    return True


def _room_on(way: Way, f: Figures, stop: int) -> tuple[int, Way] | None:
    """The added cost and the round with the stop, less what had to go."""
    lost, rest = 0, way
    while True:
        spot = best_spot(f, rest, stop)
        if spot is not None:
            put = way_of(f, way.shift, put_in(rest, spot))
            return None if put is None else (lost + put.cost - way.cost, put)
        optional = [f.stop_of[o] for o in rest.options if f.skip[f.stop_of[o]] < MISSING]
        tries = []
        for other in optional:
            less = without(f, rest, other)
            if less is not None:
                fits = best_spot(f, less, stop) is not None
                tries.append((not fits, f.skip[other] + less.cost, other, less))
        if not tries:
            return None
        _, _, other, rest = min(tries, key=lambda one: one[:3])
        lost += f.skip[other]


def _days_of_start(draft: Draft, start: Draft) -> Draft:
    """Days whose promises found no place get their rounds of `start`, until none is missing or
    nothing of the draft is left."""
    shifts = draft.f.inputs.shifts
    reset: set[int] = set()
    while True:
        days = {
            shifts[start.at[stop]].day for stop in draft.missing() if start.at[stop] >= 0
        } - reset
        if not days:
            return draft
        reset |= days
        back = [way for way in start.ways if shifts[way.shift].day in days]
        taken = {draft.f.stop_of[option] for way in back for option in way.options}
        sketch = [
            tuple(o for o in way.options if draft.f.stop_of[o] not in taken) for way in draft.ways
        ]
        for way in back:
            sketch[way.shift] = way.options
        draft = empty_draft(draft.f)
        for shift, options in enumerate(sketch):
            draft.set_way(heal_round(draft.f, shift, options))
