"""Few stops: every choice of rounds, windows and orders is tried, so that nothing is cheaper.

For each shift the cheapest round of each set of stops is found by growing rounds stop by stop;
of two beginnings with the same stops and the same last one, one that is nowhere later and no
dearer replaces the other. Then the sets are shared out among the shifts.
"""

from drainservice.engine.rounds.facts import Gate, Plan, Round
from drainservice.engine.rounds.search.figures import NEVER_S, Figures

MOST_STOPS = 7

# Departures in both layers of the break, driving and own costs so far, options in order.
Beginning = tuple[int, int, int, tuple[int, ...]]
Best = tuple[int, tuple[int, ...]]


def find_cheapest(f: Figures) -> Plan:
    """The plan of least cost; of equal ones always the same."""
    count = len(f.skip)
    full = (1 << count) - 1
    # Cost and options of each shift so far, by the set of stops served so far.
    shared: dict[int, tuple[int, tuple[tuple[int, tuple[int, ...]], ...]]] = {0: (0, ())}
    for shift in range(len(f.own)):
        best = cheapest_by_set(f, shift)
        after = dict(shared)
        for served, (cost, rounds) in shared.items():
            for more, (added, options) in best.items():
                if more & served:
                    continue
                total = cost + added
                if total < after.get(served | more, (NEVER_S, ()))[0]:
                    after[served | more] = (total, (*rounds, (shift, options)))
        shared = after
    skipped = [
        sum(f.skip[s] for s in range(count) if not served >> s & 1) for served in range(full + 1)
    ]
    served = min(shared, key=lambda one: (shared[one][0] + skipped[one], one))
    chosen = tuple(
        Round(shift, tuple(Gate(f.stop_of[o], f.window_of[o]) for o in options))
        for shift, options in shared[served][1]
    )
    return Plan(chosen, tuple(s for s in range(count) if not served >> s & 1))


def cheapest_by_set(f: Figures, shift: int) -> dict[int, Best]:
    """For each set of stops (as bits) that one round can hold: its least cost and its options."""
    starts: Beginning = (f.starts_s[shift], NEVER_S, 0, ())
    layer: dict[tuple[int, int], list[Beginning]] = {(0, -1): [starts]}
    best: dict[int, Best] = {}
    while layer:
        after: dict[tuple[int, int], list[Beginning]] = {}
        for (served, _), beginnings in layer.items():
            for beginning in beginnings:
                _grow(f, shift, served, beginning, after)
        for (served, _), beginnings in after.items():
            for beginning in beginnings:
                cost = _whole_cost(f, shift, beginning)
                if cost is not None and cost < best.get(served, (NEVER_S, ()))[0]:
                    best[served] = (cost, beginning[3])
        layer = after
    return best


def _grow(
    f: Figures,
    shift: int,
    served: int,
    beginning: Beginning,
    after: dict[tuple[int, int], list[Beginning]],
) -> None:
    now0, now1, cost, options = beginning
    eb, lb, b = f.pauses[shift]
    here = f.place[options[-1]] if options else f.leaves[shift]
    load = sum(f.load[f.stop_of[option]] for option in options)
    for stop, choices in f.choices[shift].items():
        if served >> stop & 1 or load + f.load[stop] > f.room[shift]:
            continue
        for choice in choices:
            t = f.drives[here][f.place[choice.number]]
            rested = max(now0 + t, eb) + b if now0 <= lb else NEVER_S
            work = f.work_s[choice.number]
            start0 = max(now0 + t, choice.early_s)
            start1 = max(min(now1 + t, rested), choice.early_s)
            leaves0 = start0 + work if start0 <= choice.late_s else NEVER_S
            leaves1 = start1 + work if start1 <= choice.late_s else NEVER_S
            if leaves0 >= NEVER_S and leaves1 >= NEVER_S:
                continue
            new = (leaves0, leaves1, cost + t + choice.own, (*options, choice.number))
            _keep(after.setdefault((served | 1 << stop, choice.number), []), new)


def _keep(kept: list[Beginning], new: Beginning) -> None:
    """Add a beginning unless one that is kept is as good in all three; drop what it replaces."""
    if any(k[0] <= new[0] and k[1] <= new[1] and k[2] <= new[2] for k in kept):
        return
    kept[:] = [k for k in kept if not (new[0] <= k[0] and new[1] <= k[1] and new[2] <= k[2])]
    kept.append(new)


def _whole_cost(f: Figures, shift: int, beginning: Beginning) -> int | None:
    """With the way home and overtime; None where home is too late."""
    now0, now1, cost, options = beginning
    eb, lb, b = f.pauses[shift]
    t = f.drives[f.place[options[-1]]][f.returns[shift]]
    home_s = min(now1 + t, max(now0 + t, eb) + b if now0 <= lb else NEVER_S)
    if home_s > f.closes_s[shift]:
        return None
    return cost + t + f.overtime * max(0, home_s - f.ends_s[shift])
