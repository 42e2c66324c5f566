"""One agreed time at one site, with a purpose; and every answer to it."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint

from drainservice.accounts.models import Kept, Person
from drainservice.bounds import LINE, NOTE, in_range, no_longer_than, one_of
from drainservice.inspections.models import Inspection
from drainservice.register.models import Site, System


class State(models.TextChoices):
    """Where a visit stands."""

    PLANNED = "planned", "planned"
    OFFERED = "offered", "offered"
    HELD = "held", "held"
    AGREED = "agreed", "agreed"
    AT_PIT = "at_pit", "at the pit"
    MADE = "made", "made"
    NOT_REACHED = "not_reached", "not reached"
    CALLED_OFF = "called_off", "called off"


class Lock(models.TextChoices):
    """What a planner must leave as it is, beside the promise."""

    NONE = "", "nothing"
    TECHNICIAN = "technician", "the technician"
    DAY = "day", "technician and day"
    START = "start", "technician, day and start"


BOOKED = [State.OFFERED, State.HELD, State.AGREED, State.AT_PIT]
OPEN = [State.PLANNED, *BOOKED]


class Visit(Kept):
    """A promise to come: wall time in the site's zone, with its instants by `accounts.wall`.

    The slot (planned start and end of a technician's time) excludes; the window is the promise.
    """

    PRIVATE = ("called_off_by", "note")

    site = models.ForeignKey(Site, models.PROTECT, related_name="visits")
    purpose = models.CharField(max_length=LINE)
    state = models.CharField(max_length=12, choices=State, default=State.PLANNED)
    # The week it is meant for while nobody has been told.
    meant_for = models.DateField(null=True, blank=True)
    day = models.DateField(null=True, blank=True)
    window_from = models.TimeField(null=True, blank=True)
    window_to = models.TimeField(null=True, blank=True)
    window_starts_at = models.DateTimeField(null=True, blank=True)
    window_ends_at = models.DateTimeField(null=True, blank=True)
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="visits", null=True, blank=True
    )
    slot_starts_at = models.DateTimeField(null=True, blank=True)
    slot_ends_at = models.DateTimeField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(default=45)
    is_digging = models.BooleanField(default=False)
    held_until = models.DateTimeField(null=True, blank=True)
    # The mark of the press that holds it: a second press finds its own hold.
    held_token = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    lock = models.CharField(max_length=10, choices=Lock, default=Lock.NONE, blank=True)
    # The household was promised this technician, not only this window.
    is_named = models.BooleanField(default=False)
    # Words of what only some technicians or vans can do, such as electric.
    skills_wanted = models.JSONField(default=list, blank=True)
    # What the household likes: "morning", "afternoon", or a weekday's number; none: all the same.
    likes = models.JSONField(default=list, blank=True)
    is_urgent = models.BooleanField(default=False)
    # After this day the reason for coming is past due.
    wanted_by = models.DateField(null=True, blank=True)
    was_moved = models.BooleanField(default=False)
    # What stood before the last move, for "it was Tue 12 May".
    moved_from_day = models.DateField(null=True, blank=True)
    moved_from_window = models.CharField(max_length=20, blank=True)
    set_out_at = models.DateTimeField(null=True, blank=True)
    arrived_at = models.DateTimeField(null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True)
    not_reached_because = models.CharField(max_length=LINE, blank=True)
    called_off_at = models.DateTimeField(null=True, blank=True)
    called_off_by = models.CharField(max_length=LINE, blank=True)
    called_off_because = models.CharField(max_length=LINE, blank=True)
    # A person must settle it: another day, two answers that differ, an answer to an old time.
    needs_person_since = models.DateTimeField(null=True, blank=True)
    calendar_uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sequence = models.PositiveIntegerField(default=0)
    address_key = models.PositiveSmallIntegerField(default=1)
    note = models.TextField(blank=True)
    systems = models.ManyToManyField(System, through="VisitSystem", related_name="visits")

    class Meta:
        constraints = [
            *no_longer_than(
                "visit",
                purpose=LINE,
                moved_from_window=20,
                not_reached_because=LINE,
                called_off_by=LINE,
                called_off_because=LINE,
                note=NOTE,
            ),
            one_of("visit", "state", State.values),
            one_of("visit", "lock", Lock.values),
            in_range("visit", "minutes", 5, 720),
            CheckConstraint(
                condition=Q(slot_starts_at__isnull=True, slot_ends_at__isnull=True)
                | Q(slot_ends_at__gt=F("slot_starts_at")),
                name="a_visit_ends_after_it_starts",
            ),
            CheckConstraint(
                condition=Q(window_starts_at__isnull=True, window_ends_at__isnull=True)
                | Q(window_ends_at__gt=F("window_starts_at")),
                name="a_promised_window_ends_after_it_starts",
            ),
            CheckConstraint(
                condition=~Q(state__in=BOOKED)
                | Q(
                    technician__isnull=False,
                    slot_starts_at__isnull=False,
                    slot_ends_at__isnull=False,
                    day__isnull=False,
                    window_from__isnull=False,
                    window_to__isnull=False,
                    window_starts_at__isnull=False,
                    window_ends_at__isnull=False,
                ),
                name="a_booked_visit_has_technician_slot_and_promise",
            ),
            CheckConstraint(
                condition=(Q(state=State.HELD) & Q(held_until__isnull=False))
                | (~Q(state=State.HELD) & Q(held_until__isnull=True)),
                name="a_held_visit_says_until_when",
            ),
            CheckConstraint(
                condition=(Q(state=State.CALLED_OFF) & Q(called_off_at__isnull=False))
                | (~Q(state=State.CALLED_OFF) & Q(called_off_at__isnull=True)),
                name="a_visit_called_off_says_when",
            ),
        ]
        indexes = [
            models.Index(fields=["day", "technician"], name="visit_by_day"),
            models.Index(fields=["held_until"], condition=Q(state="held"), name="visit_held_until"),
        ]

    def __str__(self) -> str:
        return f"visit {self.pk}"


class VisitSystem(Kept):
    """A system that a visit is for, the looks wanted there, and the inspection it produced."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="visit_systems")
    system = models.ForeignKey(System, models.PROTECT, related_name="visit_systems")
    looks_wanted = models.JSONField(default=list)
    inspection = models.OneToOneField(
        Inspection, models.PROTECT, related_name="visit_system", null=True, blank=True
    )

    class Meta:
        constraints = [
            UniqueConstraint(
                fields=["visit", "system"],
                condition=Q(removed_at__isnull=True),
                name="a_visit_names_a_system_once",
            ),
        ]

    def __str__(self) -> str:
        return f"visit system {self.pk}"

    def site_number(self) -> int | None:
        """The system's site."""
        return self.system.site_id


class AnswerWord(models.TextChoices):
    """What a household may answer."""

    YES = "yes", "yes, come"
    ANOTHER_DAY = "another_day", "another day"
    NOT_THIS_YEAR = "not_this_year", "not this year"
    NOT_MY_HOUSE = "not_my_house", "not my house"


class Answer(models.Model):
    """One answer to one visit at one sequence. Append-only."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="answers")
    sequence = models.PositiveIntegerField()
    person = models.ForeignKey(
        Person, models.PROTECT, related_name="answers", null=True, blank=True
    )
    by = models.CharField(
        max_length=10,
        choices=[("link", "link"), ("telephone", "telephone"), ("calendar", "calendar")],
    )
    word = models.CharField(max_length=15, choices=AnswerWord)
    note = models.CharField(max_length=1000, blank=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", null=True, blank=True
    )
    at = models.DateTimeField()
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("answer", note=1000),
            one_of("answer", "by", ["link", "telephone", "calendar"]),
            one_of("answer", "word", AnswerWord.values),
        ]
        indexes = [models.Index(fields=["visit", "-at"], name="answer_latest")]

    def __str__(self) -> str:
        return f"answer {self.pk}"
