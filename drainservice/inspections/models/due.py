"""The date by which something must be looked at, and why. Computed; rows are never edited."""

from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.models.firm import Units
from drainservice.bounds import in_range, no_longer_than, one_of
from drainservice.inspections.models.inspection import LookKind
from drainservice.register.models import System

KINDS = [*LookKind.values, "mend", "access"]
FLAGS = ["past_pump_test", "clogged_pit", "past"]


class Reckoning(models.Model):
    """One counting of a system's dates: inputs and model version, to be replayed years later."""

    system = models.ForeignKey(System, models.CASCADE, related_name="reckonings")
    # The pump whose dates these are: 0 is the lead pump with all the system's other looks.
    position = models.PositiveSmallIntegerField(default=0)
    today = models.DateField()
    inputs = models.JSONField()
    inputs_hash = models.CharField(max_length=64)
    model_version = models.CharField(max_length=20)
    # The units in which its reasons are told.
    units = models.CharField(max_length=10, choices=Units)
    made_at = models.DateTimeField()
    # Counted again with the same inputs and the same dates: only this moves.
    confirmed_on = models.DateField()

    class Meta:
        constraints = [
            *no_longer_than("reckoning", inputs_hash=64, model_version=20),
            one_of("reckoning", "units", Units.values),
            in_range("reckoning", "position", 0, 9),
        ]
        indexes = [models.Index(fields=["system", "-id"], name="reckoning_latest")]

    def __str__(self) -> str:
        return f"reckoning {self.pk}"


class DueQuerySet(models.QuerySet["Due"]):
    """Due rows; a replaced row is retired, never changed."""

    def current(self) -> "DueQuerySet":
        """The row that holds now for each system, kind and what it concerns."""
        return self.filter(retired_at__isnull=True)


class Due(models.Model):
    """One due date with its candidates, the one that governed, and the reason in sentences."""

    system = models.ForeignKey(System, models.CASCADE, related_name="dues")
    reckoning = models.ForeignKey(Reckoning, models.CASCADE, related_name="dues")
    kind = models.CharField(max_length=12, choices=[(k, k) for k in KINDS])
    # The part or defect that a mend or access row concerns, else empty.
    what = models.CharField(max_length=40, blank=True)
    due_on = models.DateField()
    opens_on = models.DateField()
    # The due day drawn forward by what a dead pump would do there: the order of the due list.
    rank_on = models.DateField()
    # False: the lid is buried or nothing can be seen; the date still stands.
    can_be_judged = models.BooleanField(default=True)
    governed_by = models.CharField(max_length=40)
    # The engine's whole answer: candidates, reason, range, what would lengthen it.
    answer = models.JSONField()
    reason_text = models.TextField(blank=True)
    # Chance of finding the pump dead after a year; empty where it means nothing.
    dead_chance = models.FloatField(null=True, blank=True)
    made_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)
    flagged_at = models.DateTimeField(null=True, blank=True)
    flag = models.CharField(max_length=20, blank=True)

    objects = DueQuerySet.as_manager()

    class Meta:
        constraints = [
            *no_longer_than("due", governed_by=40, what=40, reason_text=5000, flag=20),
            one_of("due", "kind", KINDS),
            one_of("due", "flag", ["", *FLAGS]),
            UniqueConstraint(
                fields=["system", "kind", "what"],
                condition=Q(retired_at__isnull=True),
                name="one_current_due_per_system_and_kind",
            ),
        ]
        indexes = [
            models.Index(
                fields=["rank_on", "id"],
                condition=Q(retired_at__isnull=True),
                name="due_in_order",
            ),
            models.Index(
                fields=["due_on"], condition=Q(retired_at__isnull=True), name="due_by_day"
            ),
        ]

    def __str__(self) -> str:
        return f"due {self.pk}"


class FleetPrior(models.Model):
    """What the firm's own tests say of one class of pump, refitted every night. Computed."""

    pump_class = models.CharField(max_length=30, unique=True)
    shape = models.FloatField()
    inverse_scale = models.FloatField()
    scale = models.FloatField(default=1.0)
    tests = models.PositiveIntegerField()
    failures = models.PositiveIntegerField()
    made_at = models.DateTimeField()

    class Meta:
        constraints = [
            *no_longer_than("fleet_prior", pump_class=30),
            in_range("fleet_prior", "shape", 1e-3, 1e3),
            in_range("fleet_prior", "inverse_scale", 1e-6, 1e6),
            in_range("fleet_prior", "scale", 1e-3, 1e3),
            in_range("fleet_prior", "tests", 0, 1e9),
            in_range("fleet_prior", "failures", 0, 1e9),
        ]

    def __str__(self) -> str:
        return f"fleet prior {self.pk}"
