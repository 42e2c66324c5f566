"""Running the queue: sweep, take what is due, run each, until nothing is due or time is up."""

import logging
import time
from collections.abc import Callable, Collection, Mapping
from contextlib import nullcontext
from datetime import datetime

from django.db import transaction

from drainservice.accounts.asker import clock as asking_clock
from jobs import settling, taking
from jobs.clocks import clock as database_clock
from jobs.faults import fault
from jobs.models import Heartbeat, Job, State
from jobs.outcome import MessageKind
from jobs.sending import run_messages
from jobs.sweeping import sweep
from jobs.turn import Reaction, Turn, worker_name

log = logging.getLogger("jobs")
BATCH = 20


class NoLongerOurs(Exception):
    """The lease ran out and someone else has the row; what was done here is rolled back."""


def run_all(
    facts: Mapping[str, Reaction],
    messages: Mapping[str, MessageKind],
    *,
    clock: Callable[[], datetime] = database_clock,
    budget_s: float = 20.0,
    worker: str = "",
    long: bool = False,
    only: Collection[str] = (),
    in_parts: Collection[str] = (),
    should_stop: Callable[[], bool] = lambda: False,
) -> int:
    """Run every job that is due, for at most `budget_s` seconds. Answers how many were run."""
    turn = Turn(
        facts=facts,
        messages=messages,
        worker=worker or worker_name(),
        clock=clock,
        stop_at_s=time.monotonic() + budget_s,
        should_stop=should_stop,
        only=frozenset(only),
        in_parts=frozenset(in_parts),
    )
    begun_at = turn.clock()
    sweep(at=begun_at)
    if not long:
        # Who does long work alone says nothing about whether reminders go out.
        Heartbeat.objects.update_or_create(worker=turn.worker, defaults={"ticked_at": begun_at})
    while not turn.is_over:
        seen = _run_facts(turn, long=long)
        if not long:
            seen += run_messages(turn)
        if not seen:
            break
    return turn.ran


def _run_facts(turn: Turn, *, long: bool) -> int:
    # Long work is taken one by one, so that no second row waits under our lease.
    rows = taking.take(
        1 if long else BATCH,
        at=turn.clock(),
        worker=turn.worker,
        is_message=False,
        long=long,
        only=turn.only,
    )
    if rows:
        fault("after_take")
    for row in rows:
        if turn.is_over:
            taking.give_back(row)
        else:
            _run_fact(turn, row)
    return len(rows)


def _run_fact(turn: Turn, row: Job) -> None:
    """One fact: its reaction and its settling are one transaction, but for work in parts."""
    at = turn.clock()
    if not taking.begin(row, at=at):
        return
    turn.ran += 1
    reaction = turn.facts.get(row.kind)
    if reaction is None:
        settling.settle(row, at=at, state=State.STUCK, words=f"Nobody reacts to {row.kind}.")
        return
    try:
        # Nothing of work in parts is rolled back; it is settled when all of it is done.
        with nullcontext() if row.kind in turn.in_parts else transaction.atomic():
            reaction(asker=asking_clock(at, door=f"job:{row.kind}"), **row.details)
            fault("in_fact")
            if not settling.settle(row, at=turn.clock(), state=State.DONE):
                raise NoLongerOurs
        fault("after_fact")
    except NoLongerOurs:
        log.info("a job went on elsewhere", extra={"job": str(row.pk)})
    except Exception as error:
        log.exception("a job failed: %s", row.kind)
        settling.settle_failed(
            row, at=turn.clock(), worker=turn.worker, error=error, last=State.STUCK
        )
