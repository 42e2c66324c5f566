"""A round as a search sees it: its options in order, and how early and how late each may start.

Earliest departures and latest starts are kept in two layers: 0, the break is not yet taken (for
the latest: not to come any more); 1, it is taken (still to come). All steps are monotone in time,
so the two layers tell exactly where another stop fits, without driving the round again.
"""

from dataclasses import dataclass, field

from drainservice.engine.rounds.search.figures import NEVER_S, Figures

REMEMBERED = 30_000

Spot = tuple[int, int, int]  # added cost, how many gates come before, option


@dataclass(slots=True, eq=False)
class Way:
    """One shift's options in order, with its tables; index 0 is the start, the last is home.

    `cost` holds driving, overtime and what the options cost on this shift. `spots` remembers the
    best spot of each stop that was tried.
    """

    shift: int
    options: tuple[int, ...]
    places: list[int]
    legs: list[int]
    e0: list[int]
    e1: list[int]
    l0: list[int]
    l1: list[int]
    home_s: int
    late_cost: int
    cost: int
    load: int
    spots: dict[int, Spot | None] = field(default_factory=dict)


def make_way(f: Figures, shift: int, options: tuple[int, ...]) -> Way | None:
    """The way with its tables; None where the shift may not serve an option, or not in time."""
    own, rests = f.own[shift], f.pauses[shift]
    eb, lb, b = rests
    now0, now1 = f.starts_s[shift], NEVER_S
    here = f.leaves[shift]
    e0, e1, places, legs, cost, load = [now0], [now1], [here], [], 0, 0
    for option in options:
        if option not in own:
            return None
        there = f.place[option]
        t = f.drives[here][there]
        early, late, work = f.early_s[option], f.late_s[option], f.work_s[option]
        arrive1 = now1 + t
        if now0 <= lb:
            arrive1 = min(arrive1, (now0 + t if now0 + t > eb else eb) + b)
        start0 = now0 + t if now0 + t > early else early
        start1 = arrive1 if arrive1 > early else early
        now0 = start0 + work if start0 <= late else NEVER_S
        now1 = start1 + work if start1 <= late else NEVER_S
        if now0 >= NEVER_S and now1 >= NEVER_S:
            return None
        e0.append(now0)
        e1.append(now1)
        places.append(there)
        legs.append(t)
        cost += t + own[option]
        load += f.load[f.stop_of[option]]
        here = there
    home = f.returns[shift]
    t = f.drives[here][home]
    home_s = now1 + t
    if now0 <= lb:
        home_s = min(home_s, (now0 + t if now0 + t > eb else eb) + b)
    if options and (home_s > f.closes_s[shift] or load > f.room[shift]):
        return None
    places.append(home)
    legs.append(t)
    late_cost = f.overtime * max(0, home_s - f.ends_s[shift]) if options else 0
    l0, l1 = _latest(f, shift, options, legs)
    cost = cost + t + late_cost if options else 0
    return Way(shift, options, places, legs, e0, e1, l0, l1, home_s, late_cost, cost, load)


def _latest(
    f: Figures, shift: int, options: tuple[int, ...], legs: list[int]
) -> tuple[list[int], list[int]]:
    """Latest starts in two layers, index 0 the departure from home, the last the return."""
    eb, lb, b = f.pauses[shift]
    n = len(options)
    l0, l1 = [0] * (n + 2), [0] * (n + 2)
    later0, later1 = f.closes_s[shift], -NEVER_S
    l0[n + 1], l1[n + 1] = later0, later1
    for k in range(n, -1, -1):
        t = legs[k]
        by1 = later1 - t
        if eb + b <= later0:
            by1 = max(by1, min(lb, later0 - b - t))
        by0 = later0 - t
        if k:
            option = options[k - 1]
            work, late, early = f.work_s[option], f.late_s[option], f.early_s[option]
            by0 = min(late, by0 - work)
            by1 = min(late, by1 - work)
            by0 = by0 if by0 >= early else -NEVER_S
            by1 = by1 if by1 >= early else -NEVER_S
        l0[k], l1[k] = by0, by1
        later0, later1 = by0, by1
    return l0, l1


def best_spot(f: Figures, way: Way, stop: int) -> Spot | None:
    """Where the stop costs least on this way; None where it fits nowhere. Remembered."""
    if stop in way.spots:
        return way.spots[stop]
    best: Spot | None = None
    if way.load + f.load[stop] <= f.room[way.shift]:
        limit = NEVER_S
        for option in f.choices[way.shift].get(stop, ()):
            found = _best_of_option(
                f, way, option.number, option.early_s, option.late_s, option.own, limit
            )
            if found is not None:
                best, limit = found, found[0]
    way.spots[stop] = best
    return best


