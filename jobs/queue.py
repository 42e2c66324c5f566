"""The queue: put, take, start, settle, sweep. The row is the memory; Celery only wakes it."""

import random
import secrets
import time
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models import F

from jobs import wake
from jobs.models import CAN_BE_TAKEN, UNDER_WAY, Attempt, Breaker, Job, Pause, State

LEASE = timedelta(seconds=60)
TRIES_OF_A_FACT = 5
UNSURE_COPIES = 2
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=1)


class NoLongerOurs(Exception):
    """The lease ran out and someone else has the row; what was done here is rolled back."""


def put(
    kind: str,
    *,
    key: str,
    at: datetime,
    due_at: datetime | None = None,
    expires_at: datetime | None = None,
    lane: str = "",
    is_message: bool = False,
    folds_into: str = "",
    **details: Any,
) -> Job:
    """Remember to do something, in the caller's transaction. The same kind and key adds nothing.

    `details` hold ids only. With `folds_into`, a row of the kind that still waits and whose key
    begins so stands for this fact too. Answers the row that stands for it.
    """
    if folds_into:
        # Locked, so that nobody claims it and reads before this transaction is committed.
        waiting = Job.objects.select_for_update().filter(
            kind=kind, key__gte=folds_into, key__lt=folds_into + "\U0010ffff", state=State.WAITING
        )
        found = waiting.first()
        if found is not None:
            return found
    row = Job(
        id=_uuid7(at),
        kind=kind,
        key=key,
        lane=lane,
        is_message=is_message,
        details=details,
        made_at=at,
        due_at=due_at or at,
        expires_at=expires_at,
    )
    Job.objects.bulk_create([row], ignore_conflicts=True)
    if row.due_at <= at:
        wake.after_commit()
    return Job.objects.get(kind=kind, key=key)


def put_many(rows: list[Job]) -> None:
    """Many rows at once, in the order in which they fall due."""
    rows.sort(key=lambda row: (row.due_at, row.id))
    Job.objects.bulk_create(rows, ignore_conflicts=True, batch_size=500)
    wake.after_commit()


def new_row(kind: str, *, key: str, at: datetime, due_at: datetime, **details: Any) -> Job:
    """A fact's row for `put_many`."""
    return Job(id=_uuid7(at), kind=kind, key=key, details=details, made_at=at, due_at=due_at)


def overtake(*, kind: str, keys: list[str], at: datetime, words: str) -> int:
    """End rows that no longer hold, unless they are under way. Answers how many."""
    return Job.objects.filter(kind=kind, key__in=keys, state__in=CAN_BE_TAKEN).update(
        state=State.OVERTAKEN, done_at=at, last_error=words[:1000]
    )


def overtake_ids(ids: list[uuid.UUID], *, at: datetime, words: str) -> int:
    """The same, by row."""
    return Job.objects.filter(id__in=ids, state__in=CAN_BE_TAKEN).update(
        state=State.OVERTAKEN, done_at=at, last_error=words[:1000]
    )


@transaction.atomic
def take(
    most: int, *, at: datetime, worker: str, is_message: bool, long: bool = False
) -> list[Job]:
    """Claim what is due, oldest first; nobody else gets the same rows.

    Paused kinds stay. A lane whose breaker is open stays, but for one row that probes it.
    """
    due = Job.objects.filter(state__in=CAN_BE_TAKEN, due_at__lte=at, is_message=is_message)
    due = due.filter(lane="long") if long else due.exclude(lane="long")
    paused = set(Pause.objects.filter(ended_at__isnull=True).values_list("what", flat=True))
    if is_message and "messages" in paused:
        return []
    due = due.exclude(kind__in=paused)
    chosen = due.select_for_update(skip_locked=True).order_by("due_at", "id")
    ids = list(chosen.values_list("pk", flat=True)[:most])
    if not ids:
        return []
    token = secrets.token_hex(16)
    Job.objects.filter(pk__in=ids).update(
        state=State.TAKEN, token=token, taken_by=worker, taken_until=at + LEASE
    )
    return list(Job.objects.filter(pk__in=ids).order_by("due_at", "id"))


def start(row: Job, *, at: datetime) -> bool:
    """Count the try before its side effect. False: the lease ran out or someone else has it."""
    begun = Job.objects.filter(
        pk=row.pk, token=row.token, state=State.TAKEN, taken_until__gt=at
    ).update(
        state=State.SENDING,
        attempts=F("attempts") + 1,
        started_at=at,
        taken_until=at + LEASE,
    )
    if begun:
        row.attempts += 1
        row.started_at = at
        row.state = State.SENDING
        row.taken_until = at + LEASE
    return bool(begun)


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
    """Write down how a row under way ended or when it is tried again.

    False: the row is no longer ours, and nothing was written.
    """
    ended = state not in {State.WAITING, State.AGAIN}
    new: dict[str, Any] = {
        "state": state,
        "done_at": at if ended else None,
        "token": "",
        "taken_until": None,
        "last_code": code[:20],
        "last_error": words[:1000],
    }
    if due_at is not None:
        new["due_at"] = due_at
    if not counts and row.state == State.SENDING:
        new["attempts"] = F("attempts") - 1
    mine = Job.objects.filter(pk=row.pk, token=row.token, state__in=UNDER_WAY)
    return bool(mine.update(**new))


def give_back(row: Job) -> None:
    """Let go of a row that was taken and not started."""
    Job.objects.filter(pk=row.pk, token=row.token, state=State.TAKEN).update(
        state=State.WAITING if not row.attempts else State.AGAIN, token="", taken_until=None
    )


