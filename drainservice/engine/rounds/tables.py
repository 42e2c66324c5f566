"""What a round leaves free: earliest and latest times at its gates, exact with the break.

A round is a row of nodes: 0 is where it leaves from, 1 to n are its gates, n + 1 is home. Times go
on in two layers, because the break may fall on any leg, whole or in part, or at the next door:

- `early0_s[k]`: earliest departure from node k with the break still to come, `early1_s[k]` with it
  taken (at n + 1: arrival); NEVER_S where it cannot be.
- `late0_s[k]`: latest start at node k with no break to come any more, `late1_s[k]` with it still to
  come (at 0: latest departure); -NEVER_S where it cannot be.

A shift without a break has it behind it from the start: `early1_s` and `late0_s` tell all.
Times are seconds as in `facts`.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from drainservice.engine.rounds.facts import (
    UNIT,
    Cost,
    Gate,
    PlanInputs,
    Round,
    Shift,
    Stop,
    people_units,
)
from drainservice.engine.rounds.layers import NEVER_S, earliest_from, latest_to


class RoundCannotBeKept(ValueError):
    """A round whose windows, break and end of shift cannot all be kept."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A round as early as may be, the break where it brings home soonest (of equals, the last, so
    that the visits before it are not put off).

    `break_before` is the number of gates passed before the break, None without one. `slack_s[k]`
    is by how much the start at gate k may slip before any window, the break or home breaks.
    """

    starts_s: tuple[int, ...]
    home_s: int
    break_before: int | None
    break_starts_s: int | None
    slack_s: tuple[int, ...]


@dataclass(frozen=True)
class Tables:
    """One round's nodes and its tables; see above. `people` is in sixtieths of a unit,
    `load` is what the gates take from the van's room.

    `from_s`, `to_s`, `work_s` and `places` have one entry for each node, `legs_s` one for each
    drive. The break runs from `pause_from_s` to `pause_to_s` (its start) for `pause_s`; without one
    `pause_to_s` is -NEVER_S.
    """

    number: int
    shift: Shift
    gates: tuple[Gate, ...]
    places: list[int]
    from_s: list[int]
    to_s: list[int]
    work_s: list[int]
    legs_s: list[int]
    pause_from_s: int
    pause_to_s: int
    pause_s: int
    early0_s: list[int]
    early1_s: list[int]
    late0_s: list[int]
    late1_s: list[int]
    people: int = 0
    load: int = 0

    @property
    def is_feasible(self) -> bool:
        """Whether every window, the break and the latest return can be kept."""
        return self.early1_s[-1] < NEVER_S

    @property
    def home_s(self) -> int:
        """The earliest return; NEVER_S where the round cannot be kept."""
        return self.early1_s[-1]

    @property
    def driving_s(self) -> int:
        """Seconds on the road; nobody drives a round without gates."""
        return sum(self.legs_s) if self.gates else 0

    @property
    def overtime_s(self) -> int:
        """Seconds worked after the paid end."""
        return max(0, self.home_s - self.shift.ends_s) if self.gates else 0

    @cached_property
    def planned(self) -> Planned:
        """The round as it is planned. Raises RoundCannotBeKept."""
        return _plan(self)


def make_tables(inputs: PlanInputs, round_: Round) -> Tables:
    """The tables of a round of these inputs."""
    shift = inputs.shifts[round_.shift]
    stops = [inputs.stops[gate.stop] for gate in round_.gates]
    places = [shift.leaves_from, *(stop.place for stop in stops), shift.returns_to]
    starts = [start_bounds(stop, gate) for stop, gate in zip(stops, round_.gates, strict=True)]
    return tables_of(
        round_.shift,
        shift,
        round_.gates,
        places,
        starts,
        [stop.work_s for stop in stops],
        [inputs.drives[a][b] for a, b in pairwise(places)],
        UNIT * sum(people_units(stop, shift.technician, inputs.tariff) for stop in stops),
        sum(stop.load for stop in stops),
    )


def start_bounds(stop: Stop, gate: Gate) -> tuple[int, int]:
    """From when to when the stop may start in the gate's window; from after to: never."""
    window = stop.windows[gate.window]
    if stop.fixed_s is None:
        return window.from_s, window.to_s
    return max(window.from_s, stop.fixed_s), min(window.to_s, stop.fixed_s)


