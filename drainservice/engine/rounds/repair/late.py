"""A technician who runs late: the first promise that breaks, by how much, and two remedies."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from drainservice.engine.rounds.facts import DAY_S, PlanInputs, Round, may_go
from drainservice.engine.rounds.insert import candidate_of, places_for, put_in
from drainservice.engine.rounds.layers import NEVER_S
from drainservice.engine.rounds.offers.refusal import Breaks
from drainservice.engine.rounds.repair.broken import Broken, Late, shifts_after
from drainservice.engine.rounds.tables import Tables, make_tables, round_cost


class NobodyIsLate(ValueError):
    """The technician has no round to be late in."""


class Means(StrEnum):
    """What may be done about it."""

    SWAP = "swap the next two"
    HAND_OVER = "hand one over"


@dataclass(frozen=True, slots=True)
class FirstBreak:
    """The first that cannot be kept, driving as early as may be: a gate's window (`gate` counts
    from 0), the break, or the latest return; and by how many seconds it comes after `closes_s`."""

    breaks: Breaks
    late_s: int
    closes_s: int
    gate: int | None = None
    stop: int | None = None


@dataclass(frozen=True, slots=True)
class Remedy:
    """One remedy, tried exactly. `stops` are swapped, or the one handed over to `technician`.

    `rounds` are those that change; `still` is what breaks nevertheless, None where all holds.
    `added_s` are the seconds of driving and of overtime more than in the round as it stands.
    """

    means: Means
    stops: tuple[int, ...]
    technician: int | None
    rounds: tuple[Round, ...]
    still: FirstBreak | None
    added_s: int


@dataclass(frozen=True, slots=True)
class Lateness:
    """What being late does to a round. `first` is None where every promise still holds; then
    `spare_s` is the least that any of its starts may slip further."""

    technician: int
    free_s: int
    first: FirstBreak | None
    spare_s: int
    remedies: tuple[Remedy, ...]


def look_at_late(inputs: PlanInputs, late: Late) -> Lateness:
    """The late technician's round driven anew from when they will be free.

    The round is the technician's on the day of `late.free_s`. Raises NobodyIsLate without one.
    """
    after = replace(inputs, shifts=shifts_after(inputs, Broken(0, late=(late,))))
    round_ = _round_of(after, late)
    tables = make_tables(after, round_)
    first = first_break(tables)
    if first is None:
        spare_s = min(tables.planned.slack_s, default=0)
        return Lateness(late.technician, late.free_s, None, spare_s, ())
    remedies = (*_swap(after, tables), *_hand_over(after, tables))
    return Lateness(late.technician, late.free_s, first, 0, remedies)


def first_break(tables: Tables) -> FirstBreak | None:
    """The first gate that cannot be reached in its window, else the break, else home."""
    for node in range(1, len(tables.legs_s) + 1):
        early0_s, early1_s = tables.early0_s[node], tables.early1_s[node]
        is_home = node == len(tables.legs_s)
        if early1_s < NEVER_S or (early0_s < NEVER_S and not is_home):
            continue
        if is_home:
            return _break_at_home(tables)
        stop = tables.gates[node - 1].stop
        closes_s = tables.to_s[node]
        late_s = _arrives_s(tables, node) - closes_s
        return FirstBreak(Breaks.GATE, late_s, closes_s, node - 1, stop)
    return None


def _arrives_s(tables: Tables, node: int) -> int:
    """The earliest start at a node, had it no end of its window."""
    leg_s, left0_s = tables.legs_s[node - 1], tables.early0_s[node - 1]
    at_s = min(left0_s, tables.early1_s[node - 1]) + leg_s
    return max(at_s, tables.from_s[node])


def _break_at_home(tables: Tables) -> FirstBreak:
    """Every gate can be reached, but not with the break, or home comes too late."""
    home = len(tables.legs_s)
    left0_s, left1_s, leg_s = tables.early0_s[-2], tables.early1_s[-2], tables.legs_s[-1]
    at_s = left1_s + leg_s
    if left0_s <= tables.pause_to_s:
        at_s = min(at_s, max(left0_s + leg_s, tables.pause_from_s) + tables.pause_s)
    if at_s >= NEVER_S:
        return FirstBreak(Breaks.BREAK, left0_s - tables.pause_to_s, tables.pause_to_s)
    return FirstBreak(Breaks.HOME, at_s - tables.to_s[home], tables.to_s[home])


def _round_of(inputs: PlanInputs, late: Late) -> Round:
    for round_ in inputs.present:
        shift = inputs.shifts[round_.shift]
        is_theirs = shift.technician == late.technician and shift.day == late.free_s // DAY_S
        if is_theirs and round_.gates:
            return round_
    raise NobodyIsLate(
        f"Technician {late.technician} has no visits left on this day; nothing can be late."
    )


def _swap(inputs: PlanInputs, tables: Tables) -> Iterator[Remedy]:
    """The next two the other way about."""
    if len(tables.gates) < 2:
        return
    first, second, *rest = tables.gates
    round_ = Round(tables.number, (second, first, *rest))
    swapped = make_tables(inputs, round_)
    added_s = swapped.driving_s - tables.driving_s
    stops = (first.stop, second.stop)
    yield Remedy(Means.SWAP, stops, None, (round_,), first_break(swapped), added_s)


def _hand_over(inputs: PlanInputs, tables: Tables) -> Iterator[Remedy]:
    """The last that another technician can take so that all holds, or at least the last of all
    that can be taken."""
    taken: list[Remedy] = []
    for gate in range(len(tables.gates) - 1, -1, -1):
        gates = (*tables.gates[:gate], *tables.gates[gate + 1 :])
        rest = make_tables(inputs, Round(tables.number, gates))
        found = _taken_by_another(inputs, tables, rest, tables.gates[gate].stop)
        if found is None:
            continue
        taken.append(found)
        if found.still is None:
            break
    if taken:
        yield next((one for one in taken if one.still is None), taken[0])


def _taken_by_another(
    inputs: PlanInputs, tables: Tables, rest: Tables, number: int
) -> Remedy | None:
    """The stop on the other round of the day where it costs least."""
    candidate, tries = candidate_of(inputs, number), []
    present = {round_.shift: round_ for round_ in inputs.present}
    for shift_number, shift in enumerate(inputs.shifts):
        if shift.day != tables.shift.day or shift.technician == tables.shift.technician:
            continue
        if not may_go(candidate.stop, shift) or shift.starts_s >= shift.closes_s:
            continue
        round_ = present.get(shift_number, Round(shift_number))
        other = make_tables(inputs, round_)
        if not other.is_feasible:
            continue
        for place in places_for(other, candidate):
            put = put_in(inputs.tariff, other, candidate, place.before, place.window)
            if put.is_feasible:
                cost = round_cost(inputs, put).total - round_cost(inputs, other).total
                tries.append((cost, shift_number, place.before, put, other))
    if not tries:
        return None
    _, shift_number, _, put, other = min(tries, key=lambda one: one[:3])
    technician = inputs.shifts[shift_number].technician
    rounds = (Round(rest.number, rest.gates), Round(shift_number, put.gates))
    more_s = put.driving_s - other.driving_s + put.overtime_s - other.overtime_s
    added_s = more_s + rest.driving_s - tables.driving_s
    return Remedy(Means.HAND_OVER, (number,), technician, rounds, first_break(rest), added_s)
