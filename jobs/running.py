"""One turn of the queue: sweep, take what is due, run each job, until nothing is due or time is up."""

import logging
import os
import socket
import time
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from drainservice.accounts.asker import Asker
from drainservice.accounts.asker import clock as asking_clock
from jobs import queue
from jobs.faults import fault
from jobs.models import Heartbeat, Job, State
from jobs.outcome import Ended, Later, MessageKind, Post, Ready, Sent

log = logging.getLogger("jobs")
Reaction = Callable[..., None]
BATCH_FACTS = 20
BATCH_MESSAGES = 25
SERVER = "mail"


@dataclass(slots=True)
class Turn:
    """Who runs, what reacts, and when it must stop."""

    facts: Mapping[str, Reaction]
    messages: Mapping[str, MessageKind]
    worker: str
    clock: Callable[[], datetime]
    stop_at: float
    should_stop: Callable[[], bool] = field(default=lambda: False)
    ran: int = 0

    @property
    def is_over(self) -> bool:
        """Time is up, or the worker is asked to end."""
        return self.should_stop() or time.monotonic() >= self.stop_at


def worker_name() -> str:
    """This process, told apart from any other."""
    return f"{socket.gethostname()}:{os.getpid()}"[:80]


def run_all(
    facts: Mapping[str, Reaction],
    messages: Mapping[str, MessageKind],
    *,
    clock: Callable[[], datetime] = queue.clock,
    budget_s: float = 20.0,
    worker: str = "",
    long: bool = False,
    should_stop: Callable[[], bool] = lambda: False,
) -> int:
    """Run every job that is due, for at most `budget_s` seconds. Answers how many were run."""
    turn = Turn(
        facts=facts,
        messages=messages,
        worker=worker or worker_name(),
        clock=clock,
        stop_at=time.monotonic() + budget_s,
        should_stop=should_stop,
    )
    begun = turn.clock()
    queue.sweep(at=begun)
    Heartbeat.objects.update_or_create(worker=turn.worker, defaults={"ticked_at": begun})
    while not turn.is_over:
        if not (_run_facts(turn, long=long) + (0 if long else _run_messages(turn))):
            break
    return turn.ran


def _run_facts(turn: Turn, *, long: bool) -> int:
    rows = queue.take(BATCH_FACTS, at=turn.clock(), worker=turn.worker, is_message=False, long=long)
    fault("after_take")
    for row in rows:
        if turn.is_over:
            queue.give_back(row)
            continue
        _run_fact(turn, row)
    return len(rows)


def _run_fact(turn: Turn, row: Job) -> None:
    """One fact: its reaction and its settling are one transaction."""
    at = turn.clock()
    if not queue.start(row, at=at):
        return
    turn.ran += 1
    reaction = turn.facts.get(row.kind)
    if reaction is None:
        queue.settle(row, at=at, state=State.STUCK, words=f"Nobody reacts to {row.kind}.")
        return
    asker: Asker = asking_clock(at, door=f"job:{row.kind}")
    try:
        with transaction.atomic():
            reaction(asker=asker, **row.details)
            fault("in_fact")
            if not queue.settle(row, at=at, state=State.DONE):
                raise queue.NoLongerOurs
        fault("after_fact")
    except queue.NoLongerOurs:
        log.info("a job went on elsewhere", extra={"job": str(row.pk)})
    except Exception as error:
        log.exception("a job failed: %s", row.kind)
        _fact_failed(turn, row, error)


def _fact_failed(turn: Turn, row: Job, error: Exception) -> None:
    at = turn.clock()
    words = f"{type(error).__name__}: {error}"
    with transaction.atomic():
        is_last = row.attempts >= queue.TRIES_OF_A_FACT
        queue.settle(
            row,
            at=at,
            state=State.STUCK if is_last else State.AGAIN,
            words=words,
            due_at=None if is_last else at + queue.wait_after(row.attempts),
        )
        queue.write_attempt(row, worker=turn.worker, ended_at=at, outcome="failed", reply=words)


def _run_messages(turn: Turn) -> int:
    at = turn.clock()
    probe = queue.probe_only(SERVER, at=at)
    if probe is False:
        return 0
    most = 1 if probe else BATCH_MESSAGES
    rows = queue.take(most, at=at, worker=turn.worker, is_message=True)
    fault("after_take")
    if not rows:
        return 0
    with ExitStack() as posts:
        opened: dict[str, Post] = {}
        for row in rows:
            if turn.is_over or queue.probe_only(SERVER, at=turn.clock()) is False:
                queue.give_back(row)
                continue
            _run_message(turn, row, posts, opened)
    return len(rows)


