"""Leaving one row for each message: what, to whom, when, and until when it is of use."""

from collections.abc import Collection
from datetime import datetime, time, timedelta
from typing import Any

from django.conf import settings

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.reminders.models import Reminder
from drainservice.reminders.queries.recipients import Recipient
from drainservice.reminders.queries.standing import next_allowed
from drainservice.visits.models import Visit
from jobs import queue
from jobs.queries import CAN_BE_TAKEN

WANTED = "reminder.wanted"
IN_THE_MORNING = time(8, 0)


def want(
    recipient: Recipient,
    *,
    use: str,
    asker: Asker,
    visit: Visit | None = None,
    sequence: int | None = None,
    about: dict[str, Any] | None = None,
    due_at: datetime | None = None,
    expires_at: datetime | None = None,
) -> Reminder | None:
    """One message to one person by one address, in the caller's transaction.

    The same one twice is the one that stands. None where its time is over already.
    """
    if expires_at is not None and expires_at <= asker.at:
        return None
    what = [str(part) for part in (about or {}).values()]
    number = "" if sequence is None else str(sequence)
    parts = [visit.pk if visit else "", use, number, *what, recipient.person.pk]
    address = recipient.channel.address
    row = queue.put(
        WANTED,
        key=":".join(str(part) for part in [*parts, recipient.channel.pk]),
        at=asker.at,
        due_at=max(due_at or asker.at, asker.at),
        expires_at=expires_at,
        lane=address.rpartition("@")[2].lower(),
        is_message=True,
    )
    reminder, _ = Reminder.objects.get_or_create(
        job_id=row.pk,
        defaults={
            "id": row.pk,
            "person": recipient.person,
            "channel": recipient.channel,
            "address": address,
            "use": use,
            "visit": visit,
            "sequence": sequence,
            "about": about or {},
            "message_id": f"<{row.pk}@{settings.MAIL_DOMAIN}>",
        },
    )
    return reminder


def morning_before(visit: Visit, days: int, recipient: Recipient) -> datetime:
    """So many days before the visit at 8:00 on the site's clock, or the first hour after it at
    which the household may be written to."""
    assert visit.day is not None
    zone = visit.site.zone
    at = wall.instant(visit.day - timedelta(days=days), IN_THE_MORNING, zone)
    return next_allowed(recipient.household, accounts.the_firm(), zone, at=at)


def overtake_earlier(
    visit: Visit, *, asker: Asker, words: str, but: Collection[str] = (), only: Collection[str] = ()
) -> int:
    """End the visit's messages that wait, except those of some uses. Answers how many."""
    waiting = Reminder.objects.filter(visit=visit, job__state__in=CAN_BE_TAKEN).exclude(use__in=but)
    if only:
        waiting = waiting.filter(use__in=only)
    ids = list(waiting.values_list("job_id", flat=True))
    return queue.overtake_ids(ids, at=asker.at, words=words)
