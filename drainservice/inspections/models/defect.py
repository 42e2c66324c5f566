"""What is wrong and until when: defects, pumps that are down, advice, self-checks."""

from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from drainservice.accounts.models import Kept, Person
from drainservice.bounds import LINE, NOTE, no_longer_than, not_before, one_of
from drainservice.inspections.models.inspection import Inspection, Look
from drainservice.register.models import Pump, System


class Defect(Kept):
    """Something wrong with one part, found by a rule or an inspection, until it is mended."""

    system = models.ForeignKey(System, models.PROTECT, related_name="defects")
    # One of the engine's as-built defect kinds, or a kind found on site.
    kind = models.CharField(max_length=40)
    part = models.CharField(max_length=20)
    # The pump it concerns; empty: the system as a whole.
    pump = models.ForeignKey(Pump, models.PROTECT, related_name="defects", null=True, blank=True)
    by_rule = models.BooleanField(default=False)
    inspection = models.ForeignKey(
        Inspection, models.PROTECT, related_name="defects_found", null=True, blank=True
    )
    note = models.CharField(max_length=1000, blank=True)
    found_on = models.DateField()
    mended_on = models.DateField(null=True, blank=True)
    mended_by = models.ForeignKey(
        Inspection, models.PROTECT, related_name="defects_mended", null=True, blank=True
    )

    class Meta:
        constraints = [
            *no_longer_than("defect", kind=40, part=20, note=1000),
            not_before("defect", "mended_on", "found_on"),
            UniqueConstraint(
                fields=["system", "kind"],
                condition=Q(mended_on__isnull=True, pump__isnull=True, removed_at__isnull=True),
                name="one_open_defect_of_a_kind_per_system",
            ),
            UniqueConstraint(
                fields=["pump", "kind"],
                condition=Q(mended_on__isnull=True, pump__isnull=False, removed_at__isnull=True),
                name="one_open_defect_of_a_kind_per_pump",
            ),
        ]

    def __str__(self) -> str:
        return f"defect {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id


class Down(Kept):
    """A pump found dead: down, with its clock, until it is proven again."""

    pump = models.ForeignKey(Pump, models.PROTECT, related_name="downs")
    since_at = models.DateTimeField()
    found_by = models.ForeignKey(Look, models.PROTECT, related_name="+", null=True, blank=True)
    stop_gap = models.CharField(max_length=LINE, blank=True)
    told_at = models.DateTimeField(null=True, blank=True)
    proven_at = models.DateTimeField(null=True, blank=True)
    proven_by = models.ForeignKey(Look, models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("down", stop_gap=LINE),
            not_before("down", "proven_at", "since_at"),
            CheckConstraint(
                condition=Q(proven_by__isnull=True) | Q(proven_at__isnull=False),
                name="a_proof_has_its_moment",
            ),
            UniqueConstraint(
                fields=["pump"],
                condition=Q(proven_at__isnull=True, removed_at__isnull=True),
                name="a_pump_is_down_once_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"down {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.pump.system.site_id


class Recommendation(Kept):
    """What we advised, when we told it, and what was answered."""

    system = models.ForeignKey(System, models.PROTECT, related_name="recommendations")
    defect = models.ForeignKey(Defect, models.PROTECT, related_name="+", null=True, blank=True)
    what = models.CharField(max_length=LINE)
    why = models.TextField(blank=True)
    told_on = models.DateField(null=True, blank=True)
    answer = models.CharField(
        max_length=10,
        blank=True,
        choices=[("agreed", "agreed"), ("declined", "declined"), ("no_answer", "no answer")],
    )
    answered_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("recommendation", what=LINE, why=NOTE),
            one_of("recommendation", "answer", ["", "agreed", "declined", "no_answer"]),
        ]

    def __str__(self) -> str:
        return f"recommendation {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id


class SelfCheckAnswer(models.TextChoices):
    """What a household saw at its bucket test."""

    RAN_AND_STOPPED = "ran_and_stopped", "it ran, the level fell, it stopped"
    DID_NOT_START = "did_not_start", "it did not start"
    LEVEL_STOOD = "level_stood", "it ran but the level did not fall"
    DID_NOT_STOP = "did_not_stop", "it did not stop"
    COULD_NOT = "could_not", "we could not do it"


class SelfCheck(Kept):
    """A bucket test by the household, per system."""

    system = models.ForeignKey(System, models.PROTECT, related_name="self_checks")
    person = models.ForeignKey(Person, models.PROTECT, related_name="+", null=True, blank=True)
    on = models.DateField()
    answer = models.CharField(max_length=20, choices=SelfCheckAnswer)
    outlet_seen = models.BooleanField(null=True, blank=True)
    water_stood_too_long = models.BooleanField(null=True, blank=True)
    odd_noise = models.BooleanField(null=True, blank=True)
    proved_false_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=1000, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("self_check", note=1000),
            one_of("self_check", "answer", SelfCheckAnswer.values),
            not_before("self_check", "proved_false_on", "on"),
        ]

    def __str__(self) -> str:
        return f"self-check {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id
