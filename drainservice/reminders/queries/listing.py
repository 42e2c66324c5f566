"""Messages as the office sees them: what goes out when, what failed, what is held, who to ring."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, NotFound
from drainservice.reminders.models import Reminder
from jobs import queries as jobs
from jobs.queries import CAN_BE_TAKEN, NEEDS_A_PERSON, UNDER_WAY, State

COMING = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Hour:
    """What goes out within an hour of the firm's clock."""

    begins_at: datetime
    reminders: list[Reminder]


def reminders_for(asker: Asker) -> QuerySet[Reminder]:
    """Every message, for the office. Errors: NotFound for anyone else."""
    if not asker.is_office:
        raise NotFound
    return Reminder.objects.select_related(
        "job", "person", "channel", "visit__site", "visit__technician__person"
    )


def reminder_for(asker: Asker, reminder_id: UUID | str) -> Reminder:
    """One message. Errors: NotFound, the same for missing and foreign."""
    try:
        found = reminders_for(asker).filter(pk=reminder_id).first()
    except (ValueError, TypeError, ValidationError):
        raise NotFound from None
    if found is None:
        raise NotFound
    return found


def _listed(asker: Asker) -> QuerySet[Reminder]:
    """The same for a list, which shows no octets: they may be long."""
    return reminders_for(asker).defer("octets")


def coming(asker: Asker, *, within: timedelta = COMING, most: int = 500) -> list[Hour]:
    """What goes out in the next days, by the hour of the firm's clock."""
    waiting = _listed(asker).filter(
        job__state__in=[*CAN_BE_TAKEN, *UNDER_WAY], job__due_at__lte=asker.at + within
    )
    firm = accounts.firm()
    zone = firm.zone if firm is not None else "UTC"
    hours: dict[datetime, list[Reminder]] = {}
    for reminder in waiting.order_by("job__due_at", "pk")[:most]:
        here = wall.local(max(reminder.job.due_at, asker.at), zone)
        begins_at = here.replace(minute=0, second=0, microsecond=0)
        hours.setdefault(begins_at, []).append(reminder)
    return [Hour(begins_at, found) for begins_at, found in hours.items()]


def failed(asker: Asker, *, most: int = 200) -> list[Reminder]:
    """What needs a person, newest first."""
    found = _listed(asker).filter(job__state__in=NEEDS_A_PERSON)
    return list(found.order_by("-job__done_at", "pk")[:most])


def held(asker: Asker) -> list[Reminder]:
    """Single messages that are held back."""
    ids = [pause.what for pause in jobs.pauses() if len(pause.what) == 36]
    found = _listed(asker).filter(job_id__in=ids, job__state__in=CAN_BE_TAKEN)
    return list(found.order_by("job__due_at", "pk"))


def is_held(reminder: Reminder) -> bool:
    """Whether this very message is held back."""
    return any(pause.what == str(reminder.job_id) for pause in jobs.pauses())


def recent(asker: Asker, *, most: int = 100) -> list[Reminder]:
    """What ended last, newest first."""
    found = _listed(asker).filter(job__done_at__isnull=False)
    return list(found.order_by("-job__done_at", "pk")[:most])


def mailbox(asker: Asker, *, most: int = 200) -> list[Reminder]:
    """Mails kept here instead of sent, newest first."""
    kept = _listed(asker).filter(kept_here=True, job__state=State.SENT)
    return list(kept.order_by("-job__done_at", "pk")[:most])


def reminders_of_visits(asker: Asker, visit_ids: Iterable[int]) -> QuerySet[Reminder]:
    """All messages about some visits, oldest first."""
    found = _listed(asker).filter(visit_id__in=list(visit_ids))
    return found.order_by("job__made_at", "pk")
