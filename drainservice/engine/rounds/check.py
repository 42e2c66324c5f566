"""An independent judge of plans: drives each round by plain steps and believes nobody's tables.

Every plan passes here before it is shown. Nothing of the planners is imported.
"""

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

from drainservice.engine.rounds.facts import (
    UNIT,
    Cost,
    Plan,
    PlanInputs,
    Round,
    Shift,
    Stop,
    may_go,
    people_units,
)


class PlanBroken(ValueError):
    """A plan breaks a rule; the text says which, and where."""


@dataclass(frozen=True, slots=True)
class Driven:
    """One round as it is driven, with the break at one place: starts at the gates, and home.

    `break_before` is the number of gates passed before the break; None without a break.
    """

    starts_s: tuple[int, ...]
    home_s: int
    break_before: int | None
    break_starts_s: int | None


def drive_round(inputs: PlanInputs, round_: Round) -> Driven | None:
    """The round driven as early as may be, the break where it brings home soonest (of equals, the
    last, so that the visits before it are not put off); None where no place of the break keeps
    every window."""
    shift = inputs.shifts[round_.shift]
    if shift.pause is None:
        return _drive(inputs, round_, shift, None)
    tries = [_drive(inputs, round_, shift, at) for at in range(len(round_.gates) + 1)]
    driven = [one for one in tries if one is not None]
    return min(reversed(driven), key=lambda one: one.home_s, default=None)


def _drive(inputs: PlanInputs, round_: Round, shift: Shift, at: int | None) -> Driven | None:
    """The break falls on the way to gate `at`: it starts once the drive may, within its bounds."""
    now, here, starts, pause_s = shift.starts_s, shift.leaves_from, [], None
    for number in range(len(round_.gates) + 1):
        is_home = number == len(round_.gates)
        stop = None if is_home else inputs.stops[round_.gates[number].stop]
        there = shift.returns_to if stop is None else stop.place
        drive_s = inputs.drives[here][there]
        if number == at and shift.pause is not None:
            pause = shift.pause
            # They leave at once and rest as soon as they may: on the way, or at the next door.
            pause_s = max(now, pause.earliest_s)
            if pause_s > pause.latest_s:
                return None
            now = max(now + drive_s, pause.earliest_s) + pause.length_s
        else:
            now += drive_s
        if stop is None:
            break
        window = stop.windows[round_.gates[number].window]
        start = max(now, window.from_s, stop.fixed_s or 0)
        if start > window.to_s or (stop.fixed_s is not None and start != stop.fixed_s):
            return None
        starts.append(start)
        now, here = start + stop.work_s, there
    if now > shift.closes_s:
        return None
    return Driven(tuple(starts), now, at, pause_s)


def find_faults(inputs: PlanInputs, plan: Plan) -> list[str]:
    """Every rule the plan breaks, as sentences; empty: it may be shown."""
    unknown = _unknown(inputs, plan)
    if unknown:
        return unknown
    faults = _counted(inputs, plan) + _twice_at_once(inputs, plan)
    for round_ in plan.rounds:
        shift = inputs.shifts[round_.shift]
        for gate in round_.gates:
            stop = inputs.stops[gate.stop]
            if not may_go(stop, shift):
                faults.append(f"Visit {stop.key} may not be made by technician {shift.technician}.")
        load = sum(inputs.stops[gate.stop].load for gate in round_.gates)
        if shift.room is not None and load > shift.room:
            faults.append(
                f"Technician {shift.technician} on day {shift.day} would carry {load}; the van "
                f"takes {shift.room}."
            )
        if round_.gates and drive_round(inputs, round_) is None:
            faults.append(
                f"Technician {shift.technician} on day {shift.day} cannot keep every window, the "
                "break and the end of the shift."
            )
    return faults


def _unknown(inputs: PlanInputs, plan: Plan) -> list[str]:
    """Shifts, visits and windows that are none of the inputs'."""
    shifts, stops = range(len(inputs.shifts)), range(len(inputs.stops))
    gates = [gate for round_ in plan.rounds for gate in round_.gates]
    faults = [
        f"The plan has a round of shift {round_.shift}, and there is none of that number."
        for round_ in plan.rounds
        if round_.shift not in shifts
    ]
    faults += [
        f"The plan names visit number {stop}, and there is none of that number."
        for stop in [*(gate.stop for gate in gates), *plan.left_out]
        if stop not in stops
    ]
    return faults + [
        f"Visit {inputs.stops[gate.stop].key} has no window number {gate.window}."
        for gate in gates
        if gate.stop in stops and gate.window not in range(len(inputs.stops[gate.stop].windows))
    ]


