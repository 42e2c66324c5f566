"""Who is told of a visit, by which address; and who cannot be told by mail."""

from dataclasses import dataclass
from datetime import date

from drainservice.accounts import queries as accounts
from drainservice.accounts.models import Channel, ChannelKind, Household, Person
from drainservice.register.models import Site
from drainservice.register.queries import people_asked


@dataclass(frozen=True, slots=True)
class Recipient:
    """One person, the household in which they are told, and one mail address of theirs."""

    person: Person
    household: Household | None
    channel: Channel


def recipients(site: Site, day: date) -> list[Recipient]:
    """Everyone who decides, lives there or gives access and has a mail address.

    Two of a household with one address get one message; two households with one address get one
    each, since each has its own link and its own answer.
    """
    found: dict[tuple[int, str], Recipient] = {}
    for person in people_asked(site, day):
        recipient = recipient_of(person, day)
        if recipient is None:
            continue
        household = recipient.household
        told_with = household.pk if household else -person.pk
        found.setdefault((told_with, recipient.channel.address.lower()), recipient)
    return list(found.values())


def recipient_of(person: Person, day: date) -> Recipient | None:
    """A person as they are told by mail; None without a good address."""
    channel = accounts.channels_of(person).filter(kind=ChannelKind.MAIL).first()
    if channel is None:
        return None
    return Recipient(person, household_of(person, day), channel)


def household_of(person: Person, day: date) -> Household | None:
    """The household in which a person is told on a day: the one joined first."""
    memberships = person.memberships.filter(
        removed_at__isnull=True, household__removed_at__isnull=True, starts_on__lte=day
    ).select_related("household")
    open_then = [m for m in memberships if m.ends_on is None or m.ends_on >= day]
    open_then.sort(key=lambda m: (m.starts_on, m.pk))
    return open_then[0].household if open_then else None


def people_without_mail(site: Site, day: date) -> list[Person]:
    """People to be asked whom no mail reaches, and nobody of whose household it reaches."""
    people = people_asked(site, day)
    reached = {r.household.pk for r in recipients(site, day) if r.household is not None}
    without = []
    for person in people:
        household = household_of(person, day)
        is_reached = household is not None and household.pk in reached
        if not is_reached and recipient_of(person, day) is None:
            without.append(person)
    return without