def note_unsure(row: Job, *, words: str) -> None:
    """The final dot was sent and no reply came: the row stays under way until its lease is over,
    and the sweep decides whether a copy is risked."""
    Job.objects.filter(pk=row.pk, token=row.token, state=State.SENDING).update(
        last_error=words[:1000]
    )


def forget(group: str) -> int:
    """Take back what an undone act announced and nobody has read yet."""
    waiting = Job.objects.filter(state=State.WAITING, details__group=group)
    return waiting.delete()[0]


def write_attempt(row: Job, *, worker: str, ended_at: datetime, outcome: str, **said: str) -> None:
    """Add one line to the row's record of tries."""
    Attempt.objects.create(
        job=row,
        number=row.attempts,
        worker=worker,
        started_at=row.started_at or ended_at,
        ended_at=ended_at,
        outcome=outcome[:10],
        phase=said.get("phase", "")[:20],
        code=said.get("code", "")[:20],
        reply=said.get("reply", "")[:1000],
    )


def sweep(*, at: datetime) -> int:
    """Free rows whose lease is over: what never started waits again; what may have gone out is
    tried with the same octets at most twice more, and then left to a person."""
    over = Job.objects.filter(taken_until__lt=at)
    freed = over.filter(state=State.TAKEN).update(state=State.WAITING, token="", taken_until=None)
    broken = over.filter(state=State.SENDING)
    messages = broken.filter(is_message=True)
    freed += messages.filter(unsure_count__gte=UNSURE_COPIES).update(
        state=State.UNSURE,
        done_at=at,
        token="",
        taken_until=None,
        last_error="Sent, without a receipt, three times; someone must look.",
    )
    freed += messages.filter(unsure_count__lt=UNSURE_COPIES).update(
        state=State.AGAIN,
        unsure_count=F("unsure_count") + 1,
        due_at=at,
        token="",
        taken_until=None,
    )
    facts = broken.filter(is_message=False)
    freed += facts.filter(attempts__gte=TRIES_OF_A_FACT).update(
        state=State.STUCK,
        done_at=at,
        token="",
        taken_until=None,
        last_error="The worker stopped in the middle of it, time after time; someone must look.",
    )
    freed += facts.filter(attempts__lt=TRIES_OF_A_FACT).update(
        state=State.AGAIN, due_at=at, token="", taken_until=None
    )
    freed += Job.objects.filter(
        state__in=CAN_BE_TAKEN, expires_at__isnull=False, expires_at__lte=at
    ).update(state=State.TOO_LATE, done_at=at)
    return freed


def wait_after(attempts: int) -> timedelta:
    """Full jitter: anything up to a minute, doubled a try, at most an hour."""
    longest = min(LONGEST_WAIT, FIRST_WAIT * 2 ** min(attempts - 1, 10))
    return longest * (0.25 + 0.75 * random.random())


@transaction.atomic
def send_again(row_id: uuid.UUID, *, at: datetime) -> bool:
    """A person asks for another try of what ended unsure, refused, too late or stuck."""
    back = Job.objects.filter(
        pk=row_id, state__in=[State.UNSURE, State.REFUSED, State.STUCK, State.TOO_LATE, State.AGAIN]
    ).update(
        state=State.AGAIN, due_at=at, done_at=None, attempts=0, unsure_count=0, expires_at=None
    )
    wake.after_commit()
    return bool(back)


def hold_back(what: str, *, who: str, why: str, at: datetime) -> None:
    """Pause a kind of job, or "messages" for all that goes to people."""
    Pause.objects.get_or_create(
        what=what, ended_at=None, defaults={"who": who, "why": why[:200], "since_at": at}
    )


def let_go(what: str, *, who: str, at: datetime) -> int:
    """End a pause."""
    ended = Pause.objects.filter(what=what, ended_at__isnull=True).update(ended_at=at, ended_by=who)
    wake.after_commit()
    return ended


def server_failed(lane: str, *, at: datetime, words: str) -> datetime:
    """Open the breaker of a mail server; each failure in a row doubles the wait, up to an hour."""
    breaker, _ = Breaker.objects.get_or_create(lane=lane)
    breaker.failures += 1
    wait = min(LONGEST_WAIT, timedelta(seconds=15) * 2 ** min(breaker.failures - 1, 8))
    breaker.open_until = at + wait
    breaker.last_error = words[:1000]
    breaker.save()
    return breaker.open_until


def server_answers(lane: str) -> None:
    """Close the breaker."""
    Breaker.objects.filter(lane=lane, failures__gt=0).update(failures=0, open_until=None)


def probe_only(lane: str, *, at: datetime) -> bool | None:
    """None: the server is well. False: wait. True: one message may try."""
    breaker = Breaker.objects.filter(lane=lane, failures__gt=0).first()
    if breaker is None or breaker.open_until is None:
        return None
    return breaker.open_until <= at


def clock() -> datetime:
    """The database's clock, by which leases are judged; for SQLite this machine's."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT clock_timestamp()")
            moment: datetime = cursor.fetchone()[0]
            return moment
    return datetime.fromtimestamp(time.time(), tz=UTC)


def _uuid7(at: datetime) -> uuid.UUID:
    """RFC 9562 version 7: 48 bits of milliseconds, then random ones."""
    value = int(at.timestamp() * 1000) << 80 | secrets.randbits(80)
    value = value & ~(0xF << 76) | 0x7 << 76
    return uuid.UUID(int=value & ~(0x3 << 62) | 0x2 << 62)