def tables_of(
    number: int,
    shift: Shift,
    gates: tuple[Gate, ...],
    places: list[int],
    starts: list[tuple[int, int]],
    work_s: list[int],
    legs_s: list[int],
    people: int = 0,
    load: int = 0,
) -> Tables:
    """The tables of a row of nodes; `starts` and `work_s` speak of the gates alone."""
    from_s = [shift.starts_s, *(a for a, _ in starts), shift.starts_s]
    to_s = [NEVER_S, *(b for _, b in starts), shift.closes_s]
    work_s = [0, *work_s, 0]
    pause = shift.pause
    if pause is None:
        rest = (0, -NEVER_S, 0)
    else:
        is_possible = pause.earliest_s <= pause.latest_s
        latest_s = pause.latest_s if is_possible else -NEVER_S
        rest = (pause.earliest_s, latest_s, pause.length_s)
    ready = (NEVER_S, shift.starts_s) if pause is None else (shift.starts_s, NEVER_S)
    early = earliest_from(*ready, from_s[1:], to_s[1:], work_s[1:], legs_s, *rest)
    late = latest_to(from_s, to_s, work_s, legs_s, *rest)
    nodes = (places, from_s, to_s, work_s, legs_s)
    return Tables(number, shift, gates, *nodes, *rest, *early, *late, people, load)


def _plan(tables: Tables) -> Planned:
    if not tables.is_feasible:
        shift = tables.shift
        raise RoundCannotBeKept(
            f"Technician {shift.technician} on day {shift.day} cannot keep every window, the break "
            "and the end of the shift; take a visit out of the round, or let it end later."
        )
    if tables.shift.pause is None:
        return _planned_with(tables, None, tables.shift.starts_s)
    before, arrives_s = _best_break(tables)
    return _planned_with(tables, before, arrives_s)


def _best_break(tables: Tables) -> tuple[int, int]:
    """Gates passed before the break that brings home soonest, and the arrival after it.

    Arriving at node k at x, home without a further break is at max(x + still, waited): waiting
    can only be had at a gate that opens later than one comes.
    """
    best, still, waited = (NEVER_S, 0, 0), 0, -NEVER_S
    for node in range(len(tables.legs_s), 0, -1):
        if node <= len(tables.gates):
            still += tables.work_s[node] + tables.legs_s[node]
            waited = max(waited, tables.from_s[node] + still)
        left_s = tables.early0_s[node - 1]
        if left_s > tables.pause_to_s:
            continue
        at_s = max(left_s + tables.legs_s[node - 1], tables.pause_from_s) + tables.pause_s
        home_s = max(at_s + still, waited)
        if at_s <= tables.late0_s[node] and home_s < best[0]:
            best = (home_s, node - 1, at_s)
    return best[1], best[2]


def _planned_with(tables: Tables, before: int | None, arrives_s: int) -> Planned:
    """`arrives_s` is the arrival after the break; without one, the start of the shift."""
    gates = range(1, len(tables.gates) + 1)
    passed = -1 if before is None else before
    starts, slack = [], []
    for node in gates:
        if node <= passed:
            start = tables.early0_s[node] - tables.work_s[node]
            slack.append(tables.late1_s[node] - start)
        else:
            drive_s = 0 if node == passed + 1 else tables.legs_s[node - 1]
            start = max(arrives_s + drive_s, tables.from_s[node])
            slack.append(tables.late0_s[node] - start)
            arrives_s = start + tables.work_s[node]
        starts.append(start)
    is_last = before == len(tables.gates)
    home_s = arrives_s if is_last else arrives_s + tables.legs_s[-1]
    if before is None:
        return Planned(tuple(starts), home_s, None, None, tuple(slack))
    rests_s = max(tables.early0_s[before], tables.pause_from_s)
    return Planned(tuple(starts), home_s, before, rests_s, tuple(slack))


def round_cost(inputs: PlanInputs, tables: Tables) -> Cost:
    """What the round costs, as the judge of plans counts it. Raises RoundCannotBeKept."""
    if tables.gates and not tables.is_feasible:
        _plan(tables)
    return Cost(
        driving=tables.driving_s,
        overtime=inputs.tariff.overtime * tables.overtime_s,
        people=tables.people,
    )
