"""Who signs in: one person of the firm each."""

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q, UniqueConstraint

from drainservice.accounts.models.kept import Kept
from drainservice.accounts.models.people import Person
from drainservice.bounds import no_longer_than, one_of


class Role(models.TextChoices):
    """What an account may do; the table of rights is `accounts.queries.RIGHTS`."""

    OWNER = "owner", "owner"
    DISPATCHER = "dispatcher", "dispatcher"
    TECHNICIAN = "technician", "technician"


class AccountManager(BaseUserManager["Account"]):
    """A sign-in name is looked up among the accounts that stand: one taken away lets nobody in."""

    def get_by_natural_key(self, username: str | None) -> "Account":
        """The standing account of that name."""
        return self.get(name=username, removed_at__isnull=True)


class Account(AbstractBaseUser, Kept):
    """A sign-in name, a password (or none: one-time links only) and a role."""

    PRIVATE = ("name", "password")

    person = models.OneToOneField(Person, models.PROTECT, related_name="account")
    name = models.CharField("sign-in name", max_length=60)
    role = models.CharField(max_length=10, choices=Role)
    # The word in addresses: /rounds/2027-05-12/andrea
    handle = models.SlugField(max_length=40)
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "name"
    EMAIL_FIELD = ""
    REQUIRED_FIELDS: ClassVar[list[str]] = []
    objects: ClassVar[AccountManager] = AccountManager()  # type: ignore[assignment]

    class Meta:
        constraints = [
            *no_longer_than("account", name=60, handle=40, password=128),
            one_of("account", "role", Role.values),
            UniqueConstraint(
                fields=["name"],
                condition=Q(removed_at__isnull=True),
                name="a_sign_in_name_is_used_once",
            ),
            UniqueConstraint(
                fields=["handle"],
                condition=Q(removed_at__isnull=True),
                name="a_handle_is_used_once",
            ),
        ]

    def __str__(self) -> str:
        return f"account {self.pk}"

    @property
    def is_office(self) -> bool:
        """Whether this account may do everything in the office."""
        return self.role in {Role.OWNER, Role.DISPATCHER}
