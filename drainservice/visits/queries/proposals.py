"""A stored plan of rounds read again: its inputs, its proposal, and what it was asked on."""

from datetime import date

from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.stored import plan_as_json, read_inputs, read_plan, write_inputs
from drainservice.visits.models import Plan


def inputs_of(plan: Plan) -> PlanInputs:
    """What the proposal's rounds are made of; a repair's with the windows it asks for.

    Errors: InputsCannotBeRead.
    """
    return read_inputs(plan.proposal.get("asked") or plan.inputs)


def proposal_of(plan: Plan) -> tuple[PlanInputs, Rounds]:
    """Inputs and the rounds proposed on them. Errors: InputsCannotBeRead."""
    return inputs_of(plan), read_plan(plan.proposal.get("plan"))


def proposal_as_json(rounds: Rounds, asked: PlanInputs | None = None) -> dict[str, object]:
    """What a proposal is stored as; `asked`: the inputs it stands on, where these are not the
    question's own."""
    told: dict[str, object] = {"plan": plan_as_json(rounds)}
    return told if asked is None else told | {"asked": write_inputs(asked)}


def days_of(plan: Plan) -> list[date]:
    """The days that were asked for."""
    return [date.fromisoformat(day) for day in plan.rounds["days"]]


def day0_of(plan: Plan) -> date:
    """The day from whose midnight its seconds count."""
    return date.fromisoformat(plan.rounds["day0"])


def versions_of(plan: Plan) -> dict[tuple[int, date], int]:
    """The versions of the rounds it was asked on, by technician and day; 0: there was none."""
    found = {}
    for key, version in plan.rounds["versions"].items():
        technician, day = key.split(" ")
        found[(int(technician), date.fromisoformat(day))] = version
    return found
