"""Asking what to do about a day that broke: first aid at once, or a longer search."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime

from django.db import transaction

from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.engine.rounds.repair.repair import EFFORT, first_aid
from drainservice.engine.rounds.repair.stored import RepairQuestion, write_repair
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.stored import effort_as_json
from drainservice.visits import queries
from drainservice.visits.actions.adopting import adopt_plan
from drainservice.visits.actions.questions import (
    Question,
    enter_question,
    need_something,
    put_question,
    what_stood,
)
from drainservice.visits.actions.solving import told_repair
from drainservice.visits.models import Plan, PlanKind, PlanState
from drainservice.visits.queries.broken_day import BrokenDay, read_broken_day

Free = Mapping[int, datetime]


class ProposalChanged(CannotBeDone):
    """The day has changed since its first aid was shown."""


@transaction.atomic
def ask_repair(
    day: date,
    *,
    asker: Asker,
    because: str = "",
    free: Free | None = None,
    effort: Effort = EFFORT,
    seed: int = 1,
) -> Plan:
    """Ask for better rounds of a broken day than first aid has; the plan under way, where one is.

    `free` are moments at which technicians say they will be free. Errors: DayIsOver,
    NothingToPlan, and nothing is stored.
    """
    under_way = queries.plan_under_way(PlanKind.REPAIR, _scope(day))
    if under_way is not None:
        return under_way
    found = read_broken_day(day, at=asker.at, free=free)
    need_something(found.gathered.inputs)
    return put_question(_question(found, because, effort_as_json(effort), seed), asker=asker)


@transaction.atomic
def propose_first_aid(
    day: date, *, asker: Asker, because: str = "", free: Free | None = None
) -> Plan:
    """First aid as a plan that is ready to be adopted; a moment's work.

    Errors: DayIsOver, NothingToPlan, and nothing is stored.
    """
    found = read_broken_day(day, at=asker.at, free=free)
    need_something(found.gathered.inputs)
    aid = first_aid(found.gathered.inputs, found.broken, found.facts)
    told = told_repair(aid, found.facts, found.gathered.day0)
    plan = enter_question(
        _question(found, because, {}, 1),
        asker=asker,
        state=PlanState.READY,
        ready_at=asker.at,
        cost=told.cost,
        solver=told.solver,
    )
    Plan.objects.filter(pk=plan.pk).update(proposal=told.proposal)
    plan.proposal = told.proposal
    return plan


@transaction.atomic
def adopt_first_aid(
    day: date, *, asker: Asker, mark: str, because: str = "", free: Free | None = None
) -> Plan:
    """Do the first aid that was shown under this mark, as an adopted plan.

    Errors: DayIsOver, NothingToPlan, ProposalChanged where it would be another by now, and those
    of adopting; nothing is done then.
    """
    if queries.first_aid_for(day, at=asker.at, free=dict(free or {})).mark != mark:
        raise ProposalChanged(
            "The day has changed since this was worked out, so nothing was done. Look at the new "
            "proposal and adopt that one."
        )
    # The proposal is no part of the act: undoing that leaves it ready, as any plan.
    outside = replace(asker, group="")
    plan = propose_first_aid(day, asker=outside, because=because, free=free)
    return adopt_plan(plan, asker=asker)


def _question(found: BrokenDay, because: str, effort: dict[str, int], seed: int) -> Question:
    stored = RepairQuestion(found.gathered.inputs, found.broken, found.facts)
    return Question(
        kind=PlanKind.REPAIR,
        scope=_scope(found.day),
        first_on=found.day,
        last_on=found.day,
        inputs=write_repair(stored),
        effort=effort,
        seed=seed,
        because=because,
        rounds=what_stood(found.gathered, [found.day]),
    )


def _scope(day: date) -> str:
    return f"repair of {day.isoformat()}"
