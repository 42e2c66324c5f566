"""Plan inputs, plans and costs as JSON, so that a plan can be found again years later, and inputs
can be written by hand.

The inputs are one object. Times are whole seconds from midnight of day 0, costs whole units;
places, shifts and stops are named by their number from 0. Fields with an asterisk may be absent.

    form        1
    drives      rows of seconds: drives[a][b] from place a to place b, nought from a to a
    shifts      objects: technician, day, starts_s, ends_s, leaves_from, returns_to (places),
                overtime_s*, pause* {earliest_s, latest_s, length_s}, skills* [words], room*
    stops       objects: key (of its own), place, work_s, windows [[from, to], ..] of the start,
                must*, worth*, skills*, only* [technicians], usual* (a technician),
                apart* [[technician, units], ..], fixed_s*, move_units*, load*
    present*    objects: shift, gates [[stop, number of its window], ..] in order
    tariff*     overtime*, not_usual*, outside_area*, disliked*, preferred*, move_offer*,
                move_promise*, moved_before*, even_units*: units;
                uneven_s*

The smallest that plans anything, one hour from 8 at ten minutes' drive:

    {"form": 1, "drives": [[0, 600], [600, 0]],
     "shifts": [{"technician": 1, "day": 0, "starts_s": 28800, "ends_s": 61200,
                 "leaves_from": 0, "returns_to": 0}],
     "stops": [{"key": 1, "place": 1, "work_s": 3600, "windows": [[28800, 43200]], "must": true}]}

Canonical: sorted names, no spaces, fields left away where they are as if absent.
"""

import json
from dataclasses import asdict, fields
from hashlib import sha256

from drainservice.engine.rounds.facts import Cost, Plan, PlanInputs, Round, Shift, Stop, Tariff
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.stored_fields import TOP, InputsCannotBeRead, as_thing
from drainservice.engine.rounds.stored_inputs import FORM, read_facts, read_round

__all__ = [
    "InputsCannotBeRead",
    "canonical",
    "cost_as_json",
    "digest_of",
    "effort_as_json",
    "plan_as_json",
    "read_cost",
    "read_effort",
    "read_inputs",
    "read_plan",
    "write_inputs",
]
NEEDED = ("form", "drives", "shifts", "stops")
# Told even where they are nought.
MUST_BE_TOLD = {
    *("technician", "day", "starts_s", "ends_s", "leaves_from", "returns_to"),
    *("key", "place", "work_s", "windows"),
}


def write_inputs(inputs: PlanInputs) -> str:
    """Inputs as canonical JSON."""
    facts = {
        "form": FORM,
        "drives": inputs.drives,
        "shifts": [_shift_facts(shift) for shift in inputs.shifts],
        "stops": [_stop_facts(stop) for stop in inputs.stops],
        "present": [_round_facts(round_) for round_ in inputs.present],
        "tariff": asdict(inputs.tariff) if inputs.tariff != Tariff() else {},
    }
    return canonical({name: value for name, value in facts.items() if value or name in NEEDED})


def read_inputs(text: str) -> PlanInputs:
    """Inputs from JSON. Raises InputsCannotBeRead, which says where and what to change."""
    return read_facts(as_thing(TOP, _parsed(text)))


def digest_of(inputs: PlanInputs) -> str:
    """SHA-256 of the canonical JSON, 64 hexadecimal digits."""
    return sha256(write_inputs(inputs).encode()).hexdigest()


def plan_as_json(plan: Plan) -> dict[str, object]:
    """A plan as what a JSON field keeps."""
    return {
        "form": FORM,
        "rounds": [_round_facts(round_) for round_ in plan.rounds],
        "left_out": list(plan.left_out),
    }


def read_plan(facts: object) -> Plan:
    """A plan from `plan_as_json`. Raises InputsCannotBeRead."""
    thing = as_thing("The plan", facts)
    thing.only(("form", "rounds", "left_out"))
    return Plan(thing.things("rounds", read_round, needed=True), thing.numbers("left_out"))


def cost_as_json(cost: Cost) -> dict[str, int]:
    """The parts of a cost and their total, in sixtieths of a unit."""
    return {**asdict(cost), "total": cost.total}


def read_cost(facts: object) -> Cost:
    """A cost from `cost_as_json`. Raises InputsCannotBeRead where parts and total differ."""
    thing = as_thing("The cost", facts)
    parts = {field.name: thing.number(field.name) for field in fields(Cost)}
    thing.only((*parts, "total"))
    cost = Cost(**parts)
    if thing.number("total") != cost.total:
        raise InputsCannotBeRead("The cost's parts do not add up to its total.")
    return cost


def effort_as_json(effort: Effort) -> dict[str, int]:
    """Counts as what a JSON field keeps; what was not limited is left away."""
    return {name: count for name, count in asdict(effort).items() if count is not None}


def read_effort(facts: object) -> Effort:
    """Counts from `effort_as_json`. Raises InputsCannotBeRead."""
    thing = as_thing("The effort", facts)
    thing.only(field.name for field in fields(Effort))
    return Effort(
        solver=thing.number("solver", Effort().solver, least=0),
        looks=thing.number("looks", Effort().looks, least=0),
        rebuilds=thing.number("rebuilds", Effort().rebuilds, least=0),
        cools_over=thing.number_or_none("cools_over", least=0),
    )


def canonical(facts: object) -> str:
    """Sorted names, no spaces, plain ASCII."""
    return json.dumps(facts, sort_keys=True, separators=(",", ":"), allow_nan=False)


def _parsed(text: str) -> object:
    try:
        parsed: object = json.loads(text)
    except (json.JSONDecodeError, RecursionError) as error:
        raise InputsCannotBeRead(f"{TOP} is not JSON: {error}.") from error
    return parsed


def _round_facts(round_: Round) -> dict[str, object]:
    return {"shift": round_.shift, "gates": [[gate.stop, gate.window] for gate in round_.gates]}


def _shift_facts(shift: Shift) -> dict[str, object]:
    facts = asdict(shift) | {"skills": sorted(shift.skills)}
    return _kept(facts, Shift(0, 0, 0, 0, 0, 0))


def _stop_facts(stop: Stop) -> dict[str, object]:
    facts = asdict(stop) | {
        "windows": [[window.from_s, window.to_s] for window in stop.windows],
        "skills": sorted(stop.skills),
        "only": None if stop.only is None else sorted(stop.only),
    }
    return _kept(facts, Stop(0, 0, 0, ()))


def _kept(facts: dict[str, object], plain: Shift | Stop) -> dict[str, object]:
    """The fields that have no default, or are not as by default."""
    absent = {
        field.name: getattr(plain, field.name)
        for field in fields(plain)
        if field.name not in MUST_BE_TOLD
    }
    empty: tuple[object, ...] = ((), [], frozenset())
    return {
        name: value
        for name, value in facts.items()
        if name not in absent
        or not (value == absent[name] or (value in empty and absent[name] in empty))
    }
