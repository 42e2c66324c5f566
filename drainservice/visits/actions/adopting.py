"""Adopting a plan of rounds: one act, on the rounds it was asked on, judged once more on the facts
of now; who was promised something else is told once, after the half minute in which it can be
undone."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.db.models import F

from drainservice.accounts import history, wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.history import ChangedMeanwhile, RuleBroken
from drainservice.engine.rounds.check import drive_round, find_faults
from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.repair.broken import shifts_after
from drainservice.engine.rounds.repair.stored import read_repair
from drainservice.engine.rounds.search.carry import allow_what_it_asks, carry_over
from drainservice.visits.actions.access import open_for
from drainservice.visits.actions.book import announce
from drainservice.visits.actions.changes import Fresh, changes_of
from drainservice.visits.actions.questions import need_plan
from drainservice.visits.actions.season import adopt_season
from drainservice.visits.actions.slots import NewTime, write_times
from drainservice.visits.models import Plan, PlanKind, PlanState, Round, State, Visit
from drainservice.visits.queries.broken_day import gather_for_repair
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.proposals import days_of, proposal_of, versions_of
from drainservice.visits.queries.reached import reached_only

WHAT_IF = (
    "This plan tries what would be if; it cannot be adopted. Change the facts themselves, such as "
    "an absence, and ask again."
)
STALE = (
    "The rounds have changed since this plan was asked for ({why}), so it was not adopted and "
    "nothing was changed. Fit it to the rounds of now, or ask again."
)


class PlanIsStale(CannotBeDone):
    """What the plan was asked on is no longer so."""


class CannotAdopt(CannotBeDone):
    """The plan is not one that is done."""


def adopt_plan(plan: Plan, *, asker: Asker) -> Plan:
    """Do what the plan proposes, whole or not at all.

    Errors: NotInThisPlan, CannotAdopt, PlanIsStale; the plan is then marked as stale.
    """
    need_plan(plan, PlanState.READY)
    if plan.what_if:
        raise CannotAdopt(WHAT_IF)
    try:
        return _adopt(plan, asker=asker if asker.group else asker.acting(group=uuid4().hex))
    except PlanIsStale:
        _mark_stale(plan.pk, asker)
        raise
    except (ChangedMeanwhile, RuleBroken) as clash:
        _mark_stale(plan.pk, asker)
        raise PlanIsStale(STALE.format(why="somebody booked at this moment")) from clash


@transaction.atomic
def _adopt(plan: Plan, *, asker: Asker) -> Plan:
    row: Plan = Plan.objects.select_for_update().get(pk=plan.pk)
    need_plan(row, PlanState.READY)
    told = adopt_season(row, asker=asker) if row.kind == PlanKind.SEASON else _write(row, asker)
    Plan.objects.filter(pk=row.pk).update(done=row.done | told)
    row.done = row.done | told
    return history.keep(
        row, asker=asker, state=PlanState.ADOPTED, ended_at=asker.at, group=asker.group
    )


def _write(row: Plan, asker: Asker) -> dict[str, Any]:
    """Write the rounds; answers what undoing must know."""
    guard_rounds(row)
    fresh = say_in_terms_of_now(row, asker.at)
    changes = changes_of(fresh, asker)
    touched = _touched(changes, fresh)
    before = raise_versions(touched, fresh)
    write_times([change for change, _ in changes], asker=asker)
    for change, kind in changes:
        _follow(change.visit, kind, asker)
    return {"breaks_before": before}


@transaction.atomic
def _mark_stale(plan_id: int, asker: Asker) -> None:
    row = Plan.objects.select_for_update().get(pk=plan_id)
    if row.state == PlanState.READY:
        # Apart from the act that was not done, so that there is nothing of it to undo.
        history.keep(row, asker=asker, state=PlanState.STALE)


def guard_rounds(plan: Plan) -> None:
    """Lock the plan's rounds and compare their versions. Errors: PlanIsStale."""
    wanted = versions_of(plan)
    days = {day for _, day in wanted}
    # Rows are made where there are none, so that there is something to lock.
    Round.objects.bulk_create(
        [
            Round(technician_id=who, day=day)
            for (who, day), version in wanted.items()
            if not version
        ],
        ignore_conflicts=True,
    )
    rows = Round.objects.select_for_update().filter(day__in=days)
    rows = rows.order_by("technician_id", "day")
    found = {(row.technician_id, row.day): row.version for row in rows}
    changed = [key for key, version in wanted.items() if found.get(key) != (version or 1)]
    if changed:
        raise PlanIsStale(STALE.format(why=_who(changed)))


