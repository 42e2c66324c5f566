"""What is in the ground as an asker may see it: the only way to an object for a door."""

import re
from datetime import date, datetime

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Prefetch, Q, QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, NotFound
from drainservice.accounts.codes import read_lid_code
from drainservice.accounts.models import Channel, ChannelKind, Person
from drainservice.register.models import (
    Access,
    EquipmentType,
    Jurisdiction,
    Part,
    PartKind,
    Photo,
    Site,
    Status,
    System,
    WetSeason,
)

DIALLED = [ChannelKind.TELEPHONE, ChannelKind.TEXT]


def plain(text: str) -> str:
    """An address as it is searched: lower case, single spaces, no dots or commas."""
    return " ".join(re.sub(r"[.,;#]", " ", text).lower().split())[:200]


def sites_for(asker: Asker) -> QuerySet[Site]:
    """Sites this asker may see: the office all, a technician what a visit opens, a household
    those where one of its people plays a part today."""
    sites: QuerySet[Site] = Site.objects.standing()
    if asker.is_office:
        return sites
    if asker.is_technician:
        return sites.filter(pk__in=_open_accesses(asker).values("site_id"))
    if asker.is_household:
        return sites.filter(pk__in=parts_of_household(asker).values("site_id"))
    return sites.none()


def site_for(asker: Asker, site_id: int) -> Site:
    """One site. Errors: NotFound, the same for missing and foreign."""
    try:
        return sites_for(asker).select_related("jurisdiction").get(pk=site_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def systems_for(asker: Asker) -> QuerySet[System]:
    """Systems on the sites this asker may see."""
    systems: QuerySet[System] = System.objects.standing().select_related("site")
    return systems if asker.is_office else systems.filter(site__in=sites_for(asker))


def system_for(asker: Asker, system_id: int) -> System:
    """One system. Errors: NotFound."""
    try:
        return systems_for(asker).get(pk=system_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def system_by_code_for(asker: Asker, code: str) -> System:
    """One system by the code under its lid. Errors: NotFound."""
    lid_code = read_lid_code(code)
    found = systems_for(asker).filter(lid_code=lid_code).first() if lid_code else None
    if found is None:
        raise NotFound
    return found


def photo_for(asker: Asker, photo_id: object) -> Photo:
    """A photo of a system the asker may see. A household sees none taken before its tenure.

    Errors: NotFound.
    """
    photos = Photo.objects.standing().filter(system__in=systems_for(asker))
    found = photos.filter(pk=photo_id).select_related("system__site").first()
    if found is None:
        raise NotFound
    if asker.is_household:
        site = found.system.site
        since = tenure_since(asker, site)
        if since is None or found.taken_at is None or today_at(site, found.taken_at) < since:
            raise NotFound
    return found  # type: ignore[no-any-return]


def may_see_contacts(asker: Asker, site: Site) -> bool:
    """Contacts and codes: the office always, a technician from the evening before to day's end."""
    if asker.is_office:
        return True
    return (
        asker.is_technician
        and _open_accesses(asker)
        .filter(site=site, contacts_from_at__lte=asker.at, contacts_until_at__gt=asker.at)
        .exists()
    )


def find(asker: Asker, words: str, *, most: int = 12) -> list[System]:
    """Systems by what a caller can say: digits of a telephone, the start of a street or of a
    word in it, a name, a place name, a lid code. Best first."""
    words = words.strip()
    systems = systems_for(asker).exclude(status=Status.DUG_OUT).select_related("site")
    code = read_lid_code(words)
    exact = list(systems.filter(lid_code=code)) if code else []
    if exact:
        return exact
    wanted = plain(words)
    if not wanted:
        return []
    by = Q(site__address_plain__startswith=wanted) | Q(site__address_plain__contains=f" {wanted}")
    by |= Q(place__icontains=words) | Q(lid_code__startswith=words.upper().replace("-", "")[:6])
    if asker.is_office:
        by |= Q(site__in=_sites_of_people(words))
    return list(systems.filter(by).order_by("site__address_plain", "pk")[:most])


def _sites_of_people(words: str) -> QuerySet[Part]:
    """Numbers of the sites at which somebody of that name, telephone or mail address plays a part,
    or once did."""
    digits = re.sub(r"\D", "", words)
    people = Q(name__icontains=words)
    channels = Q()
    # "114 Maple" is a street: digits among letters are no telephone.
    if len(digits) >= 3 and not re.search(r"[^\W\d_]", words):
        channels |= Q(address__contains=digits, kind__in=DIALLED)
    if "@" in words:
        channels |= Q(address__istartswith=words)
    if channels:
        reached = Channel.objects.standing().filter(channels)
        people |= Q(pk__in=reached.values("person"))
    played = Part.objects.standing().filter(person__in=Person.objects.standing().filter(people))
    sites: QuerySet[Part] = played.values("site")  # type: ignore[assignment]
    return sites


def parts_at(site: Site, day: date) -> QuerySet[Part]:
    """Who plays which part at a site on a day."""
    parts: QuerySet[Part] = (
        Part.objects.standing()
        .filter(site=site, starts_on__lte=day)
        .filter(Q(ends_on__isnull=True) | Q(ends_on__gte=day))
        .select_related("person")
        .order_by("person_id", "part")
    )
    return parts


def parts_played(asker: Asker, site: Site) -> set[str]:
    """Which parts the asker's household plays at a site today: it scopes what its page says."""
    return set(parts_of_household(asker).filter(site=site).values_list("part", flat=True))


def tenure_since(asker: Asker, site: Site) -> date | None:
    """Since when the asker's household plays the parts it plays at a site today; words and people
    from before that day are not theirs to read."""
    first = parts_of_household(asker).filter(site=site).order_by("starts_on").first()
    return first.starts_on if first else None


def people_asked(site: Site, day: date) -> list[Person]:
    """Whom a visit is agreed with: everyone who decides, lives there or gives access."""
    asked = [PartKind.DECIDES, PartKind.LIVES, PartKind.ACCESS]
    parts = parts_at(site, day).filter(part__in=asked, person__removed_at__isnull=True)
    return list({part.person_id: part.person for part in parts}.values())


def jurisdictions() -> QuerySet[Jurisdiction]:
    """All that stand, by name."""
    found: QuerySet[Jurisdiction] = Jurisdiction.objects.standing().order_by("name")
    return found


def places_with_seasons() -> QuerySet[Jurisdiction]:
    """The same, each with the wet seasons that stand."""
    standing = WetSeason.objects.standing().order_by("starts")
    return jurisdictions().prefetch_related(Prefetch("wet_seasons", queryset=standing))


def all_equipment_types() -> QuerySet[EquipmentType]:
    """The firm's whole catalogue."""
    found: QuerySet[EquipmentType] = EquipmentType.objects.standing().order_by("part", "name")
    return found


def equipment_types(part: str) -> QuerySet[EquipmentType]:
    """The firm's catalogue for one kind of part."""
    found: QuerySet[EquipmentType] = (
        EquipmentType.objects.standing().filter(part=part).order_by("name")
    )
    return found


def systems_in_use() -> QuerySet[System]:
    """Every system that is looked after."""
    found: QuerySet[System] = System.objects.standing().filter(status=Status.IN_USE)
    return found


def today_at(site: Site, at: datetime) -> date:
    """The day at the site."""
    return wall.today_in(site.zone, at)


def _open_accesses(asker: Asker) -> QuerySet[Access]:
    found: QuerySet[Access] = Access.objects.standing().filter(
        account_id=asker.account_id, from_at__lte=asker.at, until_at__gt=asker.at
    )
    return found


def parts_of_household(asker: Asker) -> QuerySet[Part]:
    """Parts that people of the asker's household play today; they scope what it sees."""
    day = accounts.today_of_firm(asker.at)
    members = accounts.memberships_on(day).filter(household=asker.household_id)
    parts: QuerySet[Part] = (
        Part.objects.standing()
        .filter(person__in=members.values("person"), starts_on__lte=day)
        .filter(Q(ends_on__isnull=True) | Q(ends_on__gte=day))
    )
    return parts
