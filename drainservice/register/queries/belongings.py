"""What belongs to a site, and the people and households of a site, for the office's forms."""

from datetime import date
from typing import Any

from django.db.models import Q, QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts.models import Away, Channel, Household, Person
from drainservice.register.models import (
    Agreement,
    LocateTicket,
    Permit,
    SharedMain,
    Site,
    Surrounding,
)
from drainservice.register.queries.scope import parts_at


def surroundings_of(site: Site) -> QuerySet[Surrounding]:
    """What stands or lies near, in order of kind."""
    found: QuerySet[Surrounding] = Surrounding.objects.standing().filter(site=site)
    return found.order_by("kind", "pk")


def permits_of(site: Site) -> QuerySet[Permit]:
    """Its permits."""
    found: QuerySet[Permit] = Permit.objects.standing().filter(site=site)
    return found.order_by("pk")


def locate_tickets_of(site: Site) -> QuerySet[LocateTicket]:
    """Its locate tickets, the last one first."""
    found: QuerySet[LocateTicket] = LocateTicket.objects.standing().filter(site=site)
    return found.order_by("-valid_until", "pk")


def people_at(site: Site, day: date) -> QuerySet[Person]:
    """Who plays a part at a site on a day."""
    played: QuerySet[Any] = parts_at(site, day).order_by().values("person")
    found: QuerySet[Person] = Person.objects.standing().filter(pk__in=played)
    return found.order_by("pk")


def households_at(site: Site, day: date) -> QuerySet[Household]:
    """The households of the people who play a part at a site on a day."""
    members = accounts.memberships_on(day).filter(person__in=people_at(site, day).values("pk"))
    found: QuerySet[Household] = Household.objects.standing().filter(
        pk__in=members.values("household")
    )
    return found.order_by("pk")


def channels_at(site: Site, day: date) -> QuerySet[Channel]:
    """Every way to reach the people of a site, best first."""
    found: QuerySet[Channel] = Channel.objects.standing().filter(
        person__in=people_at(site, day).values("pk")
    )
    return found.order_by("person_id", "rank", "pk")


def aways_at(site: Site, day: date) -> QuerySet[Away]:
    """Days on which the households of a site are away, past ones left out."""
    found: QuerySet[Away] = Away.objects.standing().filter(
        household__in=households_at(site, day).values("pk"), ends_on__gte=day
    )
    return found.order_by("starts_on", "pk")


def agreements_at(site: Site, day: date) -> QuerySet[Agreement]:
    """Agreements of the households of a site, and those of its systems."""
    found: QuerySet[Agreement] = Agreement.objects.standing().filter(
        Q(payer__in=households_at(site, day).values("pk"))
        | Q(systems__site=site, systems__removed_at__isnull=True)
    )
    return found.select_related("payer").distinct().order_by("starts_on", "pk")


def mains() -> QuerySet[SharedMain]:
    """Every shared main, by name."""
    found: QuerySet[SharedMain] = SharedMain.objects.standing().order_by("name", "pk")
    return found


def mains_at(site: Site) -> QuerySet[SharedMain]:
    """The mains under a site, or joined from there."""
    joined = Q(lines__system__site=site, lines__removed_at__isnull=True)
    return mains().filter(Q(sites=site) | joined).distinct()
