"""Who is told of a visit, by which address; and who cannot be told by mail."""

from datetime import date

from drainservice.accounts.models import Household, Person
from drainservice.register.models import Site
from drainservice.reminders.queries.addresses import Recipient, addresses_of

__all__ = ["Recipient", "household_of", "people_without_mail", "recipient_of", "recipients"]


def recipients(site: Site, day: date) -> list[Recipient]:
    """Everyone who decides, lives there or gives access and has a mail address."""
    return addresses_of(site_ids=[site.pk]).recipients(site.pk, day)


def recipient_of(person: Person, day: date) -> Recipient | None:
    """A person as they are told by mail; None without a good address."""
    return addresses_of(person_ids=[person.pk]).recipient_of(person, day)


def household_of(person: Person, day: date) -> Household | None:
    """The household in which a person is told on a day: the one joined first."""
    return addresses_of(person_ids=[person.pk]).household_of(person, day)


def people_without_mail(site: Site, day: date) -> list[Person]:
    """People to be asked whom no mail reaches, and nobody of whose household it reaches."""
    return addresses_of(site_ids=[site.pk]).without_mail(site.pk, day)
