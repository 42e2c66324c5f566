"""Who can go when: home bases, working hours, skills, areas, absences, vans, closed days."""

from django.conf import settings
from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint

from drainservice.accounts.models import Kept
from drainservice.bounds import LINE, in_range, no_longer_than, not_before

STANDS = Q(removed_at__isnull=True)
WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


class PlanningTerms(Kept):
    """What planning goes by: one row, all of it the firm's judgement until it is set."""

    # Public holidays of this country and part of it, as ISO 3166 codes; empty: own days only.
    country = models.CharField(max_length=2, default="US", blank=True)
    subdivision = models.CharField(max_length=6, blank=True)
    window_minutes = models.PositiveSmallIntegerField(default=120)
    grid_minutes = models.PositiveSmallIntegerField(default=60)
    # The share of each day that is kept for what is urgent.
    reserve_percent = models.PositiveSmallIntegerField(default=15)
    arriving_minutes = models.PositiveSmallIntegerField(default=8)
    closing_minutes = models.PositiveSmallIntegerField(default=7)
    defect_minutes = models.PositiveSmallIntegerField(default=5)
    detour = models.FloatField(default=1.3)
    not_usual_units = models.PositiveSmallIntegerField(default=15)
    outside_area_units = models.PositiveSmallIntegerField(default=30)
    overtime_units = models.PositiveSmallIntegerField(default=2)
    move_offer_units = models.PositiveSmallIntegerField(default=100)
    move_promise_units = models.PositiveSmallIntegerField(default=240)
    weeks_before_season = models.PositiveSmallIntegerField(default=16)

    class Meta:
        constraints = [
            CheckConstraint(condition=Q(id=1), name="there_is_one_set_of_planning_terms"),
            *no_longer_than("planning", country=2, subdivision=6),
            in_range("planning", "window_minutes", 30, 600),
            in_range("planning", "grid_minutes", 15, 240),
            in_range("planning", "reserve_percent", 0, 60),
            in_range("planning", "arriving_minutes", 0, 60),
            in_range("planning", "closing_minutes", 0, 60),
            in_range("planning", "defect_minutes", 0, 120),
            in_range("planning", "detour", 1, 3),
            in_range("planning", "not_usual_units", 0, 1000),
            in_range("planning", "outside_area_units", 0, 1000),
            in_range("planning", "overtime_units", 1, 100),
            in_range("planning", "move_offer_units", 0, 10_000),
            in_range("planning", "move_promise_units", 1, 10_000),
            in_range("planning", "weeks_before_season", 4, 26),
        ]

    def __str__(self) -> str:
        return "planning terms"


class HomeBase(Kept):
    """Where rounds begin and end."""

    name = models.CharField(max_length=LINE)
    address = models.CharField(max_length=LINE, blank=True)
    latitude = models.FloatField()
    longitude = models.FloatField()

    class Meta:
        constraints = [
            *no_longer_than("home_base", name=LINE, address=LINE),
            in_range("home_base", "latitude", -90, 90),
            in_range("home_base", "longitude", -180, 180),
        ]

    def __str__(self) -> str:
        return f"home base {self.pk}"


class Van(Kept):
    """A van, and what it carries that a shift needs, such as a camera."""

    name = models.CharField(max_length=LINE)
    carries = models.JSONField(default=list, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("van", name=LINE),
            UniqueConstraint(fields=["name"], condition=STANDS, name="a_van_is_named_once"),
        ]

    def __str__(self) -> str:
        return f"van {self.pk}"


class VanOut(Kept):
    """A van that cannot be driven, from when until when."""

    van = models.ForeignKey(Van, models.PROTECT, related_name="outs")
    from_at = models.DateTimeField()
    until_at = models.DateTimeField()
    because = models.CharField(max_length=LINE)

    class Meta:
        constraints = [
            *no_longer_than("van_out", because=LINE),
            CheckConstraint(
                condition=Q(until_at__gt=F("from_at")), name="a_van_is_out_until_after_it_went_out"
            ),
        ]

    def __str__(self) -> str:
        return f"van out {self.pk}"


