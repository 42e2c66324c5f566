"""Why a stop stands where it stands, or nowhere: from the tables of the rounds, as they are.

Costs are what a round costs with the stop less what it costs without it, in sixtieths of a unit.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from drainservice.engine.rounds.facts import Gate, Plan, PlanInputs, Round, Stop, may_go
from drainservice.engine.rounds.insert import Candidate, candidate_of, places_for, put_in
from drainservice.engine.rounds.offers.refusal import Refusal, why_not
from drainservice.engine.rounds.tables import Tables, make_tables, round_cost, start_bounds


class StopIsNotInPlan(ValueError):
    """A stop can be explained only by a plan that knows it."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another shift that could take the stop, in which window, and what it would cost there."""

    shift: int
    technician: int
    day: int
    window: int
    cost: int


@dataclass(frozen=True, slots=True)
class Refused:
    """A shift that cannot take the stop: the least that keeps it out. `stop` is whose promise
    would break, where it is one's."""

    shift: int
    technician: int
    day: int
    refusal: Refusal
    stop: int | None


@dataclass(frozen=True, slots=True)
class Lacking:
    """A technician who may not go, for want of skills; none named: it is left to others."""

    technician: int
    skills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a stop stands where it stands. `shift` and `cost` are None for one that is left out,
    and `worth` (units) is what leaving it out costs.

    `others` are cheapest first, `refused` nearest to fitting first.
    """

    stop: int
    shift: int | None
    cost: int | None
    worth: int
    others: tuple[Elsewhere, ...]
    refused: tuple[Refused, ...]
    lacking: tuple[Lacking, ...]


def explain_stop(inputs: PlanInputs, plan: Plan, number: int) -> Explained:
    """Every shift asked what it would take to serve the stop, all other rounds as they are.

    Raises StopIsNotInPlan for a number that the inputs do not have.
    """
    if not 0 <= number < len(inputs.stops):
        raise StopIsNotInPlan("This visit is not part of the plan; choose one of its visits.")
    stop, here = inputs.stops[number], _round_of(plan, number)
    rounds = {round_.shift: round_ for round_ in plan.rounds}
    others: list[Elsewhere] = []
    refused: list[Refused] = []
    lacking: dict[int, Lacking] = {}
    for shift_number, shift in enumerate(inputs.shifts):
        if here is not None and here.shift == shift_number:
            continue
        if not may_go(stop, shift):
            skills = tuple(sorted(stop.skills - shift.skills))
            lacking.setdefault(shift.technician, Lacking(shift.technician, skills))
            continue
        tables = make_tables(inputs, rounds.get(shift_number, Round(shift_number)))
        found = list(_places_on(inputs, tables, number))
        if found:
            others.append(min(found, key=lambda one: one.cost))
        else:
            refused += _refusals(tables, candidate_of(inputs, number))
    return Explained(
        stop=number,
        shift=None if here is None else here.shift,
        cost=None if here is None else _cost_of(inputs, here, number),
        worth=stop.worth,
        others=tuple(sorted(others, key=lambda one: (one.cost, one.day, one.technician))),
        refused=tuple(sorted(refused, key=lambda one: (one.refusal.late_s, one.day))),
        lacking=tuple(lacking.values()),
    )


def _round_of(plan: Plan, number: int) -> Round | None:
    for round_ in plan.rounds:
        if any(gate.stop == number for gate in round_.gates):
            return round_
    return None


def _cost_of(inputs: PlanInputs, here: Round, number: int) -> int:
    """What the round costs more than without the stop."""
    rest = Round(here.shift, tuple(gate for gate in here.gates if gate.stop != number))
    with_it, without = make_tables(inputs, here), make_tables(inputs, rest)
    if without.is_feasible:
        return round_cost(inputs, with_it).total - round_cost(inputs, without).total
    # Where a detour is quicker than the straight way, the round cannot do without its stop.
    return with_it.driving_s - without.driving_s + with_it.people - without.people


def _places_on(inputs: PlanInputs, tables: Tables, number: int) -> Iterator[Elsewhere]:
    candidate, shift = candidate_of(inputs, number), tables.shift
    if not tables.is_feasible:
        return
    cost = round_cost(inputs, tables).total
    for place in places_for(tables, candidate):
        put = put_in(inputs.tariff, tables, candidate, place.before, place.window)
        added = round_cost(inputs, put).total - cost
        yield Elsewhere(tables.number, shift.technician, shift.day, place.window, added)


def _refusals(tables: Tables, candidate: Candidate) -> Iterator[Refused]:
    """The nearest of all windows that touch the shift; none where no window does."""
    found = []
    for window in _windows_on(tables, candidate.stop):
        from_s, to_s = start_bounds(candidate.stop, Gate(candidate.number, window))
        refusal = why_not(tables, candidate, from_s, to_s)
        if refusal is not None:
            found.append(refusal)
    if not found:
        return
    least = min(found, key=lambda one: one.late_s)
    stop = None if least.gate is None else tables.gates[least.gate].stop
    shift = tables.shift
    yield Refused(tables.number, shift.technician, shift.day, least, stop)


def _windows_on(tables: Tables, stop: Stop) -> list[int]:
    shift = tables.shift
    return [
        number
        for number, window in enumerate(stop.windows)
        if window.from_s <= shift.closes_s and window.to_s >= shift.starts_s
    ]
