"""Sites with the households that decide, live there, give access and pay."""

import random
from dataclasses import dataclass
from datetime import date, timedelta

from drainservice.accounts import actions as accounts
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account, Household, Person
from drainservice.register import actions as register
from drainservice.register.models import Site
from drainservice.web.demo.county import REGION, TOWNS, ZONE, County
from drainservice.web.demo.names import Names

ALL_PARTS = ("decides", "lives", "access", "pays")
PARTS = {"hoa": ("decides", "access", "pays"), "tenant": ("decides", "pays")}


@dataclass(slots=True)
class Home:
    """A site, who answers for it, and which technician goes there."""

    site: Site
    household: Household
    person: Person
    other: Person | None
    technician: Account
    kind: str
    has_mail: bool

    def answers_by(self) -> str:
        """How this household answers as a rule."""
        return "link" if self.has_mail else "telephone"


def make_home(
    county: County,
    names: Names,
    rng: random.Random,
    *,
    kind: str,
    town: int,
    entered_on: date,
    asker: Asker,
) -> Home:
    """A property in a town, with its people since the day it was entered."""
    site = _site(county, names, rng, kind=kind, town=town, asker=asker)
    language = "es" if kind == "spanish" else "en"
    name = names.person(language=language)
    has_mail = kind not in {"no_mail"} and (bool(kind) or rng.random() > 0.1)
    person = _person(names, name, asker, has_mail=has_mail)
    title = "Heron Court owners' board" if kind == "hoa" else name.split()[-1]
    household = accounts.enter_household(asker=asker, name=title, language=language)
    accounts.join_household(person, household, asker=asker, starts_on=entered_on)
    for part in PARTS.get(kind, ALL_PARTS):
        register.give_part(person, site, asker=asker, part=part, starts_on=entered_on)
    home = Home(
        site=site,
        household=household,
        person=person,
        other=None,
        technician=county.technicians[town],
        kind=kind,
        has_mail=has_mail,
    )
    if kind == "tenant":
        home.other = _tenant(home, names, entered_on, asker)
    elif kind == "split" or (not kind and rng.random() < 0.18):
        home.other = _second_person(home, names, entered_on, asker, has_mail=kind == "split")
    return home


def sell_house(home: Home, names: Names, *, on: date, at: Asker) -> None:
    """The house changes hands: the old parts end, the new people's begin; history stays."""
    for part in home.site.parts.all():
        register.end_part(part, asker=at, ends_on=on)
    name = names.person()
    person = _person(names, name, at, has_mail=True)
    household = accounts.enter_household(asker=at, name=name.split()[-1])
    accounts.join_household(person, household, asker=at, starts_on=on + timedelta(days=1))
    for part in ALL_PARTS:
        register.give_part(person, home.site, asker=at, part=part, starts_on=on + timedelta(days=1))
    home.household, home.person, home.other = household, person, None


def _site(
    county: County, names: Names, rng: random.Random, *, kind: str, town: int, asker: Asker
) -> Site:
    city, postcode, (latitude, longitude), rules = TOWNS[town]
    has_gate = kind == "dog" or rng.random() < 0.2
    return register.enter_site(
        asker=asker,
        address="1 Heron Court" if kind == "hoa" else names.address(),
        city=city,
        region=REGION,
        postcode=postcode,
        latitude=round(latitude + rng.uniform(-0.015, 0.015), 5),
        longitude=round(longitude + rng.uniform(-0.018, 0.018), 5),
        zone=ZONE,
        jurisdiction=county.jurisdictions[rules],
        access_note="Side gate left of the garage." if has_gate else "",
        codes=f"side gate {rng.randrange(1000, 9999)}" if has_gate else "",
        dog_note="Large dog, friendly once told." if kind == "dog" else "",
        access_confirmed_on=asker.at.date() if has_gate else None,
    )


def _person(names: Names, name: str, asker: Asker, *, has_mail: bool) -> Person:
    person = accounts.enter_person(asker=asker, name=name)
    if has_mail:
        accounts.enter_channel(person, asker=asker, kind="mail", address=names.mail(name))
    accounts.enter_channel(
        person, asker=asker, kind="telephone", address=names.phone(), rank=2 if has_mail else 1
    )
    return person


def _tenant(home: Home, names: Names, since: date, asker: Asker) -> Person:
    """Lives there and opens the gate; hears nothing of what the landlord decides and pays."""
    name = names.person()
    tenant = _person(names, name, asker, has_mail=True)
    household = accounts.enter_household(asker=asker, name=name.split()[-1])
    accounts.join_household(tenant, household, asker=asker, starts_on=since)
    for part in ("lives", "access"):
        register.give_part(tenant, home.site, asker=asker, part=part, starts_on=since)
    return tenant


def _second_person(
    home: Home, names: Names, since: date, asker: Asker, *, has_mail: bool
) -> Person:
    other = _person(names, names.relative(home.person.name), asker, has_mail=has_mail)
    accounts.join_household(other, home.household, asker=asker, starts_on=since)
    for part in ("decides", "lives"):
        register.give_part(other, home.site, asker=asker, part=part, starts_on=since)
    return other
