"""A plan's inputs as plain lists, so that a search can look at them many thousand times a second.

Each pair of a stop and one of its windows has a number, its option. Everything a round costs
besides driving and overtime is one figure for each shift and option; leaving a stop out is one
figure for each stop.
"""

from dataclasses import dataclass, field
from typing import Any

from drainservice.engine.rounds.facts import (
    UNIT,
    PlanInputs,
    Shift,
    Stop,
    Window,
    may_go,
    people_units,
)

# Later, or dearer, than anything: above any sum of seconds and of costs, below 64 bits.
NEVER_S = 1 << 60
# What a search pays for a `must` that has no place yet; a plan that pays it is never handed out.
MISSING = 1 << 40


@dataclass(frozen=True, slots=True)
class Option:
    """A stop in one of its windows, on one shift: its number, first and last start, and cost."""

    number: int
    early_s: int
    late_s: int
    own: int


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """The lists. Shifts, stops and places keep their numbers of `PlanInputs`.

    `into[b][a]` are the seconds from a to b, `drives[a][b]` likewise. `own[shift]` maps the
    options that the shift may serve to their cost besides driving and overtime; `choices[shift]`
    maps each stop to those options; `shifts_of[stop]` names the shifts that may serve it.
    `skip[stop]` is the cost of leaving it out.
    """

    inputs: PlanInputs
    drives: tuple[tuple[int, ...], ...]
    into: tuple[tuple[int, ...], ...]
    stop_of: list[int]
    window_of: list[int]
    first_option: list[int]
    early_s: list[int]
    late_s: list[int]
    place: list[int]
    work_s: list[int]
    load: list[int]
    skip: list[int]
    own: list[dict[int, int]]
    choices: list[dict[int, tuple[Option, ...]]]
    shifts_of: list[list[int]]
    starts_s: list[int]
    ends_s: list[int]
    closes_s: list[int]
    leaves: list[int]
    returns: list[int]
    room: list[int]
    # Earliest and latest start of the break, and its length; without one, a break of no length
    # that may begin whenever it likes.
    pauses: list[tuple[int, int, int]]
    overtime: int
    # Ways that were drawn before, by shift and options; filled by `way_of`.
    ways: dict[tuple[int, tuple[int, ...]], Any] = field(default_factory=dict)


def make_figures(inputs: PlanInputs) -> Figures:
    """Lists of the inputs; costs in sixtieths of a unit."""
    stop_of = [s for s, stop in enumerate(inputs.stops) for _ in stop.windows]
    window_of = [w for stop in inputs.stops for w in range(len(stop.windows))]
    first = [0]
    for stop in inputs.stops:
        first.append(first[-1] + len(stop.windows))
    bounds = [bound_start(stop, window) for stop in inputs.stops for window in stop.windows]
    present = {
        gate.stop: (inputs.shifts[round_.shift].technician, gate.window)
        for round_ in inputs.present
        for gate in round_.gates
    }
    choices = [_choices_of(inputs, shift, first, bounds, present) for shift in inputs.shifts]
    own = [{o.number: o.own for options in of.values() for o in options} for of in choices]
    shifts_of: list[list[int]] = [[] for _ in inputs.stops]
    for shift, of in enumerate(choices):
        for stop_number in of:
            shifts_of[stop_number].append(shift)
    return Figures(
        inputs=inputs,
        drives=inputs.drives,
        into=tuple(zip(*inputs.drives, strict=True)),
        stop_of=stop_of,
        window_of=window_of,
        first_option=first,
        early_s=[bound[0] for bound in bounds],
        late_s=[bound[1] for bound in bounds],
        place=[inputs.stops[s].place for s in stop_of],
        work_s=[inputs.stops[s].work_s for s in stop_of],
        load=[stop.load for stop in inputs.stops],
        skip=[_skip_cost(stop, s in present) for s, stop in enumerate(inputs.stops)],
        own=own,
        choices=choices,
        shifts_of=shifts_of,
        starts_s=[shift.starts_s for shift in inputs.shifts],
        ends_s=[shift.ends_s for shift in inputs.shifts],
        closes_s=[shift.closes_s for shift in inputs.shifts],
        leaves=[shift.leaves_from for shift in inputs.shifts],
        returns=[shift.returns_to for shift in inputs.shifts],
        room=[NEVER_S if shift.room is None else shift.room for shift in inputs.shifts],
        pauses=[_pause_of(shift) for shift in inputs.shifts],
        overtime=inputs.tariff.overtime,
    )


def bound_start(stop: Stop, window: Window) -> tuple[int, int]:
    """First and last start in a window, the locked start minded; (1, 0) where there is none."""
    if stop.fixed_s is None:
        return window.from_s, window.to_s
    if window.from_s <= stop.fixed_s <= window.to_s:
        return stop.fixed_s, stop.fixed_s
    return 1, 0


def _choices_of(
    inputs: PlanInputs,
    shift: Shift,
    first: list[int],
    bounds: list[tuple[int, int]],
    present: dict[int, tuple[int, int]],
) -> dict[int, tuple[Option, ...]]:
    """What a shift may serve: each stop with the windows that touch the shift."""
    out = {}
    for number, stop in enumerate(inputs.stops):
        if not may_go(stop, shift):
            continue
        people = UNIT * people_units(stop, shift.technician, inputs.tariff)
        options = []
        for window in range(len(stop.windows)):
            early, late = bounds[first[number] + window]
            early, late = max(early, shift.starts_s), min(late, shift.closes_s)
            if early > late:
                continue
            is_moved = present.get(number, (shift.technician, window)) != (shift.technician, window)
            moved = UNIT * (stop.move_units or 0) if is_moved else 0
            options.append(Option(first[number] + window, early, late, people + moved))
        if options:
            out[number] = tuple(options)
    return out


def _skip_cost(stop: Stop, is_present: bool) -> int:
    if stop.must:
        return MISSING
    return UNIT * (stop.worth + ((stop.move_units or 0) if is_present else 0))


def _pause_of(shift: Shift) -> tuple[int, int, int]:
    if shift.pause is None:
        return -NEVER_S, NEVER_S, 0
    return shift.pause.earliest_s, shift.pause.latest_s, shift.pause.length_s
