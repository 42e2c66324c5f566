"""Settling: how a try ended, written only while the row is still ours."""

import random
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from jobs.models import CAN_BE_TAKEN, UNDER_WAY, Attempt, Job, State

MOST_TRIES = 5
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=1)


def settle(
    row: Job,
    *,
    at: datetime,
    state: str,
    code: str = "",
    words: str = "",
    due_at: datetime | None = None,
    counts: bool = True,
) -> bool:
    """Write down how a row under way ended, or when it is tried again.

    False: the row is no longer ours, and nothing was written. With `counts` false the try is
    taken off the count again.
    """
    is_open = state in CAN_BE_TAKEN
    new: dict[str, Any] = {
        "state": state,
        "done_at": None if is_open else at,
        "token": "",
        "taken_until": None,
        "open_starts": 0,
        "last_code": code[:20],
        "last_error": words[:1000],
    }
    if due_at is not None:
        new["due_at"] = due_at
    if not counts:
        new["attempts"] = F("attempts") - 1
    mine = Job.objects.filter(pk=row.pk, token=row.token, state__in=UNDER_WAY)
    return bool(row.token and mine.update(**new))


def end_facts(*, at: datetime) -> int:
    """End, without a reaction, every fact that is due and that nobody is at: what follows from
    them was written down otherwise. Answers how many."""
    waiting = Job.objects.filter(is_message=False, state__in=CAN_BE_TAKEN, due_at__lte=at)
    return waiting.update(state=State.DONE, done_at=at, open_starts=0)


def settle_late(row: Job, *, at: datetime, code: str, words: str) -> bool:
    """What surely left is sent, though its lease was over: no copy need follow.

    False: a copy is on its way already, or the row has ended otherwise.
    """
    freed = Job.objects.filter(pk=row.pk, state__in=[*CAN_BE_TAKEN, State.UNSURE])
    return bool(
        freed.update(
            state=State.SENT,
            done_at=at,
            open_starts=0,
            last_code=code[:20],
            last_error=words[:1000],
        )
    )


def note_unsure(row: Job, *, words: str) -> None:
    """The final dot was sent and no reply came: the row stays under way until its lease is over,
    and the sweep decides whether a copy is risked."""
    Job.objects.filter(pk=row.pk, token=row.token, state=State.SENDING).update(
        last_error=words[:1000]
    )


def write_attempt(
    row: Job,
    *,
    worker: str,
    ended_at: datetime,
    outcome: str,
    phase: str = "",
    code: str = "",
    reply: str = "",
) -> None:
    """Add one line to the row's record of tries."""
    Attempt.objects.create(
        job=row,
        number=row.attempts,
        worker=worker,
        started_at=row.started_at or ended_at,
        ended_at=ended_at,
        outcome=outcome[:10],
        phase=phase[:20],
        code=code[:20],
        reply=reply[:1000],
    )


def wait_after(attempts: int) -> timedelta:
    """Jitter: a quarter to the whole of a minute, doubled a try, at most an hour.

    So that many that failed together do not come back together; judgement, no source.
    """
    longest: timedelta = min(LONGEST_WAIT, FIRST_WAIT * 2 ** min(max(attempts, 1) - 1, 10))
    share: float = 0.25 + 0.75 * random.random()
    return longest * share


def settle_failed(row: Job, *, at: datetime, worker: str, error: Exception, last: State) -> None:
    """A try that broke before anything went out: again after a wait, `last` after five tries."""
    words = f"{type(error).__name__}: {error}"
    is_last = row.attempts >= MOST_TRIES
    with transaction.atomic():
        settle(
            row,
            at=at,
            state=last if is_last else State.AGAIN,
            words=words,
            due_at=None if is_last else at + wait_after(row.attempts),
        )
        write_attempt(row, worker=worker, ended_at=at, outcome="failed", reply=words)
