"""Putting one visit into a round: each place tried in O(1), exact with the break.

A visit u between the nodes i and j of a round fits in one of four ways: the break lies before i
(1), on the way to u (3), on the way from u (4), or after j (2). In 1 and 3 it is behind at u, in 2
and 4 still ahead; on either side the starts at u that keep the whole round are one interval. So
four numbers tell everything about a place, whatever the visit's own window:

    behind:  from  min(E1_i + t_iu,  max(E0_i + t_iu, eb) + b  if E0_i <= lb)
             to    L0_j - t_uj - d
    ahead:   from  E0_i + t_iu
             to    max(L1_j - t_uj,  min(lb, L0_j - b - t_uj)  if eb + b <= L0_j) - d

with E and L of `tables`, the break [eb, lb] of b seconds, the drives t, and d seconds of work.
"""

from dataclasses import dataclass

from drainservice.engine.rounds.facts import UNIT, Gate, PlanInputs, Stop, Tariff, people_units
from drainservice.engine.rounds.layers import NEVER_S, earliest_from
from drainservice.engine.rounds.tables import Tables, start_bounds, tables_of

NEW = -1


@dataclass(frozen=True, slots=True)
class Candidate:
    """A visit that looks for its place. `ways_in_s[a]` are the seconds from place a to it,
    `ways_on_s[a]` those from it to place a; `number` is its stop, NEW where it is none yet."""

    stop: Stop
    ways_in_s: tuple[int, ...]
    ways_on_s: tuple[int, ...]
    number: int = NEW


# The starts at a visit that keep the round: from and to with the break behind, and still ahead.
Room = tuple[int, int, int, int]
Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class PlaceInRound:
    """Where a visit fits: after `before` gates, in this window of the stop, and what that adds.

    `spans_s` are one or two intervals of starts that keep every rule. `added_overtime_s` is that
    of the round as planned, where the visit starts as early as may be.
    """

    before: int
    window: int
    spans_s: tuple[Span, ...]
    added_drive_s: int
    added_overtime_s: int


def candidate_of(inputs: PlanInputs, number: int) -> Candidate:
    """A stop of these inputs as a candidate."""
    stop = inputs.stops[number]
    ways_in_s = tuple(row[stop.place] for row in inputs.drives)
    return Candidate(stop, ways_in_s, inputs.drives[stop.place], number)


def room_at(tables: Tables, before: int, way_in_s: int, way_on_s: int, work_s: int) -> Room:
    """The starts that fit after `before` gates, for a visit as far away and as long as this."""
    after = before + 1
    late0_s = tables.late0_s[after]
    behind_to_s = late0_s - way_on_s
    leaves_s = tables.late1_s[after] - way_on_s
    pause_s = tables.pause_s
    if tables.pause_from_s + pause_s <= late0_s:
        rests_s = min(tables.pause_to_s, behind_to_s - pause_s)
        if rests_s > leaves_s:
            leaves_s = rests_s
    return (
        rested_at(tables, before, way_in_s),
        behind_to_s - work_s,
        tables.early0_s[before] + way_in_s,
        leaves_s - work_s,
    )


def rested_at(tables: Tables, before: int, way_in_s: int) -> int:
    """The earliest arrival with the break behind: it lay before, or it falls on this way."""
    left0_s = tables.early0_s[before]
    arrives_s = tables.early1_s[before] + way_in_s
    if left0_s > tables.pause_to_s:
        return arrives_s
    return min(arrives_s, max(left0_s + way_in_s, tables.pause_from_s) + tables.pause_s)


def spans_in(room: Room, from_s: int, to_s: int) -> tuple[Span, ...]:
    """The starts of a room within a window."""
    behind_from_s, behind_to_s, ahead_from_s, ahead_to_s = room
    behind = (max(behind_from_s, from_s), min(behind_to_s, to_s))
    ahead = (max(ahead_from_s, from_s), min(ahead_to_s, to_s))
    if behind[0] > behind[1]:
        return (ahead,) if ahead[0] <= ahead[1] else ()
    return (behind, ahead) if ahead[0] <= ahead[1] else (behind,)


def fits_in(room: Room, from_s: int, to_s: int) -> bool:
    """Whether any start of a room lies within a window that does not end before it begins."""
    behind_from_s, behind_to_s, ahead_from_s, ahead_to_s = room
    if behind_from_s <= to_s and behind_to_s >= from_s and behind_from_s <= behind_to_s:
        return True
    return ahead_from_s <= to_s and ahead_to_s >= from_s and ahead_from_s <= ahead_to_s


