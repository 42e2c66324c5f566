"""What is stored of a question to the planner, whatever its kind, and the job it leaves."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from typing import Any

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.history import RuleBroken
from drainservice.accounts.text import clean_line
from drainservice.engine.rounds import MODEL_VERSION
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.visits import queries
from drainservice.visits.models import Plan, PlanState
from drainservice.visits.queries.gathered import Gathered
from jobs import queue

# As the table allows.
MOST_LETTERS = 30_000_000
LONG = "long"


class NothingToPlan(CannotBeDone):
    """There is no day, no shift or no visit to plan."""


class NotInThisPlan(CannotBeDone):
    """The plan stands elsewhere than the act needs."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is stored of a question, whatever its kind."""

    kind: str
    scope: str
    first_on: date
    last_on: date
    inputs: str
    effort: dict[str, Any]
    seed: int = 1
    because: str = ""
    what_if: str = ""
    rounds: dict[str, Any] = field(default_factory=dict)


def need_something(inputs: PlanInputs) -> None:
    """Refuse a question that has no answer, in a sentence."""
    if not inputs.shifts:
        raise NothingToPlan(
            "Nobody works on these days, so there is nothing to plan. Enter working hours or "
            "choose other days on the page of the crew."
        )
    if not inputs.stops:
        raise NothingToPlan(
            "No visit is meant for these days, so there is nothing to plan. Plan a visit first, "
            "or let the season be planned."
        )


def what_stood(gathered: Gathered, days: Sequence[date]) -> dict[str, Any]:
    """On what the plan was asked: day 0 and the version of each round, to be compared later."""
    return {
        "day0": gathered.day0.isoformat(),
        "days": [day.isoformat() for day in days],
        "versions": versions_as_plain(gathered),
        "notes": list(gathered.notes),
    }


def versions_as_plain(gathered: Gathered) -> dict[str, int]:
    """Technician and day -> version, 0 where nobody has a round there yet."""
    return {
        f"{technician} {day.isoformat()}": version
        for (technician, day), version in sorted(gathered.versions.items())
    }


def digest_of_text(text: str) -> str:
    """SHA-256, 64 hexadecimal digits."""
    return sha256(text.encode()).hexdigest()


def put_question(question: Question, *, asker: Asker) -> Plan:
    """Store it and leave the job; of two who ask at once both get the one plan."""
    try:
        plan = enter_question(question, asker=asker)
    except RuleBroken:
        under_way = queries.plan_under_way(question.kind, question.scope)
        if under_way is None:
            raise
        return under_way
    queue.put("plan.wanted", key=f"{plan.pk}:1", at=asker.at, lane=LONG, plan_id=plan.pk)
    return plan


def enter_question(question: Question, *, asker: Asker, **more: Any) -> Plan:
    """Store it alone. Errors: NothingToPlan, where it is too much for one plan; RuleBroken, where
    one of its scope is being worked out."""
    if len(question.inputs) > MOST_LETTERS:
        raise NothingToPlan(
            "These days hold more visits than one plan can take. Choose fewer days, or plan the "
            "technicians of one area at a time."
        )
    told = {"state": PlanState.THINKING} | more
    plan = Plan(
        kind=question.kind,
        scope=question.scope,
        first_on=question.first_on,
        last_on=question.last_on,
        digest=digest_of_text(question.inputs),
        rounds=question.rounds,
        seed=question.seed,
        effort=question.effort,
        because=clean_line(question.because, most=200, what="The reason"),
        what_if=question.what_if,
        model_version=MODEL_VERSION,
        asked_by_id=asker.account_id,
        asked_at=asker.at,
        **told,
    )
    history.enter(plan, asker=asker, action="asked")
    # The inputs are large and never change: history keeps their digest.
    Plan.objects.filter(pk=plan.pk).update(inputs=question.inputs)
    plan.inputs = question.inputs
    return plan


def need_plan(plan: Plan, *states: str) -> None:
    """Errors: NotInThisPlan."""
    if plan.state not in states:
        raise NotInThisPlan(
            f"This plan is {PlanState(plan.state).label} now, so that cannot be done any more. "
            "Open it again to see how it stands."
        )
