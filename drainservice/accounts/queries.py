"""Who is asking, the firm, and people as an asker may see them."""

from datetime import date, datetime
from typing import TypeVar

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Model, Q, QuerySet

from drainservice.accounts import links
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.models import Account, Change, Channel, Firm, Household, Person, Role

Row = TypeVar("Row", bound=Model)

# Role by verb: what each may do. An owner may all that a dispatcher may, and so on down.
RIGHTS: dict[str, set[str]] = {
    "book": {Role.OWNER, Role.DISPATCHER},
    "bring_in": {Role.OWNER, Role.DISPATCHER},
    "hold_back_messages": {Role.OWNER, Role.DISPATCHER},
    "change_settings": {Role.OWNER},
    "change_people_of_the_firm": {Role.OWNER},
    "record_inspection": {Role.OWNER, Role.DISPATCHER, Role.TECHNICIAN},
}


def firm() -> Firm | None:
    """The firm's settings, or None before the first person has come in."""
    return Firm.objects.first()


def the_firm() -> Firm:
    """The firm's settings, which are there once anything is."""
    return Firm.objects.get(pk=1)


def may(asker: Asker, verb: str) -> bool:
    """Whether this asker has the right."""
    return asker.kind in {"clock", "command"} or asker.role in RIGHTS[verb]


def asker_by_link(signed: str, *, at: datetime, door: str) -> tuple[Asker, links.HouseholdLink]:
    """Who comes by a household's link. Errors: LinkBroken, LinkTooOld.

    A link ends with the household's number, with the person's membership, or by age.
    """
    link = links.read_link(signed)
    is_member = Household.objects.filter(
        pk=link.household_id,
        link_number=link.link_number,
        removed_at__isnull=True,
        memberships__person_id=link.person_id,
        memberships__removed_at__isnull=True,
    ).filter(Q(memberships__ends_on__isnull=True) | Q(memberships__ends_on__gte=at.date()))
    if not is_member.exists():
        raise links.LinkTooOld
    asker = Asker(
        at=at,
        kind="household",
        person_id=link.person_id,
        household_id=link.household_id,
        door=door,
    )
    return asker, link


def person_for(asker: Asker, person_id: int) -> Person:
    """A person, for the office or for themselves. Errors: NotFound."""
    people = Person.objects.standing()
    if not asker.is_office:
        people = people.filter(pk=asker.person_id or 0)
    found: Person = _one(people, person_id)
    return found


def household_for(asker: Asker, household_id: int) -> Household:
    """A household, for the office or for its own people. Errors: NotFound."""
    households = Household.objects.standing()
    if not asker.is_office:
        households = households.filter(pk=asker.household_id or 0)
    found: Household = _one(households, household_id)
    return found


def account_for(asker: Asker, handle: str) -> Account:
    """An account by its handle: the office sees all, a technician their own. Errors: NotFound."""
    accounts = technicians_and_office()
    if not asker.is_office:
        accounts = accounts.filter(pk=asker.account_id or 0)
    found = accounts.filter(handle=handle).first()
    if found is None:
        raise NotFound
    return found


def technicians_and_office() -> QuerySet[Account]:
    """All accounts that are on."""
    return Account.objects.filter(is_active=True, removed_at__isnull=True).select_related("person")


def technicians() -> QuerySet[Account]:
    """Everyone who goes out, in order of handle."""
    return technicians_and_office().filter(role=Role.TECHNICIAN).order_by("handle")


def channels_of(person: Person) -> QuerySet[Channel]:
    """How a person is reached, best first; addresses that failed are left out."""
    found: QuerySet[Channel] = (
        Channel.objects.standing()
        .filter(person=person, bad_since__isnull=True)
        .order_by("rank", "id")
    )
    return found


def members_on(household: Household, day: date) -> QuerySet[Person]:
    """The people of a household on a day."""
    found: QuerySet[Person] = (
        Person.objects.standing()
        .filter(
            memberships__household=household,
            memberships__removed_at__isnull=True,
            memberships__starts_on__lte=day,
        )
        .filter(Q(memberships__ends_on__isnull=True) | Q(memberships__ends_on__gte=day))
        .order_by("pk")
        .distinct()
    )
    return found


def changes_of_site(asker: Asker, site_id: int, *, most: int = 200) -> list[Change]:
    """What was changed at a site, newest first, for the office."""
    if not asker.is_office:
        raise NotFound
    return list(Change.objects.filter(site=site_id).order_by("-at", "-pk")[:most])


def _one(rows: "QuerySet[Row]", pk: int) -> Row:
    try:
        return rows.get(pk=pk)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def demo_accounts() -> QuerySet[Account]:
    """One account for each audience of a demonstration; none anywhere else."""
    standing = technicians_and_office()
    is_demo = Firm.objects.filter(is_demo=True).exists()
    return standing.order_by("pk") if is_demo else standing.none()