def added_drive_s(tables: Tables, before: int, candidate: Candidate) -> int:
    """Seconds more on the road; a round that had no gates was not driven at all."""
    straight_s = tables.legs_s[before] if tables.gates else 0
    way_in_s = candidate.ways_in_s[tables.places[before]]
    return way_in_s + candidate.ways_on_s[tables.places[before + 1]] - straight_s


def home_with(tables: Tables, before: int, candidate: Candidate, from_s: int, to_s: int) -> int:
    """The earliest return with the candidate in this place and window; NEVER_S where it breaks."""
    way_in_s = candidate.ways_in_s[tables.places[before]]
    at0_s = max(tables.early0_s[before] + way_in_s, from_s)
    at1_s = max(rested_at(tables, before, way_in_s), from_s)
    work_s = candidate.stop.work_s
    return earliest_from(
        at0_s + work_s if at0_s <= to_s else NEVER_S,
        at1_s + work_s if at1_s <= to_s else NEVER_S,
        tables.from_s[before + 1 :],
        tables.to_s[before + 1 :],
        tables.work_s[before + 1 :],
        [candidate.ways_on_s[tables.places[before + 1]], *tables.legs_s[before + 1 :]],
        tables.pause_from_s,
        tables.pause_to_s,
        tables.pause_s,
    )[1][-1]


def has_room_for(tables: Tables, stop: Stop) -> bool:
    """Whether the van can take along what the visit needs."""
    room = tables.shift.room
    return room is None or tables.load + stop.load <= room


def places_for(tables: Tables, candidate: Candidate) -> list[PlaceInRound]:
    """Every place and window of the candidate that keeps each rule of the round.

    Whether this technician may go at all, `facts.may_go` says.
    """
    stop, found = candidate.stop, []
    if not has_room_for(tables, stop):
        return []
    was_late_s = tables.overtime_s if tables.is_feasible else 0
    for before in range(len(tables.gates) + 1):
        way_in_s = candidate.ways_in_s[tables.places[before]]
        way_on_s = candidate.ways_on_s[tables.places[before + 1]]
        room = room_at(tables, before, way_in_s, way_on_s, stop.work_s)
        for window in range(len(stop.windows)):
            from_s, to_s = start_bounds(stop, Gate(candidate.number, window))
            spans_s = spans_in(room, from_s, to_s)
            if not spans_s:
                continue
            home_s = home_with(tables, before, candidate, from_s, to_s)
            late_s = max(0, home_s - tables.shift.ends_s) - was_late_s
            drive_s = added_drive_s(tables, before, candidate)
            found.append(PlaceInRound(before, window, spans_s, drive_s, late_s))
    return found


def put_in(
    tariff: Tariff,
    tables: Tables,
    candidate: Candidate,
    before: int,
    window: int = 0,
    bounds_s: tuple[int, int] | None = None,
) -> Tables:
    """The tables of the round with the candidate after `before` gates.

    The start is bound by the stop's own window, or by `bounds_s` where these are given.
    """
    gate = Gate(candidate.number, window)
    stop, shift = candidate.stop, tables.shift
    starts = list(zip(tables.from_s[1:-1], tables.to_s[1:-1], strict=True))
    starts.insert(before, bounds_s or start_bounds(stop, gate))
    places, work_s, legs_s = tables.places[:], tables.work_s[1:-1], tables.legs_s[:]
    legs_s[before : before + 1] = [
        candidate.ways_in_s[places[before]],
        candidate.ways_on_s[places[before + 1]],
    ]
    places.insert(before + 1, stop.place)
    work_s.insert(before, stop.work_s)
    gates = (*tables.gates[:before], gate, *tables.gates[before:])
    people = tables.people + UNIT * people_units(stop, shift.technician, tariff)
    load = tables.load + stop.load
    return tables_of(tables.number, shift, gates, places, starts, work_s, legs_s, people, load)


def take_out(inputs: PlanInputs, tables: Tables, gate: int) -> Tables:
    """The tables of the round without its gate of this number (the first is 0)."""
    stop = inputs.stops[tables.gates[gate].stop]
    starts = list(zip(tables.from_s[1:-1], tables.to_s[1:-1], strict=True))
    places, work_s, legs_s = tables.places[:], tables.work_s[1:-1], tables.legs_s[:]
    del starts[gate], places[gate + 1], work_s[gate]
    legs_s[gate : gate + 2] = [inputs.drives[places[gate]][places[gate + 1]]]
    gates = (*tables.gates[:gate], *tables.gates[gate + 1 :])
    units = people_units(stop, tables.shift.technician, inputs.tariff)
    left = (tables.people - UNIT * units, tables.load - stop.load)
    return tables_of(tables.number, tables.shift, gates, places, starts, work_s, legs_s, *left)
