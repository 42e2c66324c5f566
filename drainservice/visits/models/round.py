"""One technician's day: its version guards every change of its order; and how long looks take."""

from django.conf import settings
from django.db import models
from django.db.models import UniqueConstraint

from drainservice.bounds import in_range, no_longer_than


class Round(models.Model):
    """A technician's day. Whoever writes its visits raises `version`, counted, in the same
    transaction; its gates are the day's visits in order of their planned start."""

    technician = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="rounds")
    day = models.DateField()
    version = models.PositiveIntegerField(default=1)
    break_starts_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            UniqueConstraint(fields=["technician", "day"], name="a_technician_has_one_round_a_day")
        ]
        indexes = [models.Index(fields=["day"], name="round_by_day")]

    def __str__(self) -> str:
        return f"round {self.pk}"


class LookMinutes(models.Model):
    """How long a kind of look took us: the middle of what was recorded, and what four of five
    stayed under. Counted from arrivals and departures."""

    kind = models.CharField(max_length=20, unique=True)
    middle_s = models.PositiveIntegerField()
    high_s = models.PositiveIntegerField()
    records = models.PositiveIntegerField()
    counted_at = models.DateTimeField()

    class Meta:
        constraints = [
            *no_longer_than("look_minutes", kind=20),
            in_range("look_minutes", "middle_s", 0, 43_200),
            in_range("look_minutes", "high_s", 0, 43_200),
            in_range("look_minutes", "records", 1, 10_000_000),
        ]

    def __str__(self) -> str:
        return f"minutes of {self.kind}"
