"""A stored plan of rounds read again: its inputs, its proposal, and what it was asked on."""

from datetime import date, timedelta

from drainservice.accounts import queries as accounts
from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.repair.broken import Facts
from drainservice.engine.rounds.repair.stored import read_repair
from drainservice.engine.rounds.speech import Speech
from drainservice.engine.rounds.stored import plan_as_json, read_inputs, read_plan, write_inputs
from drainservice.visits.models import Plan, PlanKind, Visit
from drainservice.visits.queries.gathered import Clock
from drainservice.visits.queries.said import say_day, say_first_name, say_instant


def inputs_of(plan: Plan) -> PlanInputs:
    """What the proposal's rounds are made of; a repair's with the windows it asks for.

    Errors: InputsCannotBeRead.
    """
    asked = plan.proposal.get("asked")
    if plan.kind == PlanKind.REPAIR and not asked:
        return read_repair(plan.inputs).inputs
    return read_inputs(asked or plan.inputs)


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


def speech_for(inputs: PlanInputs, day0: date, facts: Facts | None = None) -> Speech:
    """How a stored plan's visits, people, days and times are called; two statements."""
    clock, known = Clock(day0, accounts.the_firm().zone), facts or {}
    numbers = {one.technician for one in known.values() if one.technician is not None}
    numbers |= {shift.technician for shift in inputs.shifts}
    people = accounts.accounts_of_firm().filter(pk__in=numbers)
    keys = [stop.key for stop in inputs.stops]
    places = Visit.objects.filter(pk__in=keys).values_list("pk", "site__address")
    return Speech(
        stops=dict(places),
        people={account.pk: say_first_name(account) for account in people},
        say_day=lambda day: say_day(day0 + timedelta(days=day)),
        say_clock=lambda at_s: say_instant(clock.instant_of(at_s), clock.zone),
    )
