"""Households, their people, and how each is reached."""

from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.models.kept import Kept
from drainservice.bounds import LINE, NOTE, in_range, no_longer_than, not_before, one_of


class Household(Kept):
    """People who are told together; never more than one message an address."""

    PRIVATE = ("name", "note")

    name = models.CharField(max_length=LINE)
    language = models.CharField(max_length=5, default="en")
    quiet_from = models.TimeField(null=True, blank=True)
    quiet_until = models.TimeField(null=True, blank=True)
    # Raised by one to end every link the household holds.
    link_number = models.PositiveIntegerField(default=1)
    # "Not my house" and the like: nothing is asked any more; dangers are still told.
    asking_stopped_at = models.DateTimeField(null=True, blank=True)
    asking_stopped_because = models.CharField(max_length=LINE, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            *no_longer_than("household", name=LINE, note=NOTE, asking_stopped_because=LINE),
            one_of("household", "language", ["en", "es"]),
            in_range("household", "link_number", 1, 1_000_000),
        ]

    def __str__(self) -> str:
        return f"household {self.pk}"


class Away(Kept):
    """Days on which nobody is home: who holds the key, does the pump keep its power."""

    PRIVATE = ("key_holder",)

    household = models.ForeignKey(Household, models.PROTECT, related_name="aways")
    starts_on = models.DateField()
    ends_on = models.DateField()
    key_holder = models.CharField(max_length=LINE, blank=True)
    pump_is_powered = models.BooleanField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("away", key_holder=LINE),
            not_before("away", "ends_on", "starts_on"),
        ]

    def __str__(self) -> str:
        return f"away {self.pk}"


class Person(Kept):
    """Anyone with a name: of a household, of an agency, of the firm."""

    PRIVATE = ("name", "note")

    name = models.CharField(max_length=LINE)
    note = models.TextField(blank=True)

    class Meta:
        constraints = no_longer_than("person", name=LINE, note=NOTE)

    def __str__(self) -> str:
        return f"person {self.pk}"


class Membership(Kept):
    """A person belongs to a household from one day to another."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships")
    household = models.ForeignKey(Household, models.PROTECT, related_name="memberships")
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            not_before("membership", "ends_on", "starts_on"),
            UniqueConstraint(
                fields=["person", "household"],
                condition=Q(ends_on__isnull=True, removed_at__isnull=True),
                name="a_person_is_once_in_a_household",
            ),
        ]

    def __str__(self) -> str:
        return f"membership {self.pk}"


class ChannelKind(models.TextChoices):
    """Ways to reach a person, of equal standing."""

    MAIL = "mail", "mail"
    TELEPHONE = "telephone", "telephone"
    LETTER = "letter", "letter"
    TEXT = "text", "text message"


class Channel(Kept):
    """One address of one person, and whether it may be used."""

    PRIVATE = ("address",)

    person = models.ForeignKey(Person, models.PROTECT, related_name="channels")
    kind = models.CharField(max_length=10, choices=ChannelKind)
    address = models.CharField(max_length=254)
    rank = models.PositiveSmallIntegerField(default=1)
    consent_at = models.DateTimeField(null=True, blank=True)
    consent_how = models.CharField(max_length=LINE, blank=True)
    bad_since = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            *no_longer_than("channel", address=254, consent_how=LINE),
            one_of("channel", "kind", ChannelKind.values),
            in_range("channel", "rank", 1, 99),
            UniqueConstraint(
                fields=["person", "kind", "address"],
                condition=Q(removed_at__isnull=True),
                name="a_person_has_an_address_once",
            ),
        ]

    def __str__(self) -> str:
        return f"channel {self.pk}"
