"""Which rows may be taken now: due, not over, not held back."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import Q, QuerySet

from jobs.models import CAN_BE_TAKEN, Job, Pause

MESSAGES = "messages"
LONG = "long"


def due_rows(
    *, at: datetime, is_message: bool, long: bool = False, only: Collection[str] = ()
) -> QuerySet[Job]:
    """What may be taken now: due, not over, not held back."""
    due = Job.objects.filter(state__in=CAN_BE_TAKEN, due_at__lte=at, is_message=is_message)
    due = due.filter(Q(expires_at__isnull=True) | Q(expires_at__gt=at))
    due = due.filter(lane=LONG) if long else due.exclude(lane=LONG)
    if only:
        due = due.filter(kind__in=only)
    held = list(Pause.objects.filter(ended_at__isnull=True).values_list("what", flat=True))
    if not held:
        return due
    if is_message and MESSAGES in held:
        return due.none()
    lanes = [what.removeprefix("lane:") for what in held if what.startswith("lane:")]
    rows = [what for what in held if len(what) == 36 and what.count("-") == 4]
    return due.exclude(kind__in=held).exclude(lane__in=lanes).exclude(pk__in=rows)
