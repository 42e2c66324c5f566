"""The durable queue: one row is one job, and the database is its memory."""

import uuid

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from drainservice.bounds import no_longer_than


class State(models.TextChoices):
    """Where a job stands. Waiting and again can be taken; from `sent` on all are ends.

    Taken: nothing can have gone out yet. Sending: it may have.
    """

    WAITING = "waiting", "waiting"
    TAKEN = "taken", "taken"
    SENDING = "sending", "sending"
    AGAIN = "again", "again"
    SENT = "sent", "sent"
    UNSURE = "unsure", "unsure"
    REFUSED = "refused", "refused"
    OVERTAKEN = "overtaken", "overtaken"
    TOO_LATE = "too_late", "too late"
    STOPPED = "stopped", "stopped"
    DONE = "done", "done"
    STUCK = "stuck", "stuck"


CAN_BE_TAKEN = [State.WAITING, State.AGAIN]
UNDER_WAY = [State.TAKEN, State.SENDING]
ENDED = [
    State.SENT,
    State.UNSURE,
    State.REFUSED,
    State.OVERTAKEN,
    State.TOO_LATE,
    State.STOPPED,
    State.DONE,
    State.STUCK,
]
NEEDS_A_PERSON = [State.UNSURE, State.REFUSED, State.STUCK]


class Job(models.Model):
    """Something to remember to do. `kind` and `key` are made of facts, and unique for ever."""

    id = models.UUIDField(primary_key=True)
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=200)
    # A message's lane is its receiving domain; long work runs in the lane "long".
    lane = models.CharField(max_length=100, blank=True)
    is_message = models.BooleanField(default=False)
    details = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    due_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    attempts = models.PositiveIntegerField(default=0)
    # Starts from which no result came back: a row that kills its worker is found by these.
    open_starts = models.PositiveIntegerField(default=0)
    unsure_count = models.PositiveIntegerField(default=0)
    token = models.CharField(max_length=40, blank=True)
    taken_by = models.CharField(max_length=80, blank=True)
    taken_until = models.DateTimeField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    last_code = models.CharField(max_length=20, blank=True)
    last_error = models.CharField(max_length=1000, blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "job",
                kind=40,
                key=200,
                lane=100,
                token=40,
                taken_by=80,
                last_code=20,
                last_error=1000,
            ),
            UniqueConstraint(fields=["kind", "key"], name="one_kind_and_key_for_ever"),
            CheckConstraint(condition=Q(state__in=State.values), name="job_state_is_a_known_word"),
            CheckConstraint(
                condition=~Q(state__in=UNDER_WAY) | (Q(taken_until__isnull=False) & ~Q(token="")),
                name="a_job_under_way_has_token_and_lease",
            ),
            CheckConstraint(
                condition=(Q(state__in=ENDED) & Q(done_at__isnull=False))
                | (~Q(state__in=ENDED) & Q(done_at__isnull=True)),
                name="a_job_that_ended_says_when",
            ),
        ]
        indexes = [
            models.Index(
                fields=["due_at", "id"],
                condition=Q(state__in=CAN_BE_TAKEN),
                name="job_in_order",
            ),
            models.Index(
                fields=["taken_until"],
                condition=Q(state__in=UNDER_WAY),
                name="job_under_way",
            ),
        ]

    def __str__(self) -> str:
        return f"job {self.pk}"


class Attempt(models.Model):
    """One try at a job. Append-only."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="tries")
    number = models.PositiveIntegerField()
    worker = models.CharField(max_length=80)
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField()
    phase = models.CharField(max_length=20, blank=True)
    code = models.CharField(max_length=20, blank=True)
    reply = models.CharField(max_length=1000, blank=True)
    outcome = models.CharField(max_length=10)

    class Meta:
        constraints = no_longer_than(
            "attempt", worker=80, phase=20, code=20, reply=1000, outcome=10
        )

    def __str__(self) -> str:
        return f"attempt {self.pk}"


class Breaker(models.Model):
    """A mail server that does not answer: nothing more is tried there until `open_until`."""

    lane = models.CharField(max_length=100, primary_key=True)
    failures = models.PositiveIntegerField(default=0)
    open_until = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=1000, blank=True)

    class Meta:
        constraints = no_longer_than("breaker", lane=100, last_error=1000)

    def __str__(self) -> str:
        return f"breaker {self.pk}"


class Heartbeat(models.Model):
    """A worker was alive at this moment."""

    worker = models.CharField(max_length=80, primary_key=True)
    ticked_at = models.DateTimeField()
    took_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = no_longer_than("heartbeat", worker=80)

    def __str__(self) -> str:
        return f"heartbeat {self.pk}"


class Pause(models.Model):
    """Sending is held back, by whom and why, until somebody ends it."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    # "messages" for everything that goes to a person, a kind, "lane:example.com", or one row's id.
    what = models.CharField(max_length=120)
    who = models.CharField(max_length=80)
    why = models.CharField(max_length=200)
    since_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.CharField(max_length=80, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("pause", what=120, who=80, why=200, ended_by=80),
            UniqueConstraint(
                fields=["what"],
                condition=Q(ended_at__isnull=True),
                name="a_thing_is_paused_once",
            ),
        ]

    def __str__(self) -> str:
        return f"pause {self.pk}"
