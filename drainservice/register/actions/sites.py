"""Writing sites: whose rules hold, who plays which part, who may go in, what was agreed."""

from datetime import date
from typing import Any

from django.db import transaction

from drainservice.accounts import history, text
from drainservice.accounts.actions import zone_is_known
from drainservice.accounts.asker import Asker
from drainservice.accounts.codes import seal, unseal
from drainservice.accounts.models import Household, Person
from drainservice.register import queries
from drainservice.register.actions.belongings import say_site_changed
from drainservice.register.actions.shapes import month_day, rates_per_year, reveals, rule_months
from drainservice.register.models import (
    Access,
    Agreement,
    EquipmentType,
    Jurisdiction,
    LocateTicket,
    Part,
    Permit,
    Site,
    Surrounding,
    System,
    WetSeason,
)


@transaction.atomic
def enter_jurisdiction(
    *, asker: Asker, wet_seasons: list[tuple[str, str]], **values: Any
) -> Jurisdiction:
    """Whose rules hold, with its wet seasons as month-day pairs. Errors: ShapeRefused."""
    seasons = [
        WetSeason(
            starts=month_day(starts, what="The start of a wet season"),
            ends=month_day(ends, what="The end of a wet season"),
        )
        for starts, ends in wet_seasons
    ]
    for field, what in (("frost_from", "The start of frost"), ("frost_until", "The end of frost")):
        if values.get(field):
            month_day(values[field], what=what)
    values["rule_months"] = rule_months(values.get("rule_months", {}))
    jurisdiction = history.enter(Jurisdiction(**values), asker=asker)
    for season in seasons:
        season.jurisdiction = jurisdiction
    history.enter_rows(seasons, asker=asker)
    return jurisdiction


@transaction.atomic
def enter_equipment_type(*, asker: Asker, **values: Any) -> EquipmentType:
    """One type in the firm's catalogue. Errors: ShapeRefused."""
    values["rates_per_year"] = rates_per_year(values.get("rates_per_year", {}))
    values["reveals"] = reveals(values.get("reveals", {}))
    return history.enter(EquipmentType(**values), asker=asker)


@transaction.atomic
def enter_site(*, asker: Asker, address: str, codes: str = "", **values: Any) -> Site:
    """A property; codes are sealed before they are stored. Errors: ZoneRefused, TextRefused."""
    zone_is_known(values["zone"])
    clean = text.clean_line(address, most=200, what="The address")
    site = Site(address=clean, address_plain=queries.plain(clean), codes=seal(codes), **values)
    return history.enter(site, asker=asker)


@transaction.atomic
def change_site(site: Site, *, asker: Asker, **new: Any) -> Site:
    """Change a site; an address is searched by its plain form, codes are sealed. Other rules or
    another zone change the dates of its systems. Errors: ZoneRefused, TextRefused."""
    if "zone" in new:
        zone_is_known(new["zone"])
    if "address" in new:
        new["address"] = text.clean_line(new["address"], most=200, what="The address")
        new["address_plain"] = queries.plain(new["address"])
    if "codes" in new:
        # The same code sealed again looks different and would be no change.
        code = new.pop("codes")
        new |= {"codes": seal(code)} if unseal(site.codes) != code else {}
    before = site.version
    history.keep(site, asker=asker, **new)
    if site.version != before and {"jurisdiction", "zone"} & set(new):
        say_site_changed(site, site, asker)
    return site


@transaction.atomic
def note_surrounding(site: Site, *, asker: Asker, **values: Any) -> Surrounding:
    """A tree, structure, private line or water from outside."""
    surrounding = history.enter(Surrounding(site=site, **values), asker=asker)
    say_site_changed(surrounding, site, asker)
    return surrounding


@transaction.atomic
def note_permit(site: Site, *, asker: Asker, **values: Any) -> Permit:
    """A permit."""
    return history.enter(Permit(site=site, **values), asker=asker)


@transaction.atomic
def note_locate_ticket(site: Site, *, asker: Asker, **values: Any) -> LocateTicket:
    """Utilities are located from one day to another."""
    return history.enter(LocateTicket(site=site, **values), asker=asker)


@transaction.atomic
def give_part(
    person: Person,
    site: Site,
    *,
    asker: Asker,
    part: str,
    starts_on: date,
    is_assumed: bool = False,
) -> Part:
    """A person plays a part at a site from that day; an open part of the kind is left as it is."""
    standing = Part.objects.standing().filter(
        person=person, site=site, part=part, ends_on__isnull=True
    )
    found = standing.first()
    if found is not None:
        return found  # type: ignore[no-any-return]
    new = Part(person=person, site=site, part=part, starts_on=starts_on, is_assumed=is_assumed)
    return history.enter(new, asker=asker)


@transaction.atomic
def end_part(part: Part, *, asker: Asker, ends_on: date) -> Part:
    """The person no longer plays it after that day; what was stays."""
    return history.keep(part, asker=asker, ends_on=ends_on)


@transaction.atomic
def enter_agreement(
    payer: Household, *, asker: Asker, systems: list[System], **values: Any
) -> Agreement:
    """What was agreed, for one or many systems."""
    agreement = history.enter(Agreement(payer=payer, **values), asker=asker)
    for system in systems:
        history.keep(system, asker=asker, agreement=agreement)
    return agreement


@transaction.atomic
def open_site(*, asker: Asker, account_id: int, site: Site, because: str, **times: Any) -> Access:
    """Let a technician see a site for a while; the same reason again moves its times."""
    standing = Access.objects.standing().filter(account_id=account_id, site=site, because=because)
    found: Access | None = standing.first()
    if found is not None:
        return history.keep(found, asker=asker, **times)
    new = Access(account_id=account_id, site=site, because=because, **times)
    return history.enter(new, asker=asker)


@transaction.atomic
def close_site(*, asker: Asker, because: str, but_account_id: int | None = None) -> None:
    """End what was opened for a reason, for all but one account."""
    for access in Access.objects.standing().filter(because=because):
        if access.account_id != but_account_id:
            history.remove(access, asker=asker)
