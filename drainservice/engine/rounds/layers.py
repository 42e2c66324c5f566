"""Earliest and latest times along a row of nodes, in two layers: before the break and after it.

The break starts within [pause_from_s, pause_to_s], lasts `pause_s` and may fall on any leg, whole
or in part, or at the next door. Leaving a node at x with the break on a leg of t seconds, one
arrives at max(x + t, pause_from_s) + pause_s, where x is not after pause_to_s: all steps only grow
with time, so that one earliest and one latest time for each layer say everything.
"""

NEVER_S = 1 << 40


def earliest_from(
    ready0_s: int,
    ready1_s: int,
    from_s: list[int],
    to_s: list[int],
    work_s: list[int],
    legs_s: list[int],
    pause_from_s: int,
    pause_to_s: int,
    pause_s: int,
) -> tuple[list[int], list[int]]:
    """Earliest departures in both layers from a node ready to leave, and from each one after it."""
    early0, early1 = [ready0_s], [ready1_s]
    for opens, closes, node_s, leg_s in zip(from_s, to_s, work_s, legs_s, strict=True):
        at0 = ready0_s + leg_s
        at1 = ready1_s + leg_s
        if ready0_s <= pause_to_s:
            at1 = min(at1, max(at0, pause_from_s) + pause_s)
        at0 = max(at0, opens)
        at1 = max(at1, opens)
        ready0_s = at0 + node_s if at0 <= closes else NEVER_S
        ready1_s = at1 + node_s if at1 <= closes else NEVER_S
        early0.append(ready0_s)
        early1.append(ready1_s)
    return early0, early1


def latest_to(
    from_s: list[int],
    to_s: list[int],
    work_s: list[int],
    legs_s: list[int],
    pause_from_s: int,
    pause_to_s: int,
    pause_s: int,
) -> tuple[list[int], list[int]]:
    """Latest starts at each node in both layers: no break to come any more, and still to come."""
    last = len(legs_s)
    late0, late1 = [-NEVER_S] * (last + 1), [-NEVER_S] * (last + 1)
    late0[last] = to_s[last]
    for node in range(last - 1, -1, -1):
        next0, leg_s = late0[node + 1], legs_s[node]
        leaves1 = late1[node + 1] - leg_s
        if pause_from_s + pause_s <= next0:
            leaves1 = max(leaves1, min(pause_to_s, next0 - pause_s - leg_s))
        at0 = min(to_s[node], next0 - leg_s - work_s[node])
        at1 = min(to_s[node], leaves1 - work_s[node])
        late0[node] = at0 if at0 >= from_s[node] else -NEVER_S
        late1[node] = at1 if at1 >= from_s[node] else -NEVER_S
    return late0, late1
