"""A plan fitted to rounds that changed meanwhile, and an adoption taken back."""

from dataclasses import replace
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Change
from drainservice.engine.rounds.check import find_faults
from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.repair.stored import read_repair, write_repair
from drainservice.engine.rounds.search.carry import carry_over, join_rounds
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.solve import start_draft
from drainservice.engine.rounds.stored import write_inputs
from drainservice.visits.actions.adopting import (
    WHAT_IF,
    CannotAdopt,
    gather_for,
    what_a_repair_sees,
)
from drainservice.visits.actions.questions import (
    Question,
    enter_question,
    need_plan,
    need_something,
    what_stood,
)
from drainservice.visits.models import Plan, PlanKind, PlanState, Round, Visit
from drainservice.visits.queries.gathered import Gathered
from drainservice.visits.queries.proposals import (
    days_of,
    proposal_as_json,
    proposal_of,
    versions_of,
)
from drainservice.visits.queries.saved import costs_of


class DoesNotFitAnyMore(CannotBeDone):
    """The plan cannot be fitted to the rounds of now."""


@transaction.atomic
def rebase_plan(plan: Plan, *, asker: Asker) -> Plan:
    """A new plan, ready: its rounds where nobody changed the day since, the present ones
    elsewhere, and what has no place then put where it adds least.

    Errors: NotInThisPlan, CannotAdopt, NothingToPlan, DoesNotFitAnyMore; the plan itself is not
    changed.
    """
    need_plan(plan, PlanState.STALE, PlanState.READY)
    if plan.what_if:
        raise CannotAdopt(WHAT_IF)
    if plan.kind == PlanKind.SEASON:
        raise DoesNotFitAnyMore(
            "A season's plan leaves what was promised since as it is, so it needs no fitting. "
            "Adopt it, or ask for the season anew."
        )
    days = [day for day in days_of(plan) if day >= accounts.today_of_firm(asker.at)]
    if not days:
        raise DoesNotFitAnyMore("Its days are over, so it fits nothing any more; ask for others.")
    gathered = gather_for(plan, asker.at, days)
    need_something(gathered.inputs)
    inputs, rounds = _fit(plan, gathered, asker.at)
    row = enter_question(
        Question(
            kind=plan.kind,
            scope=plan.scope,
            first_on=days[0],
            last_on=days[-1],
            inputs=_as_asked(plan, gathered, asker.at),
            effort=plan.effort,
            seed=plan.seed,
            because=plan.because,
            what_if=plan.what_if,
            rounds=what_stood(gathered, days),
        ),
        asker=asker,
        state=PlanState.READY,
        cost=costs_of(inputs, rounds),
        done={"fitted_from": plan.pk},
        ready_at=asker.at,
    )
    asked = inputs if plan.kind == PlanKind.REPAIR else None
    proposal = proposal_as_json(rounds, asked)
    Plan.objects.filter(pk=row.pk).update(proposal=proposal)
    return Plan.objects.get(pk=row.pk)


def _as_asked(plan: Plan, gathered: Gathered, at: datetime) -> str:
    """The question as it would be asked now."""
    if plan.kind != PlanKind.REPAIR:
        return write_inputs(gathered.inputs)
    asked = read_repair(plan.inputs)
    broken = replace(asked.broken, now_s=gathered.seconds_of(at), urgent=())
    return write_repair(replace(asked, inputs=gathered.inputs, broken=broken))


def _fit(plan: Plan, gathered: Gathered, at: datetime) -> tuple[PlanInputs, Rounds]:
    old, rounds = proposal_of(plan)
    is_repair = plan.kind == PlanKind.REPAIR
    new = what_a_repair_sees(plan, gathered, at) if is_repair else gathered.inputs
    joined = join_rounds(carry_over(old, rounds, new).plan, new, _changed(plan, gathered))
    draft = start_draft(make_figures(replace(new, present=joined)))
    fitted = draft.as_plan()
    faults = find_faults(new, fitted)
    if draft.missing() or faults:
        raise DoesNotFitAnyMore(
            "Not every promise has a place beside this plan any more. Ask again, so that the "
            "rounds are searched from how they stand now."
        )
    return new, fitted


def _changed(plan: Plan, gathered: Gathered) -> set[tuple[int, int]]:
    """Technician and number of the day of each round that is not the one the plan was asked on."""
    before = versions_of(plan)
    return {
        (who, (day - gathered.day0).days)
        for (who, day), version in gathered.versions.items()
        if (before.get((who, day), 0) or 1) != (version or 1)
    }


@transaction.atomic
def mind_undone(group: str) -> None:
    """An act was undone: the rounds of its visits count up, and an adopted plan's breaks return.

    So that whoever planned on the rounds between sees that they have changed.
    """
    visits = accounts.rows_of_act(group, "visits.visit")
    zone = accounts.the_firm().zone
    touched = {key for change in visits for key in _rounds_of(change, zone)}
    for who, day in sorted(touched):
        Round.objects.filter(technician=who, day=day).update(version=F("version") + 1)
    for change in accounts.rows_of_act(group, "visits.plan"):
        plan = Plan.objects.filter(pk=change.subject_id).first()
        for pk, at in (plan.done.get("breaks_before", {}) if plan else {}).items():
            when = datetime.fromisoformat(at) if at else None
            Round.objects.filter(pk=pk).update(break_starts_at=when)


def _rounds_of(change: Change, zone: str) -> set[tuple[int, date]]:
    """The rounds that a change of a visit touched: technician and day before, and after."""
    visit = Visit.objects.filter(pk=change.subject_id).first()
    if visit is None:
        return set()
    now = {"technician_id": visit.technician_id, "slot_starts_at": visit.slot_starts_at}
    found = set()
    states: list[dict[str, Any]] = [change.before, change.after, {}]
    for told in states:
        who = told.get("technician_id", now["technician_id"])
        at = told.get("slot_starts_at", now["slot_starts_at"])
        if who is not None and at is not None:
            moment = datetime.fromisoformat(at) if isinstance(at, str) else at
            found.add((who, wall.today_in(zone, moment)))
    return found
