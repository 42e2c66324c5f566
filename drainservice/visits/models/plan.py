"""A proposal of the planner: what it was asked, what it found, and what became of it."""

from django.conf import settings
from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, NOTE, in_range, no_longer_than, one_of


class PlanKind(models.TextChoices):
    """What a plan is about."""

    ROUNDS = "rounds", "rounds of one or several days"
    REPAIR = "repair", "a day that went wrong"
    SEASON = "season", "weeks before a wet season"


class PlanState(models.TextChoices):
    """Where a plan stands."""

    THINKING = "thinking", "being worked out"
    READY = "ready", "ready to be looked at"
    ADOPTED = "adopted", "adopted"
    REFUSED = "refused", "put aside"
    STALE = "stale", "overtaken by a change of the rounds"
    FAILED = "failed", "failed"


class Plan(Kept):
    """One question to the planner with its stored inputs, so that it can be asked again years
    later. `inputs` is canonical JSON; `rounds` the round versions it was asked on; a what-if
    (changed inputs, `what_if` says which in words) is never adopted."""

    kind = models.CharField(max_length=10, choices=PlanKind)
    # Which days or season: two plans of one scope are never worked out at once.
    scope = models.CharField(max_length=100)
    first_on = models.DateField()
    last_on = models.DateField()
    state = models.CharField(max_length=10, choices=PlanState, default=PlanState.THINKING)
    because = models.CharField(max_length=LINE, blank=True)
    what_if = models.CharField(max_length=LINE, blank=True)
    inputs = models.TextField()
    digest = models.CharField(max_length=64)
    rounds = models.JSONField(default=dict)
    seed = models.PositiveIntegerField(default=1)
    # How long it may search, in turns of each search; and the turns that were done.
    effort = models.JSONField(default=dict)
    done = models.JSONField(default=dict)
    solver = models.CharField(max_length=60, blank=True)
    model_version = models.CharField(max_length=20, blank=True)
    proposal = models.JSONField(default=dict)
    cost = models.JSONField(default=dict)
    progress = models.JSONField(default=dict)
    heartbeat_at = models.DateTimeField(null=True, blank=True)
    starts = models.PositiveSmallIntegerField(default=0)
    cancel_wanted_at = models.DateTimeField(null=True, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    asked_at = models.DateTimeField()
    ready_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    # The changes that adopting made, so that they can be taken back as one.
    group = models.CharField(max_length=60, blank=True)
    failed_because = models.TextField(blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "plan",
                scope=100,
                because=LINE,
                what_if=LINE,
                digest=64,
                solver=60,
                model_version=20,
                group=60,
                failed_because=NOTE,
                inputs=30_000_000,
            ),
            one_of("plan", "kind", PlanKind.values),
            one_of("plan", "state", PlanState.values),
            in_range("plan", "starts", 0, 100),
            in_range("plan", "seed", 0, 2_147_483_647),
            UniqueConstraint(
                fields=["kind", "scope"],
                condition=Q(state="thinking", removed_at__isnull=True),
                name="one_plan_of_a_scope_is_worked_out_at_a_time",
            ),
        ]
        indexes = [models.Index(fields=["-asked_at"], name="plan_newest")]

    def __str__(self) -> str:
        return f"plan {self.pk}"
