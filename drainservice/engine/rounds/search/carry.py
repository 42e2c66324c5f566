"""A plan that was found on older inputs, said in the terms of newer ones.

Visits are known by their keys, shifts by technician and day, windows by their two ends; a visit
that nobody was told of takes any window that holds its planned start.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace

from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import Gate, Plan, PlanInputs, Round, Shift, Stop, Window


@dataclass(frozen=True, slots=True)
class Carried:
    """The plan on the newer inputs, and the keys of visits whose place in it is there no more:
    the visit, its shift, or its window is gone."""

    plan: Plan
    lost: tuple[int, ...] = ()


def carry_over(old: PlanInputs, plan: Plan, new: PlanInputs) -> Carried:
    """Each round on its shift of the newer inputs; what the plan does not speak of is left out."""
    shifts = {_day_of(shift): number for number, shift in enumerate(new.shifts)}
    stops = {stop.key: number for number, stop in enumerate(new.stops)}
    rounds, lost, placed = [], [], set()
    for round_ in plan.rounds:
        shift = shifts.get(_day_of(old.shifts[round_.shift]))
        gates = []
        for gate, start_s in zip(round_.gates, _starts(old, round_), strict=True):
            before = old.stops[gate.stop]
            now = stops.get(before.key)
            window = None if now is None else _window(before, gate, new.stops[now], start_s)
            if shift is None or now is None or window is None:
                lost.append(before.key)
            else:
                gates.append(Gate(now, window))
                placed.add(now)
        if shift is not None and gates:
            rounds.append(Round(shift, tuple(gates)))
    out = tuple(number for number in range(len(new.stops)) if number not in placed)
    return Carried(Plan(tuple(rounds), out), tuple(lost))


def join_rounds(
    carried: Plan, new: PlanInputs, changed: Collection[tuple[int, int]]
) -> tuple[Round, ...]:
    """Rounds of the plan where nobody has changed the day since, the present ones elsewhere.

    `changed` names technician and day. A visit stays in the plan's round where it is in two.
    """
    planned = {r.shift: r for r in carried.rounds if _day_of(new.shifts[r.shift]) not in changed}
    kept = {number: r for number, r in planned.items() if drive_round(new, r) is not None}
    taken = {gate.stop for round_ in kept.values() for gate in round_.gates}
    joined = dict(kept)
    for round_ in new.present:
        is_emptied = (
            _day_of(new.shifts[round_.shift]) not in changed and round_.shift not in planned
        )
        if round_.shift in kept or is_emptied:
            continue
        gates = tuple(gate for gate in round_.gates if gate.stop not in taken)
        if gates:
            joined[round_.shift] = replace(round_, gates=gates)
    return tuple(joined[number] for number in sorted(joined))


def _day_of(shift: Shift) -> tuple[int, int]:
    return shift.technician, shift.day


def _starts(inputs: PlanInputs, round_: Round) -> tuple[int | None, ...]:
    driven = drive_round(inputs, round_)
    return (None,) * len(round_.gates) if driven is None else driven.starts_s


def _window(before: Stop, gate: Gate, now: Stop, start_s: int | None) -> int | None:
    wanted = before.windows[gate.window]
    if wanted in now.windows:
        return now.windows.index(wanted)
    if now.move_units is not None or now.must or start_s is None:
        return None
    holds = (n for n, w in enumerate(now.windows) if w.from_s <= start_s <= w.to_s)
    return next(holds, None)


def allow_what_it_asks(old: PlanInputs, plan: Plan, new: PlanInputs) -> PlanInputs:
    """The newer inputs with what a repair asks of people: another window, another technician, or
    another day for whom it leaves out."""
    numbers = {stop.key: number for number, stop in enumerate(new.stops)}
    stops = list(new.stops)
    for round_ in plan.rounds:
        technician = old.shifts[round_.shift].technician
        for gate in round_.gates:
            number = numbers.get(old.stops[gate.stop].key)
            if number is not None:
                wanted = old.stops[gate.stop].windows[gate.window]
                stops[number] = _allowed(stops[number], wanted, technician)
    for left_out in plan.left_out:
        number = numbers.get(old.stops[left_out].key)
        if number is not None:
            stops[number] = replace(stops[number], must=False)
    return replace(new, stops=tuple(stops))


def _allowed(stop: Stop, wanted: Window, technician: int) -> Stop:
    windows = stop.windows if wanted in stop.windows else (*stop.windows, wanted)
    only = stop.only if stop.only is None or technician in stop.only else stop.only | {technician}
    return replace(stop, windows=windows, only=only)
