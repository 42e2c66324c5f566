"""What waits and why, for pages and for those who watch the machine. Reads only."""

import socket
from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from django.conf import settings
from django.db.models import Count, Max, Min, QuerySet

from jobs.due import due_rows
from jobs.models import (
    CAN_BE_TAKEN,
    ENDED,
    NEEDS_A_PERSON,
    UNDER_WAY,
    Attempt,
    Breaker,
    Heartbeat,
    Job,
    Pause,
    State,
)

__all__ = ["CAN_BE_TAKEN", "ENDED", "NEEDS_A_PERSON", "UNDER_WAY", "State", "health"]

MOST_AGE = timedelta(seconds=900)
# Steps of age taken from our own promises.
AGES = [
    ("under a minute", timedelta(minutes=1)),
    ("under an hour", timedelta(hours=1)),
    ("under a day", timedelta(days=1)),
    ("longer", timedelta.max),
]


@dataclass(frozen=True, slots=True)
class Waiting:
    """How many rows of a lane wait, overdue by which step of age."""

    lane: str
    counts: dict[str, int]

    @property
    def total(self) -> int:
        """All of the lane."""
        return sum(self.counts.values())


def is_known(kind: str, key: str) -> bool:
    """Whether this fact was put, ever."""
    return Job.objects.filter(kind=kind, key=key).exists()


def overdue(*, at: datetime) -> QuerySet[Job]:
    """Rows that should have been run by now and may be: what is held back is not overdue."""
    return due_rows(at=at, is_message=True) | due_rows(at=at, is_message=False)


def oldest_due_age_s(*, at: datetime) -> float:
    """How long the longest waiting row has been due; 0 where none is."""
    oldest = overdue(at=at).aggregate(oldest=Min("due_at"))["oldest"]
    return max(0.0, (at - oldest).total_seconds()) if oldest else 0.0


def waiting_by_age(*, at: datetime) -> list[Waiting]:
    """Overdue rows by lane and age, worst lane first: is one domain slow, or are we?"""
    lanes: dict[str, Counter[str]] = {}
    for lane, due_at in overdue(at=at).values_list("lane", "due_at").iterator():
        step = next(name for name, most in AGES if at - due_at < most)
        lanes.setdefault(lane or "facts", Counter())[step] += 1
    found = [
        Waiting(lane, {name: counts[name] for name, _ in AGES}) for lane, counts in lanes.items()
    ]
    return sorted(found, key=lambda waiting: (-waiting.total, waiting.lane))


def tick_age_s(*, at: datetime) -> float | None:
    """Seconds since any worker looked; None where none ever has."""
    last = Heartbeat.objects.aggregate(last=Max("ticked_at"))["last"]
    return (at - last).total_seconds() if last else None


def counts_by_state() -> dict[str, int]:
    """All rows by state. Every row is in one of them: the sum is the number of rows."""
    rows = Job.objects.values_list("state").annotate(number=Count("pk"))
    return dict.fromkeys(State.values, 0) | dict(rows)


def failed_jobs(*, most: int = 100) -> list[Job]:
    """What needs a person, newest first."""
    return list(Job.objects.filter(state__in=NEEDS_A_PERSON).order_by("-done_at", "-pk")[:most])


def attempts_of(row_id: UUID) -> list[Attempt]:
    """Every try at a row, oldest first."""
    return list(Attempt.objects.filter(job_id=row_id).order_by("started_at", "pk"))


def pauses() -> list[Pause]:
    """What is held back now, by whom and why."""
    return list(Pause.objects.filter(ended_at__isnull=True).order_by("since_at"))


def breaker_of(lane: str = "mail") -> Breaker | None:
    """The server's breaker where it is open."""
    return Breaker.objects.filter(lane=lane, failures__gt=0).first()


def broker_state() -> str:
    """answers, away, or none (no broker is set: the clock alone looks)."""
    url = settings.BROKER_URL
    if not url:
        return "none"
    return "answers" if _broker_answers(url) else "away"


def _broker_answers(url: str) -> bool:
    parts = urlsplit(url)
    is_socket = parts.scheme == "redis+socket"
    family = socket.AF_UNIX if is_socket else socket.AF_INET
    where: Any = parts.path if is_socket else (parts.hostname or "", parts.port or 6379)
    with socket.socket(family) as line:
        line.settimeout(0.5)
        try:
            line.connect(where)
            if parts.scheme == "rediss":
                return True
            line.sendall(b"PING\r\n")
            # A broker with a password says that it wants one: it is there all the same.
            return line.recv(64)[:1] in {b"+", b"-"}
        except OSError:
            return False


def health(*, at: datetime, max_age_s: float = MOST_AGE.total_seconds()) -> dict[str, Any]:
    """What is amiss in sentences. A broker that is away makes us slower, not ill."""
    age_s, tick_s, broker = oldest_due_age_s(at=at), tick_age_s(at=at), broker_state()
    amiss, warnings = [], []
    if tick_s is None:
        warnings.append("No worker has looked at the queue yet.")
    elif tick_s > max_age_s:
        amiss.append(f"No worker has looked at the queue for {tick_s:.0f} seconds; start one.")
    if age_s > max_age_s:
        amiss.append(f"The oldest job has waited {age_s:.0f} seconds; see what holds it up.")
    if broker == "away":
        warnings.append("The broker does not answer; the queue goes on by its own clock.")
    server = breaker_of()
    if server is not None:
        warnings.append(f"The mail server does not take mail: {server.last_error}"[:300])
    warnings += [f"{pause.what} held back by {pause.who}: {pause.why}" for pause in pauses()]
    states = counts_by_state()
    stuck = sum(states[state] for state in NEEDS_A_PERSON)
    if stuck:
        warnings.append(f"{stuck} jobs need a person.")
    return {
        "is_well": not amiss,
        "amiss": amiss,
        "warnings": warnings,
        "oldest_due_age_s": round(age_s, 1),
        "tick_age_s": None if tick_s is None else round(tick_s, 1),
        "broker": broker,
        "counts": states,
    }
