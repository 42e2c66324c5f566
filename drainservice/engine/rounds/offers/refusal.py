"""Why a visit does not fit into a round: the inequality that fails by least, and at which gate."""

from dataclasses import dataclass
from enum import StrEnum

from drainservice.engine.rounds.insert import Candidate, has_room_for, rested_at
from drainservice.engine.rounds.layers import NEVER_S
from drainservice.engine.rounds.tables import Tables


class Breaks(StrEnum):
    """What would break."""

    OWN_WINDOW = "own window"
    GATE = "gate"
    BREAK = "break"
    HOME = "home"
    VAN = "van"
    ROUND = "round"


@dataclass(frozen=True, slots=True)
class Refusal:
    """The least that keeps a visit out: what breaks, at which gate of the round (where it is one),
    and how many seconds too late. ROUND: it cannot be kept as it stands; VAN: no room is left.
    """

    breaks: Breaks
    late_s: int = 0
    gate: int | None = None
    before: int = 0


def why_not(tables: Tables, candidate: Candidate, from_s: int, to_s: int) -> Refusal | None:
    """Why the candidate cannot start between these times in the round; None where it can.

    Of all places and all places of the break it names the one that fails by the fewest seconds.
    """
    if not has_room_for(tables, candidate.stop):
        return Refusal(Breaks.VAN)
    tries = [
        refusal
        for before in range(len(tables.gates) + 1)
        for refusal in _ways(tables, before, candidate, from_s, to_s)
    ]
    least = min(tries, key=lambda one: one.late_s, default=None)
    if least is not None and least.late_s <= 0:
        return None
    return least if least is not None and tables.is_feasible else Refusal(Breaks.ROUND)


def _ways(
    tables: Tables, before: int, candidate: Candidate, from_s: int, to_s: int
) -> list[Refusal]:
    """The worst failing inequality of each way to fit it after `before` gates; late by 0: fits."""
    on_s = candidate.ways_on_s[tables.places[before + 1]]
    in_s = candidate.ways_in_s[tables.places[before]]
    work_s, after = candidate.stop.work_s, before + 1
    late0_s, late1_s = tables.late0_s[after], tables.late1_s[after]
    pause_from_s, pause_s = tables.pause_from_s, tables.pause_s
    found = []

    def take(starts_s: int, *others: Refusal) -> None:
        own = Refusal(Breaks.OWN_WINDOW, max(0, starts_s - to_s), None, before)
        found.append(max(own, *others, key=lambda one: one.late_s))

    def gate(arrives_s: int, latest_s: int, is_rested: bool) -> Refusal:
        return _at_gate(tables, after, before, arrives_s - latest_s, is_rested)

    behind_s = max(rested_at(tables, before, in_s), from_s)
    if behind_s < NEVER_S and late0_s > -NEVER_S:
        take(behind_s, gate(behind_s + work_s + on_s, late0_s, True))
    ahead_s = max(tables.early0_s[before] + in_s, from_s)
    if ahead_s >= NEVER_S:
        return found
    leaves_s = ahead_s + work_s
    if late1_s > -NEVER_S:
        take(ahead_s, gate(leaves_s + on_s, late1_s, False))
    if late0_s > -NEVER_S and tables.pause_to_s > -NEVER_S:
        rests = Refusal(Breaks.BREAK, max(0, leaves_s - tables.pause_to_s), None, before)
        arrives_s = max(leaves_s + on_s, pause_from_s) + pause_s
        take(ahead_s, rests, gate(arrives_s, late0_s, True))
    return found


def _at_gate(tables: Tables, node: int, before: int, late_s: int, is_rested: bool) -> Refusal:
    """Coming `late_s` after the latest start at a node is as late where the latest start is bound:
    nobody waits on the way there."""
    if late_s <= 0:
        return Refusal(Breaks.GATE, 0, None, before)
    home = len(tables.gates) + 1
    while node < home:
        latest_s = (tables.late0_s if is_rested else tables.late1_s)[node]
        if latest_s == tables.to_s[node]:
            return Refusal(Breaks.GATE, late_s, node - 1, before)
        leg_s, leaves_s = tables.legs_s[node], latest_s + tables.work_s[node]
        if not is_rested and leaves_s != tables.late1_s[node + 1] - leg_s:
            if leaves_s == tables.pause_to_s:
                return Refusal(Breaks.BREAK, late_s, None, before)
            is_rested = True
        node += 1
    return Refusal(Breaks.HOME, late_s, None, before)
