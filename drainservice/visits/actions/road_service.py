"""The road service's breaker: after three failures within a minute it is left alone for five."""

from datetime import datetime, timedelta

from django.db import transaction

from drainservice.bounds import LINE
from drainservice.visits.models import RoadService

WITHIN = timedelta(seconds=60)
MOST_FAILURES = 3
REST = timedelta(minutes=5)


def shut_until(at: datetime) -> datetime | None:
    """Until when the service is left alone; None: it may be asked."""
    row = RoadService.objects.first()
    if row is None or row.shut_until is None or row.shut_until <= at:
        return None
    return row.shut_until


@transaction.atomic
def service_failed(*, at: datetime, words: str) -> datetime | None:
    """Count a failure. Answers until when the service is left alone now, if it is."""
    row, _ = RoadService.objects.select_for_update().get_or_create(pk=1)
    is_first = row.first_failed_at is None or at - row.first_failed_at > WITHIN
    failures = 1 if is_first else row.failures + 1
    until = at + REST if failures >= MOST_FAILURES else None
    RoadService.objects.filter(pk=1).update(
        failures=failures,
        first_failed_at=at if is_first else row.first_failed_at,
        shut_until=until,
        last_words=words[:LINE],
    )
    return until


def service_answers(*, words: str = "") -> None:
    """It answered: earlier failures no longer count. `words` tell of what was refused, if any."""
    RoadService.objects.update_or_create(
        pk=1,
        defaults={
            "failures": 0,
            "first_failed_at": None,
            "shut_until": None,
            "last_words": words[:LINE],
        },
    )
