"""Sending what is due to people: made ready, started, sent, settled, one after the other."""

import logging
from contextlib import ExitStack
from datetime import datetime

from django.db import transaction

from jobs import breakers, clocks, settling, taking
from jobs.faults import fault
from jobs.models import Heartbeat, Job, State
from jobs.outcome import Ended, Later, MessageKind, Post, Ready, Sent
from jobs.turn import Turn

log = logging.getLogger("jobs")
BATCH = 25
# One relay takes all our mail: its breaker has one name.
SERVER = "mail"


class NoLongerOurs(Exception):
    """The lease ran out while the message was made ready; nothing of it is kept."""


def run_messages(turn: Turn) -> int:
    """Take a batch and send it by one connection. Answers how many rows were seen."""
    at = turn.clock()
    probe = breakers.probe_only(SERVER, at=at)
    if probe is False:
        return 0
    rows = taking.take(1 if probe else BATCH, at=at, worker=turn.worker, is_message=True)
    if not rows:
        return 0
    fault("after_take")
    Heartbeat.objects.filter(worker=turn.worker).update(took_at=at)
    with ExitStack() as posts:
        opened: dict[str, Post] = {}
        for number, row in enumerate(rows):
            # The breaker is asked again, since the row before may have opened it.
            is_shut = number and breakers.probe_only(SERVER, at=turn.clock()) is False
            if turn.is_over or is_shut:
                taking.give_back(row)
            else:
                _run_message(turn, row, posts, opened)
    return len(rows)


def _run_message(turn: Turn, row: Job, posts: ExitStack, opened: dict[str, Post]) -> None:
    kind = turn.messages.get(row.kind)
    at = turn.clock()
    if kind is None:
        settling.settle(row, at=at, state=State.REFUSED, words=f"Nobody sends {row.kind}.")
        return
    if not taking.begin(row, at=at):
        return
    turn.ran += 1
    begun_s = clocks.boot_s()
    ready = _make_ready(turn, row, kind)
    if ready is None:
        return
    fault("after_start")
    sent = _send(row, kind, ready, posts, opened, begun_s=begun_s)
    fault("before_settle")
    _settle(turn, row, kind, sent)
    fault("after_settle")


def _make_ready(turn: Turn, row: Job, kind: MessageKind) -> Ready | None:
    """Rendered, kept and started in one transaction; None where it does not go out now."""
    at = turn.clock()
    try:
        with transaction.atomic():
            ready = kind.prepare(row.pk, at=at)
            fault("in_render")
            if not isinstance(ready, Ready):
                _not_now(row, kind, ready, at)
                return None
            if not taking.start_sending(row, at=turn.clock()):
                raise NoLongerOurs
            return ready
    except NoLongerOurs:
        log.info("a message went on elsewhere", extra={"job": str(row.pk)})
    except Exception as error:
        log.exception("a message could not be made ready: %s", row.kind)
        settling.settle_failed(
            row, at=turn.clock(), worker=turn.worker, error=error, last=State.REFUSED
        )
    return None


def _not_now(row: Job, kind: MessageKind, ready: Ended | Later, at: datetime) -> None:
    if isinstance(ready, Later):
        waits = State.AGAIN if row.unsure_count else State.WAITING
        settling.settle(
            row, at=at, state=waits, due_at=ready.due_at, words=ready.words, counts=False
        )
        return
    # A copy that may have gone out before is not unsaid by ending the row.
    state = State.UNSURE if row.unsure_count else State(ready.state)
    if settling.settle(row, at=at, state=state, words=ready.words, counts=False):
        kind.settled(row.pk, at=at, state=state, sent=None)


def _send(
    row: Job,
    kind: MessageKind,
    ready: Ready,
    posts: ExitStack,
    opened: dict[str, Post],
    *,
    begun_s: float,
) -> Sent:
    half_s = taking.LEASE.total_seconds() / 2

    def still_ours() -> bool:
        """Asked just before the final dot. Counted from before the start, by a clock that runs
        on while the process is frozen: half the lease is left for the reply."""
        return clocks.boot_s() - begun_s < half_s

    try:
        if row.kind not in opened:
            opened[row.kind] = posts.enter_context(kind.open_post())
        return opened[row.kind].send(ready, still_ours=still_ours)
    except Exception as error:
        # A fault of our own, we know not where: whether it went out is not known either.
        log.exception("sending failed: %s", row.kind)
        return Sent("unsure", "", reply=f"{type(error).__name__}: {error}")


def _settle(turn: Turn, row: Job, kind: MessageKind, sent: Sent) -> None:
    """Write down how the try ended. Unsure stays under way: the sweep decides by its policy."""
    at = turn.clock()
    with transaction.atomic():
        settling.write_attempt(
            row,
            worker=turn.worker,
            ended_at=at,
            outcome=sent.result,
            phase=sent.phase,
            code=sent.code,
            reply=sent.reply,
        )
        if sent.result == "unsure":
            settling.note_unsure(row, words=sent.reply)
        elif sent.result == "no_server":
            until = breakers.server_failed(SERVER, at=at, words=sent.reply)
            _again(row, sent, at=at, due_at=until, counts=False)
        elif sent.result == "again":
            breakers.server_answers(SERVER)
            _again(row, sent, at=at, due_at=at + settling.wait_after(row.attempts), counts=True)
        else:
            breakers.server_answers(SERVER)
            _ended(row, kind, sent, at=at)


def _again(row: Job, sent: Sent, *, at: datetime, due_at: datetime, counts: bool) -> None:
    settling.settle(
        row,
        at=at,
        state=State.AGAIN,
        due_at=due_at,
        counts=counts,
        code=sent.code,
        words=sent.reply,
    )


def _ended(row: Job, kind: MessageKind, sent: Sent, *, at: datetime) -> None:
    state = State.SENT if sent.result == "sent" else State.REFUSED
    is_settled = settling.settle(row, at=at, state=state, code=sent.code, words=sent.reply)
    if not is_settled and state == State.SENT:
        is_settled = settling.settle_late(row, at=at, code=sent.code, words=sent.reply)
    if is_settled:
        kind.settled(row.pk, at=at, state=state, sent=sent)
