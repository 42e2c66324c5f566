"""Who decides, gives access and pays at a site, as a sheet tells it; nobody is replaced by it."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from drainservice.accounts.models import Channel, Household, Membership, Person
from drainservice.accounts.text import TextRefused, clean_email, clean_name, clean_phone
from drainservice.exchange.judging_rows import names_agree
from drainservice.exchange.keys import channel_key, person_keys
from drainservice.exchange.on_record import PersonEntry, Record, SiteEntry
from drainservice.exchange.plan import Plan
from drainservice.exchange.register_words import word_for
from drainservice.exchange.wanted import Unfit, because
from drainservice.register.models import Part

_OTHER_LANGUAGE = "the household is on record with another; change it there if the sheet is right"
TOLD_PARTS = ("decides", "access", "pays")


@dataclass(slots=True)
class People:
    """What came of it: the payer's household, whether it is new, and what could not be kept."""

    household: Household | None = None
    is_new: bool = False
    added: list[str] = field(default_factory=list)
    unfit: list[Unfit] = field(default_factory=list)
    differ: str = ""  # the names on record, where the sheet tells others


def place_people(
    facts: dict[str, Any],
    site: SiteEntry,
    record: Record,
    plan: Plan,
    *,
    today: date,
    household: Household | None,
    may_replace: bool,
) -> People:
    """Find or add the row's people; `household` is that of the row it goes on with."""
    people = People()
    names = _clean_names(facts, people)
    channels = _clean_channels(facts, people)
    standing = [entry for entry in site.people if entry.household is not None]
    if standing and names and not names_agree(names, site.names):
        if not may_replace:
            people.differ = " and ".join(site.names)
            return people
        _end_parts(site, plan, today)
        standing = []
    if not names and not standing:
        return people
    known = [record.people.get(key) for name in names for key in person_keys(name, channels)]
    found = next((entry for entry in known if entry and entry.household), None)
    agreed = [e for e in standing if names and names_agree(names, [e.person.name])] or standing
    people.household = (
        agreed[0].household if agreed else household or (found.household if found else None)
    )
    if people.household is None:
        new = Household(name=_household_name(names), language=_language(facts))
        people.household = plan.add(new)
        people.is_new = True
        people.added.extend({"household.language"} & set(facts))
    elif _language(facts) != people.household.language and "household.language" in facts:
        people.unfit.append(Unfit("household.language", "duplicate_conflict", _OTHER_LANGUAGE))
    entries = [
        _person(name, people, site, record, plan, channels, today=today) for name in names
    ] or standing
    _add_channels(entries, standing, channels, people, record, plan)
    return people


def place_tenant(name: str, site: SiteEntry, plan: Plan, *, today: date) -> bool:
    """Who lives there without deciding: a household of their own.  Errors: TextRefused."""
    name = clean_name(name)
    if site.names and names_agree([name], site.names):
        return False
    household = plan.add(Household(name=_household_name([name]), language="en"))
    entry = PersonEntry(plan.add(Person(name=name)), household)
    plan.add(Membership(person=entry.person, household=household, starts_on=today))
    _give_parts(entry, site, plan, ("lives",), today)
    return True


def _person(
    name: str,
    people: People,
    site: SiteEntry,
    record: Record,
    plan: Plan,
    channels: list[str],
    *,
    today: date,
) -> PersonEntry:
    here = next((e for e in site.people if names_agree([name], [e.person.name])), None)
    if here is not None:
        return here
    known = (record.people.get(key) for key in person_keys(name, channels))
    entry = next((e for e in known if e is not None), None)
    if entry is None:
        entry = PersonEntry(plan.add(Person(name=name)), people.household)
        plan.add(Membership(person=entry.person, household=people.household, starts_on=today))
        people.added.append("household.names")
        record.add_person(entry, channels)
        entry.channels.clear()
    _give_parts(entry, site, plan, TOLD_PARTS, today)
    return entry


def _give_parts(
    entry: PersonEntry, site: SiteEntry, plan: Plan, parts: tuple[str, ...], today: date
) -> None:
    for part in parts:
        plan.add(
            Part(person=entry.person, site=site.site, part=part, starts_on=today, is_assumed=True)
        )
    site.people.append(entry)


def _end_parts(site: SiteEntry, plan: Plan, today: date) -> None:
    """Whoever decided, gave access or paid until now does so no longer."""
    ids = [entry.person.pk for entry in site.people if entry.person.pk is not None]
    for part in Part.objects.standing().filter(
        site=site.site, person__in=ids, ends_on__isnull=True, part__in=TOLD_PARTS
    ):
        plan.put(part, ends_on=max(today, part.starts_on))
    site.people.clear()


def _add_channels(
    entries: list[PersonEntry],
    standing: list[PersonEntry],
    channels: list[str],
    people: People,
    record: Record,
    plan: Plan,
) -> None:
    """The sheet does not say whose telephone it is: it goes with the first, if nobody has it."""
    if not entries:
        return
    first = entries[0]
    for address in channels:
        key = channel_key(address)
        if any(key in entry.channels for entry in [*entries, *standing]):
            continue
        kind = "mail" if "@" in address else "telephone"
        rank = min(99, len(first.channels) + 1)
        plan.add(Channel(person=first.person, kind=kind, address=address, rank=rank))
        record.add_person(first, [address])
        people.added.append("household.emails" if "@" in address else "household.phones")


def _clean_names(facts: dict[str, Any], people: People) -> list[str]:
    told = [*facts.get("household.names", ()), *facts.get("household.other_names", ())]
    clean: list[str] = []
    for name in told:
        try:
            clean.append(clean_name(name))
        except TextRefused as refused:
            people.unfit.append(Unfit("household.names", "too_long", because(refused)))
    return list(dict.fromkeys(clean))


def _clean_channels(facts: dict[str, Any], people: People) -> list[str]:
    clean: list[str] = []
    for fact, cleaner, reason in (
        ("household.emails", clean_email, "invalid_email"),
        ("household.phones", clean_phone, "not_a_phone"),
    ):
        for told in facts.get(fact, ()):
            try:
                clean.append(cleaner(told))
            except TextRefused as refused:
                people.unfit.append(Unfit(fact, reason, because(refused)))
    return list(dict.fromkeys(clean))


def _household_name(names: list[str]) -> str:
    lasts = [name.split()[-1] for name in names if name.split()]
    return " and ".join(dict.fromkeys(lasts))[:200]


def _language(facts: dict[str, Any]) -> str:
    return word_for("household.language", str(facts.get("household.language", ""))) or "en"
