"""How the people of many sites are reached, loaded at once: three statements, however many."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from drainservice.accounts.models import Channel, ChannelKind, Household, Membership, Person
from drainservice.register.models import Part, PartKind

ASKED = [PartKind.DECIDES, PartKind.LIVES, PartKind.ACCESS]


@dataclass(frozen=True, slots=True)
class Recipient:
    """One person, the household in which they are told, and one mail address of theirs."""

    person: Person
    household: Household | None
    channel: Channel


@dataclass(frozen=True, slots=True)
class Addresses:
    """Who is asked at each site, whose household each is of, and their good addresses."""

    parts: dict[int, list[Part]]
    memberships: dict[int, list[Membership]]
    channels: dict[int, list[Channel]]

    def people_asked(self, site_id: int, day: date) -> list[Person]:
        """Whom a visit is agreed with: everyone who decides, lives there or gives access."""
        then = [part for part in self.parts.get(site_id, []) if _holds(part, day)]
        return list({part.person_id: part.person for part in then}.values())

    def household_of(self, person: Person, day: date) -> Household | None:
        """The household in which a person is told on a day: the one joined first."""
        then = [one for one in self.memberships.get(person.pk, []) if _holds(one, day)]
        then.sort(key=lambda one: (one.starts_on, one.pk))
        return then[0].household if then else None

    def recipient_of(self, person: Person, day: date) -> Recipient | None:
        """A person as they are told by mail; None without a good address."""
        channel = next(iter(self._by(person, ChannelKind.MAIL)), None)
        return Recipient(person, self.household_of(person, day), channel) if channel else None

    def recipients(self, site_id: int, day: date) -> list[Recipient]:
        """Everyone asked who has a mail address.

        Two of a household with one address get one message; two households with one address get
        one each, since each has its own link and its own answer.
        """
        found: dict[tuple[int, str], Recipient] = {}
        for person in self.people_asked(site_id, day):
            recipient = self.recipient_of(person, day)
            if recipient is None:
                continue
            household = recipient.household
            told_with = household.pk if household else -person.pk
            found.setdefault((told_with, recipient.channel.address.lower()), recipient)
        return list(found.values())

    def without_mail(self, site_id: int, day: date) -> list[Person]:
        """People asked whom no mail reaches, and nobody of whose household it reaches."""
        told = self.recipients(site_id, day)
        reached = {one.household.pk for one in told if one.household is not None}
        without = []
        for person in self.people_asked(site_id, day):
            household = self.household_of(person, day)
            is_reached = household is not None and household.pk in reached
            if not is_reached and self.recipient_of(person, day) is None:
                without.append(person)
        return without

    def numbers_of(self, person: Person) -> list[str]:
        """A person's telephone numbers, best first."""
        return [channel.address for channel in self._by(person, ChannelKind.TELEPHONE)]

    def _by(self, person: Person, kind: str) -> list[Channel]:
        return [one for one in self.channels.get(person.pk, []) if one.kind == kind]


def addresses_of(*, site_ids: Iterable[int] = (), person_ids: Iterable[int] = ()) -> Addresses:
    """The people asked at these sites, and these people beside."""
    parts = (
        Part.objects.standing()
        .filter(site__in=set(site_ids), part__in=ASKED, person__removed_at__isnull=True)
        .select_related("person")
        .order_by("person_id", "part")
    )
    at_site = _grouped(parts, "site_id")
    people = {*person_ids, *(part.person_id for rows in at_site.values() for part in rows)}
    memberships = (
        Membership.objects.standing()
        .filter(person__in=people, household__removed_at__isnull=True)
        .select_related("household")
    )
    channels = Channel.objects.standing().filter(person__in=people, bad_since__isnull=True)
    return Addresses(
        parts=at_site,
        memberships=_grouped(memberships, "person_id"),
        channels=_grouped(channels.order_by("rank", "id"), "person_id"),
    )


Row = TypeVar("Row")


def _grouped(rows: Iterable[Row], name: str) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    return dict(found)


def _holds(row: Part | Membership, day: date) -> bool:
    return row.starts_on <= day and (row.ends_on is None or row.ends_on >= day)