def _run_message(turn: Turn, row: Job, posts: ExitStack, opened: dict[str, Post]) -> None:
    kind = turn.messages.get(row.kind)
    at = turn.clock()
    if kind is None:
        queue.settle(row, at=at, state=State.REFUSED, words=f"Nobody sends {row.kind}.")
        return
    try:
        with transaction.atomic():
            ready = kind.prepare(row.details, at=at)
            if not isinstance(ready, Ready):
                _not_now(row, kind, ready, at)
                return
    except Exception as error:
        log.exception("a message could not be made ready: %s", row.kind)
        _message_failed(turn, row, kind, error)
        return
    if not queue.start(row, at=turn.clock()):
        return
    fault("after_start")
    turn.ran += 1
    sent = _send(turn, row, kind, ready, posts, opened)
    fault("before_settle")
    _settle_message(turn, row, kind, sent)
    fault("after_settle")


def _send(
    turn: Turn,
    row: Job,
    kind: MessageKind,
    ready: Ready,
    posts: ExitStack,
    opened: dict[str, Post],
) -> Sent:
    begun = _boot_clock()

    def still_ours() -> bool:
        """Asked just before the point of no return: half the lease must be left."""
        return _boot_clock() - begun < queue.LEASE.total_seconds() / 2

    try:
        if row.kind not in opened:
            opened[row.kind] = posts.enter_context(kind.open_post())
        return opened[row.kind].send(ready, still_ours=still_ours)
    except Exception as error:
        log.exception("sending failed: %s", row.kind)
        return Sent("again", "", reply=f"{type(error).__name__}: {error}")


def _settle_message(turn: Turn, row: Job, kind: MessageKind, sent: Sent) -> None:
    """Write down how the try ended. Unsure stays under way: the sweep decides by its policy."""
    at = turn.clock()
    queue.write_attempt(
        row,
        worker=turn.worker,
        ended_at=at,
        outcome=sent.result,
        phase=sent.phase,
        code=sent.code,
        reply=sent.reply,
    )
    if sent.result == "unsure":
        queue.note_unsure(row, words=sent.reply)
        return
    said = {"code": sent.code, "words": sent.reply}
    if sent.result == "no_server":
        until = queue.server_failed(SERVER, at=at, words=sent.reply)
        queue.settle(row, at=at, state=State.AGAIN, due_at=until, counts=False, **said)
        return
    queue.server_answers(SERVER)
    if sent.result == "again":
        due_at = at + queue.wait_after(row.attempts)
        queue.settle(row, at=at, state=State.AGAIN, due_at=due_at, **said)
        return
    state = State.SENT if sent.result == "sent" else State.REFUSED
    with transaction.atomic():
        if queue.settle(row, at=at, state=state, **said):
            kind.settled(row.details, at=at, state=state)


def _not_now(row: Job, kind: MessageKind, ready: Ended | Later, at: datetime) -> None:
    if isinstance(ready, Later):
        queue.settle(row, at=at, state=State.WAITING, due_at=ready.due_at, words=ready.words)
    elif queue.settle(row, at=at, state=ready.state, words=ready.words):
        kind.settled(row.details, at=at, state=ready.state)


def _message_failed(turn: Turn, row: Job, kind: MessageKind, error: Exception) -> None:
    """It could not even be written: nothing went out. After five tries a person must look."""
    at = turn.clock()
    if not queue.start(row, at=at):
        return
    words = f"{type(error).__name__}: {error}"
    queue.write_attempt(row, worker=turn.worker, ended_at=at, outcome="failed", reply=words)
    if row.attempts >= queue.TRIES_OF_A_FACT:
        queue.settle(row, at=at, state=State.REFUSED, words=words)
    else:
        due_at = at + queue.wait_after(row.attempts)
        queue.settle(row, at=at, state=State.AGAIN, due_at=due_at, words=words)


def _boot_clock() -> float:
    """Seconds that also run while the machine sleeps, where it has such a clock."""
    which: Any = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)
    return time.clock_gettime(which)
