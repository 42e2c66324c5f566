"""Fairness: where two rounds of a day differ by much in hours and tails can change hands for
little, they do."""

from itertools import combinations

from drainservice.engine.rounds.facts import UNIT
from drainservice.engine.rounds.search.draft import Draft
from drainservice.engine.rounds.search.way import Way, way_of


def even_out(draft: Draft) -> int:
    """Swap tails between rounds of one day until none is both unfair and cheap to mend; how many
    were swapped. Each swap brings the hours nearer, so it ends."""
    shifts = draft.f.inputs.shifts
    swapped = 0
    if not draft.f.inputs.tariff.even_units:
        return 0
    pairs = [
        (a, b)
        for a, b in combinations(range(len(shifts)), 2)
        if shifts[a].day == shifts[b].day and shifts[a].technician != shifts[b].technician
    ]
    for a, b in pairs:
        while _is_unfair(draft, draft.ways[a], draft.ways[b]):
            better = _fairer(draft, draft.ways[a], draft.ways[b])
            if better is None:
                break
            _exchange(draft, better)
            swapped += 1
    return swapped


def hours_s(draft: Draft, way: Way) -> int:
    """From the start of the shift to the return; nothing for a day off the road."""
    return way.home_s - draft.f.starts_s[way.shift] if way.options else 0


def _is_unfair(draft: Draft, one: Way, two: Way) -> bool:
    """Both are out; an empty round is a day for other work, and is left alone."""
    if not one.options or not two.options:
        return False
    return abs(hours_s(draft, one) - hours_s(draft, two)) > draft.f.inputs.tariff.uneven_s


def _fairer(draft: Draft, one: Way, two: Way) -> tuple[Way, Way] | None:
    """The swap that leaves the least difference, cheap enough and with both still out."""
    f = draft.f
    apart = abs(hours_s(draft, one) - hours_s(draft, two))
    cheap = UNIT * f.inputs.tariff.even_units
    best: tuple[Way, Way] | None = None
    for i in range(len(one.options) + 1):
        for j in range(len(two.options) + 1):
            first = way_of(f, one.shift, one.options[:i] + two.options[j:])
            second = way_of(f, two.shift, two.options[:j] + one.options[i:])
            if first is None or second is None or not (first.options and second.options):
                continue
            if first.cost + second.cost - one.cost - two.cost >= cheap:
                continue
            new = abs(hours_s(draft, first) - hours_s(draft, second))
            if new < apart:
                apart, best = new, (first, second)
    return best


def _exchange(draft: Draft, ways: tuple[Way, Way]) -> None:
    for way in ways:
        empty = way_of(draft.f, way.shift, ())
        if empty is not None:
            draft.set_way(empty)
    for way in ways:
        draft.set_way(way)
