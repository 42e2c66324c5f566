"""The sweep: free what a dead worker left behind, end what is over."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F, QuerySet

from jobs.models import CAN_BE_TAKEN, Heartbeat, Job, State
from jobs.settling import MOST_TRIES

# Copies risked of a message that may have gone out: with the first, three at most.
UNSURE_COPIES = 2
HEARTBEATS_KEPT = timedelta(days=1)
KILLED = "The worker stopped in the middle of it, time after time; someone must look."
THRICE = "Sent, without a receipt, three times; someone must look."


def sweep(*, at: datetime) -> int:
    """Answers how many rows were moved.

    A lease that is over: what never began to send waits again, and after so many starts without a
    result a person must look. What may have gone out is tried with the same octets at most twice
    more. Rows that nobody took before they expired are too late.
    """
    over = Job.objects.filter(taken_until__lt=at)
    taken = over.filter(state=State.TAKEN)
    kills = taken.filter(open_starts__gte=MOST_TRIES)
    sending = over.filter(state=State.SENDING)
    expired = Job.objects.filter(state__in=CAN_BE_TAKEN, expires_at__lte=at)
    free: dict[str, Any] = {"token": "", "taken_until": None}
    end: dict[str, Any] = {"done_at": at} | free
    moved = (
        _move(kills.filter(is_message=True), state=State.REFUSED, last_error=KILLED, **end)
        + _move(kills.filter(is_message=False), state=State.STUCK, last_error=KILLED, **end)
        + _move(taken.filter(attempts=0), state=State.WAITING, **free)
        + _move(taken, state=State.AGAIN, **free)
        + _move(
            sending.filter(unsure_count__gte=UNSURE_COPIES),
            state=State.UNSURE,
            last_error=THRICE,
            **end,
        )
        + _move(sending, state=State.AGAIN, unsure_count=F("unsure_count") + 1, due_at=at, **free)
        + _move(expired.filter(unsure_count=0), state=State.TOO_LATE, done_at=at)
        + _move(expired, state=State.UNSURE, done_at=at)
    )
    gone = Heartbeat.objects.filter(ticked_at__lt=at - HEARTBEATS_KEPT)
    if gone.exists():
        gone.delete()
    return moved


def _move(rows: QuerySet[Job], **new: Any) -> int:
    """Update rows nobody else holds at this moment. The condition is asked again under the lock:
    a row that was settled or taken anew in between is left alone."""
    if not rows.exists():
        return 0
    with transaction.atomic():
        ids = list(rows.select_for_update(skip_locked=True).values_list("pk", flat=True))
        return Job.objects.filter(pk__in=ids).update(**new)
