"""Exact local search: every change is counted on the tables with break, overtime and risk, and
made where it saves. It ends when no single change saves any more."""

from collections.abc import Callable
from dataclasses import dataclass, field
from heapq import nsmallest

from drainservice.engine.rounds.search.draft import Draft
from drainservice.engine.rounds.search.figures import Figures
from drainservice.engine.rounds.search.way import (
    Spot,
    Way,
    best_spot,
    make_way,
    put_in,
    way_of,
    without,
)

NEAR = 40
# Units x 60 by which stops' own costs may outweigh longer legs when tails are exchanged: judgement.
TAIL_MARGIN = 1_800


def find_near(f: Figures, count: int = NEAR) -> list[list[int]]:
    """For each stop the others it might share a shift with, nearest first."""
    places = [stop.place for stop in f.inputs.stops]
    masks = [sum(1 << shift for shift in shifts) for shifts in f.shifts_of]
    out = []
    for stop, place in enumerate(places):
        row, col, mask = f.drives[place], f.into[place], masks[stop]
        others = [
            (row[places[other]] + col[places[other]], other)
            for other in range(len(places))
            if other != stop and masks[other] & mask
        ]
        out.append([other for _, other in nsmallest(count, others)])
    return out


@dataclass(slots=True)
class Search:
    """A search at one draft. `looks` counts what it has looked at, up to `wanted`."""

    draft: Draft
    near: list[list[int]]
    wanted: int
    should_stop: Callable[[], bool]
    looks: int = 0
    quiet: set[tuple[int, int]] = field(default_factory=set)
    kept: list[Way] = field(default_factory=list)
    seen: dict[int, tuple[Way | None, ...]] = field(default_factory=dict)

    def run(self) -> int:
        """Change the draft until quiet; the looks taken."""
        is_better = True
        while is_better:
            is_better = False
            for part in (self._move_all, self._exchange_all, self._turn_all, self._tails_all):
                is_better = part() or is_better
                if self._is_over():
                    return self.looks
        return self.looks

    def _is_over(self) -> bool:
        return self.looks >= self.wanted

    def _look(self) -> bool:
        """Count a look; false when there are to be no more."""
        if self.looks >= self.wanted or (self.looks % 50 == 0 and self.should_stop()):
            self.wanted = self.looks
            return False
        self.looks += 1
        return True

    def _move_all(self) -> bool:
        is_better = False
        for stop in range(len(self.draft.at)):
            if not self._look():
                break
            is_better = move_stop(self.draft, stop) or is_better
        return is_better

    def _exchange_all(self) -> bool:
        """A stop is looked at again once its round, or that of a near one, has changed."""
        is_better, draft = False, self.draft
        for stop, near in enumerate(self.near):
            rounds = tuple(draft.ways[at] if at >= 0 else None for at in self._shifts_at(stop))
            if self.seen.get(stop) == rounds:
                continue
            if not self._look():
                break
            if exchange_stop(draft, stop, near):
                is_better = True
            else:
                self.seen[stop] = rounds
        return is_better

    def _shifts_at(self, stop: int) -> list[int]:
        at = self.draft.at
        return [at[stop], *(at[other] for other in self.near[stop])]

    def _turn_all(self) -> bool:
        is_better = False
        for shift in range(len(self.draft.ways)):
            if not self._look():
                break
            is_better = turn_segment(self.draft, shift) or is_better
        return is_better

    def _tails_all(self) -> bool:
        """Pairs of one day; a pair that was quiet is not looked at until one of them changes."""
        is_better, ways = False, self.draft.ways
        by_day: dict[int, list[int]] = {}
        for number, shift in enumerate(self.draft.f.inputs.shifts):
            by_day.setdefault(shift.day, []).append(number)
        for shifts in by_day.values():
            for i, a in enumerate(shifts):
                for b in shifts[i + 1 :]:
                    pair = (id(ways[a]), id(ways[b]))
                    if pair in self.quiet or not (ways[a].options or ways[b].options):
                        continue
                    if not self._look():
                        return is_better
                    if swap_tails(self.draft, a, b):
                        is_better = True
                    else:
                        # Held, so that their ids stay theirs.
                        self.kept += (ways[a], ways[b])
                        self.quiet.add(pair)
        return is_better


