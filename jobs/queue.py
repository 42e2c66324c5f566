"""The writers' side of the queue: leave a note in the transaction of the change itself."""

import itertools
import secrets
import uuid
from contextlib import AbstractContextManager
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs import wake
from jobs.due import LONG
from jobs.models import CAN_BE_TAKEN, Job, Pause, State

_COUNTER = itertools.count()


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
        # Locked, so that nobody takes it and reads before this transaction is committed.
        waiting = Job.objects.select_for_update().filter(
            kind=kind, key__startswith=folds_into, state=State.WAITING
        )
        found = waiting.order_by("due_at", "id").first()
        if found is not None:
            return found
    row = new_row(
        kind,
        key=key,
        at=at,
        due_at=due_at or at,
        expires_at=expires_at,
        lane=lane,
        is_message=is_message,
        **details,
    )
    Job.objects.bulk_create([row], ignore_conflicts=True)
    if row.due_at <= at:
        wake.after_commit(long=lane == LONG)
    return Job.objects.get(kind=kind, key=key)


def new_row(
    kind: str,
    *,
    key: str,
    at: datetime,
    due_at: datetime,
    expires_at: datetime | None = None,
    lane: str = "",
    is_message: bool = False,
    **details: Any,
) -> Job:
    """An unsaved row for `put_many`."""
    return Job(
        id=_uuid7(at),
        kind=kind,
        key=key,
        lane=lane[:100],
        is_message=is_message,
        details=details,
        made_at=at,
        due_at=due_at,
        expires_at=expires_at,
    )


def put_many(rows: list[Job]) -> None:
    """Many rows at once, in the order in which they fall due."""
    rows.sort(key=lambda row: (row.due_at, row.id))
    Job.objects.bulk_create(rows, ignore_conflicts=True, batch_size=500)
    wake.after_commit()


def overtake(*, kind: str, keys: list[str], at: datetime, words: str) -> int:
    """End rows that no longer hold, unless they are under way. Answers how many."""
    return _overtake(list(Job.objects.filter(kind=kind, key__in=keys)), at, words)


def overtake_ids(ids: list[uuid.UUID], *, at: datetime, words: str) -> int:
    """The same, by row."""
    return _overtake(list(Job.objects.filter(id__in=ids)), at, words)


def _overtake(rows: list[Job], at: datetime, words: str) -> int:
    # What may already have gone out goes on until we know: it is not undone by our saying so.
    open_rows = Job.objects.filter(
        pk__in=[row.pk for row in rows], state__in=CAN_BE_TAKEN, unsure_count=0
    )
    return open_rows.update(state=State.OVERTAKEN, done_at=at, last_error=words[:1000])


def forget(group: str) -> int:
    """Take back what an undone act announced and nobody has read yet; its key is free again."""
    waiting = Job.objects.filter(state=State.WAITING, is_message=False, details__group=group)
    return waiting.delete()[0]


@transaction.atomic
def send_again(row_id: uuid.UUID, *, at: datetime) -> bool:
    """A person asks for a try now: of what waits, or ended unsure, refused, too late or stuck."""
    open_to_it = [
        *CAN_BE_TAKEN,
        State.UNSURE,
        State.REFUSED,
        State.STUCK,
        State.TOO_LATE,
    ]
    back = Job.objects.filter(pk=row_id, state__in=open_to_it).update(
        state=State.AGAIN,
        due_at=at,
        done_at=None,
        attempts=0,
        open_starts=0,
        unsure_count=0,
        expires_at=None,
        last_error="",
        last_code="",
    )
    wake.after_commit()
    return bool(back)


def hold_back(what: str, *, who: str, why: str, at: datetime) -> None:
    """Pause "messages", a kind, a lane ("lane:example.com") or one row by its id."""
    Pause.objects.get_or_create(
        what=what, ended_at=None, defaults={"who": who, "why": why[:200], "since_at": at}
    )


def let_go(what: str, *, who: str, at: datetime) -> int:
    """End a pause."""
    ended = Pause.objects.filter(what=what, ended_at__isnull=True).update(ended_at=at, ended_by=who)
    wake.after_commit()
    return ended


def without_waking() -> AbstractContextManager[None]:
    """Within, notes are left and nobody is woken: the next tick finds them."""
    return wake.asleep()


def clear_out(*, before: datetime) -> int:
    """Remove facts that were done long ago; what failed, and all messages, stay."""
    old = Job.objects.filter(is_message=False, state=State.DONE, done_at__lt=before)
    return old.delete()[0]


def _uuid7(at: datetime) -> uuid.UUID:
    """RFC 9562 version 7: 48 bits of milliseconds, a counter of 12, and 62 random ones.

    By the counter (6.2, method 1) rows of one moment keep the order in which they were put.
    """
    counted = next(_COUNTER) & 0xFFF
    head = int(at.timestamp() * 1000) << 16 | 0x7 << 12 | counted
    return uuid.UUID(int=head << 64 | 0x2 << 62 | secrets.randbits(62))
