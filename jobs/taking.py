"""Taking rows: claimed under a lease, begun with the try counted, and let go where time is up."""

import secrets
from collections.abc import Collection
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import F

from jobs.due import LONG, due_rows
from jobs.models import Job, State

# A lease outlives the longest single try: 60 s to reach the final dot and 55 s to await the reply.
LEASE = timedelta(seconds=120)
LONG_LEASE = timedelta(minutes=30)


def lease_of(row: Job) -> timedelta:
    """How long a row stays with whoever took it."""
    return LONG_LEASE if row.lane == LONG else LEASE


def take(
    most: int,
    *,
    at: datetime,
    worker: str,
    is_message: bool,
    long: bool = False,
    only: Collection[str] = (),
) -> list[Job]:
    """Claim what is due, oldest first; nobody else gets the same rows."""
    due = due_rows(at=at, is_message=is_message, long=long, only=only)
    # Looked at first without a lock: SQLite has one writer, and mostly nothing is due.
    if not due.exists():
        return []
    lease = LONG_LEASE if long else LEASE
    with transaction.atomic():
        chosen = due.select_for_update(skip_locked=True).order_by("due_at", "id")
        ids = list(chosen.values_list("pk", flat=True)[:most])
        Job.objects.filter(pk__in=ids).update(
            state=State.TAKEN,
            token=secrets.token_hex(16),
            taken_by=worker,
            taken_until=at + lease,
        )
        return list(Job.objects.filter(pk__in=ids).order_by("due_at", "id"))


def begin(row: Job, *, at: datetime) -> bool:
    """Count the try before anything is done. False: the lease ran out or someone else has it."""
    begun = Job.objects.filter(
        pk=row.pk, token=row.token, state=State.TAKEN, taken_until__gt=at
    ).update(
        attempts=F("attempts") + 1,
        open_starts=F("open_starts") + 1,
        started_at=at,
        taken_until=at + lease_of(row),
    )
    if begun:
        row.attempts += 1
        row.open_starts += 1
        row.started_at = at
        row.taken_until = at + lease_of(row)
    return bool(begun)


def start_sending(row: Job, *, at: datetime) -> bool:
    """From here on the message may have gone out. False: it is no longer ours."""
    mine = Job.objects.filter(pk=row.pk, token=row.token, state=State.TAKEN, taken_until__gt=at)
    begun = mine.update(state=State.SENDING, taken_until=at + LEASE)
    if begun:
        row.state = State.SENDING
        row.taken_until = at + LEASE
    return bool(begun)


def give_back(row: Job) -> None:
    """Let go of a row that was taken and not begun."""
    Job.objects.filter(pk=row.pk, token=row.token, state=State.TAKEN).update(
        state=State.AGAIN if row.attempts else State.WAITING, token="", taken_until=None
    )