def _who(changed: list[tuple[int, date]]) -> str:
    days = sorted({day for _, day in changed})
    said = ", ".join(f"{day:%a} {day.day} {day:%b}" for day in days[:3])
    more = f" and {len(days) - 3} more days" if len(days) > 3 else ""
    return f"{said}{more}"


def say_in_terms_of_now(plan: Plan, at: datetime) -> Fresh:
    """The proposal on today's facts, passed by the judge. Errors: PlanIsStale."""
    old, rounds = proposal_of(plan)
    is_repair = plan.kind == PlanKind.REPAIR
    gathered = gather_for(plan, at, days_of(plan))
    new = what_a_repair_sees(plan, gathered, at) if is_repair else gathered.inputs
    carried = carry_over(old, rounds, new)
    if carried.lost:
        raise PlanIsStale(STALE.format(why=f"{len(carried.lost)} of its visits"))
    faults = find_faults(new, carried.plan)
    if faults:
        raise PlanIsStale(STALE.format(why="what it needs is not free any more"))
    return Fresh(gathered, new, carried.plan)


def gather_for(plan: Plan, at: datetime, days: list[date]) -> Gathered:
    """The days as a plan of its kind reads them."""
    if plan.kind == PlanKind.REPAIR:
        return gather_for_repair(days, at=at)
    return reached_only(gather_rounds(at=at, days=days))


def what_a_repair_sees(plan: Plan, gathered: Gathered, at: datetime) -> PlanInputs:
    """The facts of now after what broke, with what the repair asks of people."""
    old, rounds = proposal_of(plan)
    broken = replace(read_repair(plan.inputs).broken, now_s=gathered.seconds_of(at))
    left = replace(gathered.inputs, shifts=shifts_after(gathered.inputs, broken))
    return allow_what_it_asks(old, rounds, left)


def _touched(changes: list[tuple[NewTime, str]], fresh: Fresh) -> set[tuple[int, date]]:
    """Technician and day of every round that loses, wins or moves a visit."""
    found = set()
    for change, _ in changes:
        visit = change.visit
        before = (visit.technician_id, visit.slot_starts_at)
        after = (None if change.technician is None else change.technician.pk, change.starts_at)
        for who, starts_at in (before, after):
            if who is not None and starts_at is not None:
                found.add((who, wall.today_in(fresh.gathered.zone, starts_at)))
    return found


def raise_versions(touched: set[tuple[int, date]], fresh: Fresh) -> dict[str, str | None]:
    """Count each touched round up and write its break down. Answers the breaks as they were."""
    breaks = {}
    for round_ in fresh.rounds.rounds:
        driven, shift = drive_round(fresh.inputs, round_), fresh.inputs.shifts[round_.shift]
        day = fresh.gathered.day0 + timedelta(days=shift.day)
        if driven is not None and driven.break_starts_s is not None:
            breaks[(shift.technician, day)] = fresh.gathered.instant_of(driven.break_starts_s)
    before: dict[str, str | None] = {}
    for row in Round.objects.filter(day__in={day for _, day in touched}).order_by("pk"):
        key = (row.technician_id, row.day)
        if key in touched:
            was = row.break_starts_at
            before[str(row.pk)] = was.isoformat() if was else None
            Round.objects.filter(pk=row.pk).update(
                version=F("version") + 1, break_starts_at=breaks.get(key)
            )
    return before


def _follow(visit: Visit, kind: str, asker: Asker) -> None:
    """The technician is let in, and the household told, once."""
    if visit.state in {State.OFFERED, State.AGREED}:
        open_for(visit, asker=asker)
    if kind:
        announce(kind, visit, asker)