def _twice_at_once(inputs: PlanInputs, plan: Plan) -> list[str]:
    """Technicians who would drive two rounds at the same time."""
    busy: dict[int, list[tuple[int, int, int]]] = {}
    for round_ in plan.rounds:
        driven = drive_round(inputs, round_) if round_.gates else None
        if driven is not None:
            shift = inputs.shifts[round_.shift]
            times = (shift.starts_s, driven.home_s, shift.day)
            busy.setdefault(shift.technician, []).append(times)
    return [
        f"Technician {technician} would drive two rounds at once on day {second[2]}."
        for technician, times in busy.items()
        for first, second in pairwise(sorted(times))
        if second[0] < first[1]
    ]


def _counted(inputs: PlanInputs, plan: Plan) -> list[str]:
    faults = []
    placed = [gate.stop for round_ in plan.rounds for gate in round_.gates]
    for stop, times in Counter([*placed, *plan.left_out]).items():
        if times > 1:
            faults.append(f"Visit {inputs.stops[stop].key} stands {times} times in the plan.")
    for stop in set(range(len(inputs.stops))) - set(placed) - set(plan.left_out):
        faults.append(f"Visit {inputs.stops[stop].key} is neither planned nor left out.")
    faults += [
        f"Visit {inputs.stops[stop].key} is promised and was left out."
        for stop in plan.left_out
        if inputs.stops[stop].must
    ]
    for shift, times in Counter(round_.shift for round_ in plan.rounds).items():
        if times > 1:
            faults.append(f"Shift {shift} has {times} rounds.")
    return faults


def count_cost(inputs: PlanInputs, plan: Plan) -> Cost:
    """What a plan costs, by part; nobody drives a round without gates.

    Raises PlanBroken where a round cannot be driven.
    """
    driving = overtime = people = 0
    for round_ in plan.rounds:
        if not round_.gates:
            continue
        shift = inputs.shifts[round_.shift]
        driven = drive_round(inputs, round_)
        if driven is None:
            raise PlanBroken(f"The round of shift {round_.shift} cannot be driven as it stands.")
        stops = [inputs.stops[gate.stop] for gate in round_.gates]
        way = [shift.leaves_from, *(stop.place for stop in stops), shift.returns_to]
        driving += sum(inputs.drives[a][b] for a, b in pairwise(way))
        overtime += inputs.tariff.overtime * max(0, driven.home_s - shift.ends_s)
        people += UNIT * sum(people_units(stop, shift.technician, inputs.tariff) for stop in stops)
    return Cost(
        driving=driving,
        overtime=overtime,
        people=people,
        moved=UNIT * _moved_units(inputs, plan),
        left_out=UNIT * sum(inputs.stops[stop].worth for stop in plan.left_out),
    )


def _moved_units(inputs: PlanInputs, plan: Plan) -> int:
    """Charged once for each stop told to somebody whose window, or technician, is not the present
    one; leaving it out moves it, too."""
    before = _where(inputs, inputs.present)
    after = _where(inputs, plan.rounds)
    return sum(
        stop.move_units
        for number, stop in enumerate(inputs.stops)
        if stop.move_units is not None and number in before and before[number] != after.get(number)
    )


def _where(inputs: PlanInputs, rounds: tuple[Round, ...]) -> dict[int, tuple[int, int]]:
    """Technician and window of each stop."""
    return {
        gate.stop: (inputs.shifts[round_.shift].technician, gate.window)
        for round_ in rounds
        for gate in round_.gates
    }


def assert_sound(inputs: PlanInputs, plan: Plan) -> None:
    """Raise PlanBroken with the first faults, where there are any."""
    faults = find_faults(inputs, plan)
    if faults:
        raise PlanBroken(" ".join(faults[:5]))


def is_served_by(stop: Stop, shift: Shift) -> bool:
    """Whether the shift's day holds any of the stop's windows."""
    return any(w.from_s <= shift.closes_s and w.to_s >= shift.starts_s for w in stop.windows)
