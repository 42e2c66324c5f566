"""What is written and never changed: history, one-time links, slow-down marks, what was seen."""

from django.conf import settings
from django.db import models
from django.db.models import UniqueConstraint

from drainservice.bounds import LINE, no_longer_than


class Change(models.Model):
    """One change of one row: who, when, through which door, before and after. Append-only."""

    at = models.DateTimeField(db_index=True)
    asker = models.CharField(max_length=60)
    door = models.CharField(max_length=80, blank=True)
    request_id = models.CharField(max_length=40, blank=True)
    action = models.CharField(max_length=20)
    # Changes made by one act share a group, so that the act can be undone as one.
    group = models.CharField(max_length=40, blank=True, db_index=True)
    # Numbers, not keys: history outlives what it speaks of.
    subject = models.CharField(max_length=60)
    subject_id = models.CharField(max_length=40)
    site = models.BigIntegerField(null=True, blank=True, db_index=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    private = models.JSONField(null=True, blank=True)

    class Meta:
        constraints = no_longer_than(
            "change",
            asker=60,
            door=80,
            request_id=40,
            action=20,
            group=40,
            subject=60,
            subject_id=40,
        )
        indexes = [models.Index(fields=["subject", "subject_id", "at"], name="change_of_subject")]

    def __str__(self) -> str:
        return f"change {self.pk}"


class OneTimeLink(models.Model):
    """A way in that works once. Only the hash of its 32 random bytes is stored."""

    token_hash = models.CharField(max_length=64, unique=True)
    purpose = models.CharField(max_length=20)
    account = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = no_longer_than("one_time_link", purpose=20, token_hash=64)

    def __str__(self) -> str:
        return f"one-time link {self.pk}"


class Throttle(models.Model):
    """The earliest moment at which a key (a keyed hash) may try again."""

    key = models.CharField(max_length=64, primary_key=True)
    next_at = models.FloatField()

    def __str__(self) -> str:
        return f"throttle {self.pk[:8]}"


class Seen(models.Model):
    """That a page was looked at. It decides nothing; the one table a GET may write."""

    what = models.CharField(max_length=LINE)
    person = models.ForeignKey("accounts.Person", models.CASCADE, related_name="+")
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()

    class Meta:
        constraints = [
            *no_longer_than("seen", what=LINE),
            UniqueConstraint(fields=["what", "person"], name="seen_once_a_thing_and_person"),
        ]

    def __str__(self) -> str:
        return f"seen {self.pk}"