def move_stop(draft: Draft, stop: int) -> bool:
    """Move a stop to its cheapest place anywhere, or out, if that saves."""
    f, shift = draft.f, draft.at[stop]
    if shift < 0:
        found = draft.best_place(stop)
        if found is None or found[1][0] >= f.skip[stop]:
            return False
        draft.put(*found)
        return True
    now = draft.ways[shift]
    rest = without(f, now, stop)
    if rest is None:
        return False
    gain, here = now.cost - rest.cost, best_spot(f, rest, stop)
    found = draft.best_place(stop, besides=shift)
    if here is not None and (found is None or here[0] <= found[1][0]):
        found = (shift, here)
    added = f.skip[stop] if found is None else min(found[1][0], f.skip[stop])
    if added >= gain:
        return False
    draft.set_way(rest)
    if found is not None and found[1][0] == added:
        draft.put(*found)
    return True


def exchange_stop(draft: Draft, stop: int, near: list[int]) -> bool:
    """Put a stop in the place of a near one, which goes to its cheapest place, or out."""
    f, at = draft.f, draft.at
    own_shift = at[stop]
    rest: Way | None = None
    gain = f.skip[stop]
    if own_shift >= 0:
        rest = without(f, draft.ways[own_shift], stop)
        if rest is None:
            return False
        gain = draft.ways[own_shift].cost - rest.cost
    for other in near:
        shift = at[other]
        if shift < 0 or shift == own_shift or stop not in f.choices[shift]:
            continue
        less = without(f, draft.ways[shift], other)
        if less is None:
            continue
        spot = best_spot(f, less, stop)
        if spot is None:
            continue
        added = less.cost - draft.ways[shift].cost + spot[0] - gain
        if added >= 0:
            continue
        where = _cheapest(draft, other, shift, own_shift, rest)
        price = f.skip[other] if where is None else min(f.skip[other], where[1][0])
        if added + price >= 0:
            continue
        _carry_out(draft, rest, less, spot)
        if where is not None and where[1][0] == price:
            draft.put(*where)
        return True
    return False


def _carry_out(draft: Draft, rest: Way | None, less: Way, spot: Spot) -> None:
    if rest is not None:
        draft.set_way(rest)
    way = way_of(draft.f, less.shift, put_in(less, spot))
    if way is None:
        raise AssertionError("a spot that was found free is not free")
    draft.set_way(way)


def _cheapest(
    draft: Draft, stop: int, besides: int, own_shift: int, rest: Way | None
) -> tuple[int, Spot] | None:
    """The cheapest place of the one that gives way: neither where it was, nor, on the round that
    the other leaves, in a spot that is not free any more."""
    best: tuple[int, Spot] | None = None
    for shift in draft.f.shifts_of[stop]:
        if shift == besides:
            continue
        way = rest if shift == own_shift and rest is not None else draft.ways[shift]
        spot = best_spot(draft.f, way, stop)
        if spot is not None and (best is None or spot[0] < best[1][0]):
            best = (shift, spot)
    return best


def turn_segment(draft: Draft, shift: int) -> bool:
    """Drive a part of a round the other way about, if that saves."""
    now = draft.ways[shift]
    options, best = now.options, now
    for i in range(len(options) - 1):
        for j in range(i + 2, len(options) + 1):
            turned = (*options[:i], *options[i:j][::-1], *options[j:])
            way = make_way(draft.f, shift, turned)
            if way is not None and way.cost < best.cost:
                best = way
    if best is now:
        return False
    draft.set_way(best)
    return True


def swap_tails(draft: Draft, a: int, b: int) -> bool:
    """Let two rounds of a day exchange what follows a gate of each, if that saves."""
    f, one, two = draft.f, draft.ways[a], draft.ways[b]
    best_cost, best = one.cost + two.cost, None
    drives, late = f.drives, one.late_cost + two.late_cost + TAIL_MARGIN
    for i in range(len(one.options) + 1):
        for j in range(len(two.options) + 1):
            legs = one.legs[i] + two.legs[j]
            new = (
                drives[one.places[i]][two.places[j + 1]] + drives[two.places[j]][one.places[i + 1]]
            )
            if new - legs >= late:
                continue
            first = make_way(f, a, one.options[:i] + two.options[j:])
            if first is None or first.cost >= best_cost:
                continue
            second = make_way(f, b, two.options[:j] + one.options[i:])
            if second is not None and first.cost + second.cost < best_cost:
                best_cost, best = first.cost + second.cost, (first, second)
    if best is None:
        return False
    # Both are emptied first, so that no stop stands twice in between.
    for shift in (a, b):
        empty = way_of(f, shift, ())
        if empty is not None:
            draft.set_way(empty)
    for way in best:
        draft.set_way(way)
    return True