class CrewMember(Kept):
    """What planning knows of a technician: where their day begins, and which van is theirs."""

    account = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="crew_member"
    )
    base = models.ForeignKey(HomeBase, models.PROTECT, related_name="crew", null=True, blank=True)
    van = models.ForeignKey(Van, models.PROTECT, related_name="crew", null=True, blank=True)

    def __str__(self) -> str:
        return f"crew member {self.pk}"


class WorkingHours(Kept):
    """One weekday of a pattern of working hours. All rows of a technician with the same
    `valid_from` are one pattern, which holds until the next begins; a weekday without a row is a
    day off. The past is never edited: a change is a new pattern."""

    account = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="working_hours"
    )
    valid_from = models.DateField()
    weekday = models.PositiveSmallIntegerField(choices=list(enumerate(WEEKDAYS)))
    starts = models.TimeField()
    ends = models.TimeField()
    overtime_minutes = models.PositiveSmallIntegerField(default=60)
    # The break must start between the two; no minutes: no break.
    break_minutes = models.PositiveSmallIntegerField(default=30)
    break_earliest = models.TimeField(default="11:30")
    break_latest = models.TimeField(default="13:30")

    class Meta:
        constraints = [
            UniqueConstraint(
                fields=["account", "valid_from", "weekday"],
                condition=STANDS,
                name="a_pattern_has_each_weekday_once",
            ),
            in_range("working_hours", "weekday", 0, 6),
            in_range("working_hours", "overtime_minutes", 0, 240),
            in_range("working_hours", "break_minutes", 0, 180),
            CheckConstraint(condition=Q(ends__gt=F("starts")), name="a_shift_ends_after_it_starts"),
            CheckConstraint(
                condition=Q(break_latest__gte=F("break_earliest")),
                name="a_break_may_start_until_after_it_may_start",
            ),
        ]

    def __str__(self) -> str:
        return f"working hours {self.pk}"


class Skill(Kept):
    """Something a visit may need and not everybody may do; a licence ends."""

    account = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="skills")
    word = models.CharField(max_length=40)
    valid_until = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("skill", word=40),
            UniqueConstraint(
                fields=["account", "word"], condition=STANDS, name="a_skill_is_held_once"
            ),
        ]

    def __str__(self) -> str:
        return f"skill {self.pk}"


class Area(Kept):
    """A part of the county that a technician usually serves: corners as [latitude, longitude]."""

    account = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="areas")
    name = models.CharField(max_length=LINE)
    corners = models.JSONField()

    class Meta:
        constraints = no_longer_than("area", name=LINE)

    def __str__(self) -> str:
        return f"area {self.pk}"


class Barrier(Kept):
    """Water or a ridge that roads cross at few points: both as lists of [latitude, longitude]."""

    name = models.CharField(max_length=LINE)
    line = models.JSONField()
    crossings = models.JSONField()

    class Meta:
        constraints = no_longer_than("barrier", name=LINE)

    def __str__(self) -> str:
        return f"barrier {self.pk}"


class Absence(Kept):
    """A technician who cannot come, from when until when."""

    PRIVATE = ("because",)

    account = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="absences")
    from_at = models.DateTimeField()
    until_at = models.DateTimeField()
    because = models.CharField(max_length=LINE, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("absence", because=LINE),
            CheckConstraint(
                condition=Q(until_at__gt=F("from_at")), name="an_absence_ends_after_it_begins"
            ),
        ]
        indexes = [models.Index(fields=["until_at"], name="absence_until")]

    def __str__(self) -> str:
        return f"absence {self.pk}"


class ClosedDay(Kept):
    """A day of the firm's own on which nobody drives, or a public holiday on which we do."""

    first_on = models.DateField()
    last_on = models.DateField()
    name = models.CharField(max_length=LINE)
    is_worked = models.BooleanField(default=False)

    class Meta:
        constraints = [
            *no_longer_than("closed_day", name=LINE),
            not_before("closed_day", "last_on", "first_on"),
        ]

    def __str__(self) -> str:
        return f"closed day {self.pk}"
