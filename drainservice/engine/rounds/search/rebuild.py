"""Rebuilding: take some neighbours out of their rounds, put them back otherwise, keep what is
cheaper, and at first now and then what is a little dearer (annealing)."""

from collections.abc import Callable
from dataclasses import dataclass
from math import log
from random import Random

from drainservice.engine.rounds.search.draft import Draft
from drainservice.engine.rounds.search.figures import MISSING
from drainservice.engine.rounds.search.way import Spot, Way, best_spot, put_in, way_of

# Sixtieths of a unit that a dearer plan may cost at first, from insertion alone and from a plan
# that the solver has seen to; 2 to 67 units were tried on invented weeks.
WARMTH, WARMTH_AFTER = 2_500, 1_000
FEWEST, MOST, LEFT_OUT = 3, 14, 4
# How often a whole round is taken out, or stretches of several; and a spot passed over.
WHOLE_ROUND, STRINGS, SECOND_BEST = 0.1, 0.9, 0.02
STOP_EVERY = 20


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """The best draft met, and how many rebuilds were made."""

    draft: Draft
    done: int


def rebuild(
    draft: Draft,
    near: list[list[int]],
    *,
    seed: int,
    count: int,
    over: int,
    should_stop: Callable[[], bool],
    told: Callable[[int, int], None],
    warmth: int,
) -> Rebuilt:
    """Rebuild up to `count` times while cooling over `over` rebuilds.

    `told(done, cost)` hears of the best cost every now and then. The same draft, seed, count and
    over give the same plan.
    """
    random, best, now = Random(seed), draft.copy(), draft.copy()
    if not any(shifts for shifts in now.f.shifts_of):
        return Rebuilt(best, 0)
    for done in range(count):
        if done % STOP_EVERY == 0:
            if should_stop():
                return Rebuilt(best, done)
            if done % (10 * STOP_EVERY) == 0:
                told(done, best.cost)
        chosen = _choose(now, near, random)
        limit = warmth * max(0.0, 1 - done / over) ** 2 * -log(1 - random.random())
        changed = _put_back(now, chosen, random)
        if changed is not None:
            ways, cost = changed
            if cost - now.cost <= limit:
                _take_over(now, ways, chosen, cost)
                if cost < best.cost:
                    best = now.copy()
    return Rebuilt(best, count)


def _choose(now: Draft, near: list[list[int]], random: Random) -> list[int]:
    """Stops to be taken out or, where they are out, to be tried: near neighbours of one of them."""
    at, f = now.at, now.f
    first = random.randrange(len(at))
    while not f.shifts_of[first]:
        first = random.randrange(len(at))
    around = near[first]
    many = random.randint(FEWEST, MOST)
    draw = random.random()
    chosen = [first]
    if draw < WHOLE_ROUND and at[first] >= 0:
        chosen = [f.stop_of[option] for option in now.ways[at[first]].options]
        many += len(chosen)
    elif draw < WHOLE_ROUND + (1 - WHOLE_ROUND) * STRINGS:
        return _strings(now, first, around, many, random)
    outside = 0
    for stop in around:
        if len(chosen) >= many:
            break
        if at[stop] < 0:
            outside += 1
            if outside > LEFT_OUT:
                continue
        if stop not in chosen and random.random() < 0.6:
            chosen.append(stop)
    return chosen


def _strings(now: Draft, first: int, around: list[int], many: int, random: Random) -> list[int]:
    """Stretches of neighbouring rounds, each about a near stop, and near ones left out."""
    f, at = now.f, now.at
    chosen: list[int] = []
    seen: set[int] = set()
    outside = 0
    longest = random.randint(2, 5)
    for stop in (first, *around):
        if len(chosen) >= many:
            break
        shift = at[stop]
        if shift < 0:
            if outside < LEFT_OUT and stop not in chosen:
                outside += 1
                chosen.append(stop)
            continue
        if shift in seen:
            continue
        seen.add(shift)
        on_way = [f.stop_of[option] for option in now.ways[shift].options]
        length = random.randint(1, min(longest, len(on_way)))
        index = on_way.index(stop)
        start = random.randint(max(0, index - length + 1), min(index, len(on_way) - length))
        chosen += on_way[start : start + length]
    return chosen


def _put_back(now: Draft, chosen: list[int], random: Random) -> tuple[dict[int, Way], int] | None:
    """The rounds that change and the plan's new cost; None where a promise finds no place."""
    f, at, skip = now.f, now.at, now.f.skip
    out = set(chosen)
    ways: dict[int, Way] = {}
    cost = now.cost
    for stop in chosen:
        shift = at[stop]
        if shift < 0 or shift in ways:
            continue
        old = now.ways[shift]
        kept = tuple(option for option in old.options if f.stop_of[option] not in out)
        way = way_of(f, shift, kept)
        if way is None:
            return None
        ways[shift] = way
        cost += way.cost - old.cost
    for stop in chosen:
        if at[stop] >= 0:
            cost += skip[stop]
    for stop in _ordered(now, chosen, random):
        passed = -1
        found = _cheapest(now, ways, stop, passed)
        if found is not None and random.random() < SECOND_BEST:
            found = _cheapest(now, ways, stop, found[0]) or found
        if found is None or found[1][0] >= skip[stop]:
            if skip[stop] >= MISSING and at[stop] >= 0:
                return None
            continue
        shift, spot = found
        old = ways[shift] if shift in ways else now.ways[shift]
        put = way_of(f, shift, put_in(old, spot))
        if put is None:
            raise AssertionError("a spot that was found free is not free")
        ways[shift] = put
        cost += put.cost - old.cost - skip[stop]
    return ways, cost


def _ordered(now: Draft, chosen: list[int], random: Random) -> list[int]:
    """By worth, by fewest shifts that may serve them, longest first, or at random."""
    f = now.f
    order = chosen[:]
    random.shuffle(order)
    draw = random.random()
    if draw < 0.25:
        order.sort(key=lambda stop: -f.skip[stop])
    elif draw < 0.5:
        order.sort(key=lambda stop: len(f.shifts_of[stop]))
    elif draw < 0.6:
        order.sort(key=lambda stop: -f.work_s[f.first_option[stop]])
    return order


def _cheapest(now: Draft, ways: dict[int, Way], stop: int, passed: int) -> tuple[int, Spot] | None:
    """As `Draft.best_place`, with some rounds replaced; not on the shift `passed`."""
    f, plain = now.f, now.ways
    best: Spot | None = None
    where = -1
    for shift in f.shifts_of[stop]:
        if shift == passed:
            continue
        way = ways[shift] if shift in ways else plain[shift]
        spot = way.spots[stop] if stop in way.spots else best_spot(f, way, stop)
        if spot is not None and (best is None or spot[0] < best[0]):
            best, where = spot, shift
    return None if best is None else (where, best)


def _take_over(now: Draft, ways: dict[int, Way], chosen: list[int], cost: int) -> None:
    for stop in chosen:
        now.at[stop] = -1
    for shift, way in ways.items():
        now.ways[shift] = way
        for option in way.options:
            now.at[now.f.stop_of[option]] = shift
    now.cost = cost
