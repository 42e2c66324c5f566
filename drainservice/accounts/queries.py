"""Who is asking, the firm, and people as an asker may see them."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from copy import copy
from datetime import date, datetime, timedelta
from typing import TypeVar

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Model, Q, QuerySet

from drainservice.accounts import links, wall
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.models import (
    Account,
    Change,
    Channel,
    Firm,
    Household,
    Membership,
    Person,
    Role,
)

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


# The firm's row as a request has read it; no box outside of one.
_read: ContextVar[list[Firm] | None] = ContextVar("firm_read", default=None)


@contextmanager
def firm_read_once() -> Iterator[None]:
    """Within one request the firm's row is read once, however often it is asked for."""
    token = _read.set([])
    try:
        yield
    finally:
        _read.reset(token)


def forget_firm() -> None:
    """The row was changed: whoever asks next reads it anew."""
    box = _read.get()
    if box:
        box.clear()


def firm() -> Firm | None:
    """The firm's settings, or None before the first person has come in."""
    box = _read.get()
    if not box:
        found = Firm.objects.first()
        if box is None or found is None:
            return found
        box.append(found)
    # Each asker has a row of their own: a form writes into the one it shows.
    return copy(box[0])


def the_firm() -> Firm:
    """The firm's settings, which are there once anything is."""
    found = firm()
    if found is None:
        raise Firm.DoesNotExist
    return found


def may(asker: Asker, verb: str) -> bool:
    """Whether this asker has the right."""
    return asker.kind in {"clock", "command"} or asker.role in RIGHTS[verb]


def asker_by_link(signed: str, *, at: datetime, door: str) -> tuple[Asker, links.HouseholdLink]:
    """Who comes by a household's link. Errors: LinkBroken, LinkTooOld.

    A link ends with the household's number, with the person's membership, or by age.
    """
    link = links.read_link(signed)
    is_member = memberships_on(today_of_firm(at)).filter(
        person=link.person_id,
        household=link.household_id,
        household__link_number=link.link_number,
    )
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


def accounts_of_firm() -> QuerySet[Account]:
    """All accounts, those switched off too."""
    return Account.objects.filter(removed_at__isnull=True).select_related("person")


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


def today_of_firm(at: datetime) -> date:
    """The day it is where the firm is; by UTC before there is a firm."""
    standing = firm()
    return wall.today_in(standing.zone if standing else "UTC", at)


def memberships_on(day: date) -> QuerySet[Membership]:
    """Who belongs to which household on a day, of those that were not removed."""
    found: QuerySet[Membership] = (
        Membership.objects.standing()
        .filter(
            starts_on__lte=day, person__removed_at__isnull=True, household__removed_at__isnull=True
        )
        .filter(Q(ends_on__isnull=True) | Q(ends_on__gte=day))
    )
    return found


def members_on(household: Household, day: date) -> QuerySet[Person]:
    """The people of a household on a day."""
    members = memberships_on(day).filter(household=household)
    found: QuerySet[Person] = Person.objects.filter(pk__in=members.values("person"))
    return found.order_by("pk")


def was_done_before(asker: Asker, group: str) -> bool:
    """Whether this asker has done this very act before: a form sent twice adds once."""
    return _is_group(group) and Change.objects.filter(group=group, asker=asker.named()).exists()


def may_still_undo(asker: Asker, group: str, *, within: timedelta) -> bool:
    """Whether an act of this asker is so fresh that nobody was told of it, and not undone yet."""
    mine = Change.objects.filter(group=group, asker=asker.named(), at__gte=asker.at - within)
    return _is_group(group) and mine.exclude(action="undone").exists()


def _is_group(text: str) -> bool:
    """An address may bring anything; PostgreSQL cannot even be asked for some of it."""
    return text.isascii() and text.isalnum() and len(text) <= 40


def sites_of_act(group: str) -> set[int]:
    """The sites at which one act changed something."""
    found = Change.objects.filter(group=group, site__isnull=False).values_list("site", flat=True)
    return {site for site in found if site is not None}


def rows_of_act(group: str, subject: str) -> list[Change]:
    """What one act did to the rows of one table, such as "visits.visit"; its undoing too."""
    return list(
        Change.objects.filter(group=group, subject=subject).exclude(group="").order_by("pk")
    )


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
