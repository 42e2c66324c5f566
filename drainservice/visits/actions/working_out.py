"""Working a plan out: taken by one worker at a time, searched outside any transaction, judged,
and ready, or failed with a sentence."""

import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction
from django.db.models import F, Q

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.visits.actions.listening import SILENT_FOR, Ear, NotOursAnyMore
from drainservice.visits.actions.solving import SOLVERS, Found
from drainservice.visits.models import Plan, PlanState
from jobs import queue

log = logging.getLogger("drainservice.visits")
MOST_STARTS = 2
LONG = "long"
DIED = (
    "The planner stopped twice in the middle of this, so it was given up; nothing was changed. "
    "Ask again with fewer days; if it fails once more, someone must look at the machine."
)
BROKE = (
    "The planner broke at this; nothing was changed. Someone must look: the record of the machine "
    "says more under plan {number}."
)


@dataclass(frozen=True, slots=True)
class Clocks:
    """The time of day, and seconds by a clock that nobody sets."""

    now: Callable[[], datetime]
    elapsed_s: Callable[[], float]


def work_out(plan_id: int, *, asker: Asker, clocks: Clocks) -> Plan:
    """Search, judge and store. Must not be called within a transaction: each step is its own.

    A plan that another worker is at, or that has ended, is left as it is. Repeating it is safe.
    """
    if not _take(plan_id, clocks.now()):
        return _give_up(plan_id, asker)
    plan = Plan.objects.get(pk=plan_id)
    ear = Ear(plan_id, plan.starts, clocks.now, clocks.elapsed_s)
    found: Found | None
    failed = ""
    try:
        found = SOLVERS[plan.kind](plan, ear)
    except NotOursAnyMore:
        log.info("a plan went on elsewhere", extra={"plan": plan_id})
        return Plan.objects.get(pk=plan_id)
    except CannotBeDone as why:
        found, failed = None, str(why)[:5000]
    except Exception:
        log.exception("plan %s broke", plan_id)
        found, failed = None, BROKE.format(number=plan_id)
    return _end(plan, found, failed, asker=replace(asker, at=clocks.now()))


def retake_silent(*, at: datetime) -> int:
    """Plans whose worker is silent get a job anew. Answers how many; repeating it adds nothing."""
    silent = Plan.objects.standing().filter(
        state=PlanState.THINKING, heartbeat_at__lt=at - SILENT_FOR
    )
    rows = list(silent.values_list("pk", "starts"))
    for pk, starts in rows:
        queue.put("plan.wanted", key=f"{pk}:{starts + 1}", at=at, lane=LONG, plan_id=pk)
    return len(rows)


def _take(plan_id: int, at: datetime) -> bool:
    """Count the start, where nobody is at it; counted, so that of two only one has it."""
    is_free = Q(heartbeat_at__isnull=True) | Q(heartbeat_at__lt=at - SILENT_FOR)
    waiting = Plan.objects.filter(is_free, pk=plan_id, state=PlanState.THINKING)
    taken = waiting.filter(starts__lt=MOST_STARTS)
    return bool(taken.update(starts=F("starts") + 1, heartbeat_at=at))


def _give_up(plan_id: int, asker: Asker) -> Plan:
    """After so many starts without an end it is failed; else somebody is at it."""
    with transaction.atomic():
        plan: Plan = Plan.objects.select_for_update().get(pk=plan_id)
        is_silent = plan.heartbeat_at is None or plan.heartbeat_at < asker.at - SILENT_FOR
        if plan.state != PlanState.THINKING or plan.starts < MOST_STARTS or not is_silent:
            return plan
        return history.keep(
            plan, asker=asker, state=PlanState.FAILED, failed_because=DIED, ended_at=asker.at
        )


@transaction.atomic
def _end(plan: Plan, found: Found | None, failed: str, *, asker: Asker) -> Plan:
    """Write the end, where the plan is still ours. The proposal is large: history keeps the cost
    and the state alone."""
    row: Plan = Plan.objects.select_for_update().get(pk=plan.pk)
    if row.state != PlanState.THINKING or row.starts != plan.starts:
        return row
    if found is None:
        return history.keep(
            row, asker=asker, state=PlanState.FAILED, failed_because=failed, ended_at=asker.at
        )
    Plan.objects.filter(pk=plan.pk).update(proposal=found.proposal)
    row.proposal = found.proposal
    return history.keep(
        row,
        asker=asker,
        state=PlanState.READY,
        cost=found.cost,
        done=found.done,
        solver=found.solver[:60],
        ready_at=asker.at,
    )