def _best_of_option(
    f: Figures, way: Way, option: int, early: int, late: int, own: int, limit: int
) -> Spot | None:
    """The spot of one option that costs less than `limit`.

    Four cases: the break before the gate ahead, after the gate behind, on the way to the new
    stop, or on the way from it.
    """
    place, work = f.place[option], f.work_s[option]
    into, out, places, legs = f.into[place], f.drives[place], way.places, way.legs
    e0, e1, l0, l1 = way.e0, way.e1, way.l0, way.l1
    eb, lb, b = f.pauses[way.shift]
    shift, late_now, overtime = way.shift, way.late_cost, f.overtime
    is_empty = not way.options
    best: Spot | None = None
    for k in range(len(legs)):
        ready0 = e0[k]
        t, after = into[places[k]], out[places[k + 1]]
        # At least, for overtime can be no less than none.
        added = own + t + after - (0 if is_empty else legs[k]) - late_now
        if added >= limit:
            continue
        ready = ready0 if ready0 < NEVER_S else e1[k]
        if ready > late:
            break
        by0, by1 = l0[k + 1], l1[k + 1]
        # The earliest start of all, and the latest of the gate behind: beyond it nothing helps.
        start = ready + t if ready + t > early else early
        if start > late or start + work + after > by0:
            continue
        start0 = ready0 + t if ready0 + t > early else early
        leaves1 = NEVER_S
        arrive1 = e1[k] + t
        if ready0 <= lb:
            rested = (ready0 + t if ready0 + t > eb else eb) + b
            if rested < arrive1:
                arrive1 = rested
        start1 = arrive1 if arrive1 > early else early
        if start1 <= late:
            leaves1 = start1 + work
        leaves0 = start0 + work if start0 <= late else NEVER_S
        if not (
            leaves1 + after <= by0
            or leaves0 + after <= by1
            or (leaves0 <= lb and (leaves0 + after if leaves0 + after > eb else eb) + b <= by0)
        ):
            continue
        home_s = _home_after(f, way, k, leaves0, leaves1, after)
        if home_s > f.ends_s[shift]:
            added += overtime * (home_s - f.ends_s[shift])
        if added < limit:
            best, limit = (added, k, option), added
    return best


def _home_after(f: Figures, way: Way, k: int, now0: int, now1: int, t: int) -> int:
    """When the way is home, given the departures in both layers from a stop put in after gate k,
    and the drive from there. Gates whose break must come by then are passed as in `make_way`."""
    eb, lb, b = f.pauses[way.shift]
    options, legs = way.options, way.legs
    for number in range(k, len(options)):
        option = options[number]
        early, late, work = f.early_s[option], f.late_s[option], f.work_s[option]
        arrive1 = now1 + t
        if now0 <= lb:
            rested = (now0 + t if now0 + t > eb else eb) + b
            if rested < arrive1:
                arrive1 = rested
        start0 = now0 + t if now0 + t > early else early
        start1 = arrive1 if arrive1 > early else early
        now0 = start0 + work if start0 <= late else NEVER_S
        now1 = start1 + work if start1 <= late else NEVER_S
        t = legs[number + 1]
    home_s = now1 + t
    if now0 <= lb:
        home_s = min(home_s, (now0 + t if now0 + t > eb else eb) + b)
    return home_s


def way_of(f: Figures, shift: int, options: tuple[int, ...]) -> Way | None:
    """`make_way`, remembered, for a search comes back to the same rounds again and again."""
    key = (shift, options)
    ways: dict[tuple[int, tuple[int, ...]], Way | None] = f.ways
    if key in ways:
        return ways[key]
    if len(ways) > REMEMBERED:
        ways.clear()
    way = ways[key] = make_way(f, shift, options)
    return way


def without(f: Figures, way: Way, stop: int) -> Way | None:
    """The way less a stop; None in the rare case that the detour it saved is missed."""
    kept = tuple(option for option in way.options if f.stop_of[option] != stop)
    return way_of(f, way.shift, kept)


def put_in(way: Way, spot: Spot) -> tuple[int, ...]:
    """The options with one more, at a spot."""
    _, k, option = spot
    return (*way.options[:k], option, *way.options[k:])
