"""The date by which something must be looked at, and why. Computed; rows are never edited."""

from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.bounds import no_longer_than, one_of
from drainservice.inspections.models.defect import Defect
from drainservice.inspections.models.inspection import LookKind
from drainservice.register.models import System

KINDS = [*LookKind.values, "mend", "access"]


class DueQuerySet(models.QuerySet["Due"]):
    """Due rows; a replaced row is retired, never changed."""

    def current(self) -> "DueQuerySet":
        """The row that holds now for each system, kind and defect."""
        return self.filter(retired_at__isnull=True)


class Due(models.Model):
    """One due date with everything that made it, so that it can be replayed years later."""

    system = models.ForeignKey(System, models.CASCADE, related_name="dues")
    kind = models.CharField(max_length=12, choices=[(k, k) for k in KINDS])
    defect = models.ForeignKey(Defect, models.CASCADE, related_name="dues", null=True, blank=True)
    # Empty: cannot be judged (a lid under paving, or nothing to judge by).
    due_on = models.DateField(null=True, blank=True)
    opens_on = models.DateField(null=True, blank=True)
    governed_by = models.CharField(max_length=40)
    candidates = models.JSONField(default=dict)
    inputs = models.JSONField(default=dict)
    model_version = models.CharField(max_length=20)
    reason = models.JSONField(default=list)
    reason_text = models.TextField(blank=True)
    # Chance of finding the pump dead on the due day, for ranking; empty where it means nothing.
    dead_chance = models.FloatField(null=True, blank=True)
    # Worst first: days over, weighted by consequence. Set when flagged.
    inputs_hash = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)
    flagged_at = models.DateTimeField(null=True, blank=True)
    flag = models.CharField(max_length=20, blank=True)

    objects = DueQuerySet.as_manager()

    class Meta:
        constraints = [
            *no_longer_than(
                "due",
                governed_by=40,
                model_version=20,
                reason_text=5000,
                inputs_hash=64,
                flag=20,
            ),
            one_of("due", "kind", KINDS),
            one_of("due", "flag", ["", "past_pump_test", "clogged_pit", "past"]),
            UniqueConstraint(
                fields=["system", "kind"],
                condition=Q(retired_at__isnull=True, defect__isnull=True),
                name="one_current_due_per_system_and_kind",
            ),
            UniqueConstraint(
                fields=["defect", "kind"],
                condition=Q(retired_at__isnull=True, defect__isnull=False),
                name="one_current_due_per_defect",
            ),
        ]
        indexes = [
            models.Index(
                fields=["due_on", "id"],
                condition=Q(retired_at__isnull=True),
                name="due_in_order",
            )
        ]

    def __str__(self) -> str:
        return f"due {self.pk}"
