"""A server that does not answer is left alone for a while; then one message tries it."""

from datetime import datetime, timedelta

from django.db.models import F

from jobs.models import Breaker

FIRST_REST = timedelta(seconds=15)
LONGEST_REST = timedelta(minutes=15)


def server_failed(lane: str, *, at: datetime, words: str) -> datetime:
    """Open the breaker; each failure in a row doubles the rest. Answers until when."""
    Breaker.objects.bulk_create([Breaker(lane=lane)], ignore_conflicts=True)
    Breaker.objects.filter(lane=lane).update(failures=F("failures") + 1)
    failures = Breaker.objects.get(lane=lane).failures
    until: datetime = at + min(LONGEST_REST, FIRST_REST * 2 ** min(failures - 1, 8))
    Breaker.objects.filter(lane=lane).update(open_until=until, last_error=words[:1000])
    return until


def server_answers(lane: str) -> None:
    """Close the breaker."""
    if Breaker.objects.filter(lane=lane, failures__gt=0).exists():
        Breaker.objects.filter(lane=lane).update(failures=0, open_until=None)


def probe_only(lane: str, *, at: datetime) -> bool | None:
    """None: the server is well. False: leave it alone. True: one message may try."""
    breaker = Breaker.objects.filter(lane=lane, failures__gt=0).first()
    if breaker is None or breaker.open_until is None:
        return None
    return breaker.open_until <= at
