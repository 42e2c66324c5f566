"""What was found, on a day, by a person; and the outcome of each look."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, NOTE, in_range, no_longer_than, not_before, one_of
from drainservice.engine.result_texts import RESULT_TEXTS
from drainservice.inspections.models.verdicts import verdict_clause
from drainservice.register.models import Photo, System
from drainservice.register.models.system import Span


class LookKind(models.TextChoices):
    """What is looked at."""

    PUMP = "pump", "pump proof test"
    PERCOLATION = "percolation", "drain test"
    SEDIMENT = "sediment", "silt"
    VALVE = "valve", "check valve"
    LINE = "line", "discharge line"
    LID = "lid", "lid"
    ALARM = "alarm", "alarm"
    BATTERY = "battery", "battery and power"
    AUTUMN = "autumn", "autumn look"
    SPRING = "spring", "spring look"
    FIRST_LOOK = "first_look", "first look"


class Outcome(models.TextChoices):
    """What became of a look."""

    DONE = "done", "done"
    IN_PART = "in_part", "done in part"
    NOT_DONE = "not_done", "not done"


class WhyNot(models.TextChoices):
    """Why a look was not done."""

    NOBODY_HOME = "nobody_home", "nobody home"
    GATE = "gate", "the gate was locked"
    DOG = "dog", "a dog was loose"
    LID_COVERED = "lid_covered", "the lid is covered"
    NOT_SAFE = "not_safe", "not safe"
    REFUSED = "refused", "refused"
    WRONG_PLACE = "wrong_place", "wrong place"
    NO_PART = "no_part", "no part"
    CALLED_OFF = "called_off", "called off"


class Verdict(models.TextChoices):
    """What a test says; the words are the pump test's."""

    GOOD = "good", RESULT_TEXTS["pump_good"]
    WATCH = "watch", RESULT_TEXTS["pump_watch"]
    REPEAT = "repeat", RESULT_TEXTS["pump_repeat"]
    ACT = "act", RESULT_TEXTS["pump_act"]


class Origin(models.TextChoices):
    """Where the inspection's words come from."""

    SITE = "site", "recorded on site"
    SHEET = "sheet", "from a sheet"
    OFFICE = "office", "written down in the office"


class Inspection(Kept):
    """One look round one system. Closed, it is never edited: a correction names the old one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    system = models.ForeignKey(System, models.PROTECT, related_name="inspections")
    on = models.DateField()
    on_span = models.CharField(max_length=10, choices=Span, default=Span.DAY)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    person_named = models.CharField(max_length=LINE, blank=True)
    origin = models.CharField(max_length=10, choices=Origin, default=Origin.SITE)
    arrived_at = models.DateTimeField(null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True)
    device = models.CharField(max_length=80, blank=True)
    body_hash = models.CharField(max_length=64, blank=True, editable=False)
    # Work and parts are counted, never priced: one line each.
    work_lines = models.TextField(blank=True)
    note = models.TextField(blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    corrects = models.OneToOneField(
        "self", models.PROTECT, related_name="corrected_by", null=True, blank=True
    )
    photos = models.ManyToManyField(Photo, related_name="inspections", blank=True)

    class Meta:
        constraints = [
            *no_longer_than(
                "inspection", person_named=LINE, device=80, body_hash=64, work_lines=NOTE, note=NOTE
            ),
            one_of("inspection", "origin", Origin.values),
            one_of("inspection", "on_span", Span.values),
            not_before("inspection", "left_at", "arrived_at"),
        ]
        indexes = [models.Index(fields=["system", "-on"], name="inspection_by_day")]

    def __str__(self) -> str:
        return f"inspection {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id


class Look(Kept):
    """One kind of look in one inspection. Only a look that was done moves its own date."""

    inspection = models.ForeignKey(Inspection, models.CASCADE, related_name="looks")
    kind = models.CharField(max_length=12, choices=LookKind)
    outcome = models.CharField(max_length=10, choices=Outcome)
    why_not = models.CharField(max_length=12, choices=WhyNot, blank=True)
    next_step = models.CharField(max_length=LINE, blank=True)
    next_step_on = models.DateField(null=True, blank=True)
    # Of a test: passed, failed, or neither (the level never reached the float).
    passed = models.BooleanField(null=True, blank=True)
    # The pump whose test it was, where it was one.
    pump = models.ForeignKey(
        "register.Pump", models.PROTECT, related_name="looks", null=True, blank=True
    )
    note = models.CharField(max_length=1000, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("look", next_step=LINE, note=1000),
            one_of("look", "kind", LookKind.values),
            one_of("look", "outcome", Outcome.values),
            one_of("look", "why_not", ["", *WhyNot.values]),
            CheckConstraint(
                condition=(Q(outcome=Outcome.NOT_DONE) & ~Q(why_not=""))
                | (~Q(outcome=Outcome.NOT_DONE) & Q(why_not="")),
                name="a_look_not_done_says_why",
            ),
            CheckConstraint(
                condition=~Q(outcome=Outcome.NOT_DONE) | Q(passed__isnull=True),
                name="a_look_not_done_passes_nothing",
            ),
            UniqueConstraint(
                fields=["inspection", "kind"],
                condition=Q(removed_at__isnull=True, pump__isnull=True),
                name="one_look_of_a_kind_per_inspection",
            ),
            UniqueConstraint(
                fields=["inspection", "kind", "pump"],
                condition=Q(removed_at__isnull=True, pump__isnull=False),
                name="one_look_of_a_kind_per_pump",
            ),
        ]

    def __str__(self) -> str:
        return f"look {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.inspection.system.site_id


class Reading(Kept):
    """One measured number. Its kind is a row of the table `inspections.readings.KINDS`."""

    look = models.ForeignKey(Look, models.CASCADE, related_name="readings")
    kind = models.CharField(max_length=30)
    value = models.FloatField()
    uncertainty = models.FloatField(null=True, blank=True)
    seconds_into_test = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("reading", kind=30),
            in_range("reading", "value", -1e6, 1e9),
            in_range("reading", "uncertainty", 0, 1e9),
            in_range("reading", "seconds_into_test", 0, 31_557_600),
        ]

    def __str__(self) -> str:
        return f"reading {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.look.inspection.system.site_id


class Result(Kept):
    """What was computed from readings: inputs, outputs, verdict and model version, to replay."""

    look = models.ForeignKey(Look, models.CASCADE, related_name="results")
    what = models.CharField(max_length=30)
    inputs = models.JSONField()
    outputs = models.JSONField()
    verdict = models.CharField(max_length=10, choices=Verdict, blank=True)
    model_version = models.CharField(max_length=20)

    class Meta:
        constraints = [
            *no_longer_than("result", what=30, model_version=20),
            one_of("result", "verdict", ["", *Verdict.values]),
        ]

    def __str__(self) -> str:
        return f"result {self.pk}"

    @property
    def verdict_words(self) -> str:
        """What its verdict says of this sum; empty where there is none."""
        return verdict_clause(self.what, self.outputs.get("found", "")) if self.verdict else ""

    def site_number(self) -> int | None:
        """The system's site."""
        return self.look.inspection.system.site_id
