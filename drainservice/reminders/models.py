"""Every message to a person, what became of it on the way, and addresses we must leave alone."""

import uuid

from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.models import Channel, Kept, Person
from drainservice.bounds import LINE, no_longer_than, one_of
from drainservice.visits.models import Visit


class Use(models.TextChoices):
    """What a message is for."""

    OFFER = "offer", "offer"
    AGREED = "agreed", "invitation"
    MOVED = "moved", "the visit has moved"
    CALLED_OFF = "called_off", "called off"
    ANSWER_WANTED = "answer_wanted", "answer wanted"
    GET_READY = "get_ready", "get ready"
    SETTING_OUT = "setting_out", "setting out"
    REPORT = "report", "report"
    CONFIRMATION = "confirmation", "your answer, as we wrote it down"
    NOT_REACHED = "not_reached", "we could not reach the lid"
    BUCKET_TEST = "bucket_test", "bucket test"
    NEW_LINK = "new_link", "a new link"


class Reminder(models.Model):
    """One message to one person by one channel. Its state is its job's, asked for by relation."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    job = models.OneToOneField(
        "jobs.Job", models.PROTECT, related_name="reminder", db_constraint=True
    )
    person = models.ForeignKey(Person, models.PROTECT, related_name="reminders")
    channel = models.ForeignKey(Channel, models.PROTECT, related_name="reminders")
    # The address at the time; emptied with the octets.
    address = models.CharField(max_length=254, blank=True)
    use = models.CharField(max_length=15, choices=Use)
    visit = models.ForeignKey(
        Visit, models.PROTECT, related_name="reminders", null=True, blank=True
    )
    sequence = models.PositiveIntegerField(null=True, blank=True)
    # What else it is about: an inspection, an answer. Ids only.
    about = models.JSONField(default=dict)
    message_id = models.CharField(max_length=LINE, unique=True)
    subject = models.CharField(max_length=LINE, blank=True)
    # The octets as first made: a retry sends these and no others. Emptied after 90 days.
    octets = models.BinaryField(null=True, blank=True)
    made_at = models.DateTimeField(null=True, blank=True)
    # In the embedded default the mailbox page takes the mail.
    kept_here = models.BooleanField(default=False)

    class Meta:
        constraints = [
            *no_longer_than("reminder", address=254, message_id=LINE, subject=LINE),
            one_of("reminder", "use", Use.values),
        ]
        indexes = [models.Index(fields=["visit", "sequence"], name="reminder_of_visit")]

    def __str__(self) -> str:
        return f"reminder {self.pk}"


class DeliveryEvent(models.Model):
    """What a mail server or a person did with a message later: an event, never a state."""

    reminder = models.ForeignKey(
        Reminder, models.PROTECT, related_name="events", null=True, blank=True
    )
    at = models.DateTimeField()
    kind = models.CharField(max_length=20)
    status = models.CharField(max_length=20, blank=True)
    words = models.CharField(max_length=1000, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("delivery_event", kind=20, status=20, words=1000),
            UniqueConstraint(
                fields=["reminder", "kind", "status"],
                condition=Q(reminder__isnull=False),
                name="an_event_is_kept_once",
            ),
        ]

    def __str__(self) -> str:
        return f"delivery event {self.pk}"


class Suppression(Kept):
    """An address (as a keyed hash) that must not be written to, and for what."""

    address_hash = models.CharField(max_length=64)
    # "reminders": stopped by the household; "all": the address refuses, or was erased.
    kind = models.CharField(max_length=10)
    because = models.CharField(max_length=LINE, blank=True)
    since_at = models.DateTimeField()
    until_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("suppression", address_hash=64, because=LINE),
            one_of("suppression", "kind", ["reminders", "all"]),
            UniqueConstraint(
                fields=["address_hash", "kind"],
                condition=Q(until_at__isnull=True, removed_at__isnull=True),
                name="an_address_is_stopped_once",
            ),
        ]

    def __str__(self) -> str:
        return f"suppression {self.pk}"
