"""What the register holds of the sites and people a sheet names, loaded in a few statements."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from drainservice.accounts.models import Channel, Household, Membership, Person
from drainservice.exchange.keys import channel_key, person_keys, site_key, slip_key
from drainservice.exchange.models import SheetRow
from drainservice.exchange.people_places import address_key
from drainservice.exchange.report import Row
from drainservice.exchange.visits_told import READINGS
from drainservice.inspections.models import Inspection, Look, Reading
from drainservice.register import queries as register
from drainservice.register.models import Part, Site, System

AT_ONCE = 2_000  # well under what either database takes in one statement
_FACT_OF = {kind: fact for fact, kind in READINGS.items()}


@dataclass(slots=True)
class PersonEntry:
    """A person with every way to reach them and the household they belong to."""

    person: Person
    household: Household | None
    channels: set[str] = field(default_factory=set)


@dataclass(slots=True)
class SystemEntry:
    """A system, its parts by table, and the visits told or recorded, by day and span."""

    system: System
    parts: dict[str, Any] = field(default_factory=dict)
    curve: list[tuple[float, float]] = field(default_factory=list)
    visits: dict[tuple[date, str], dict[str, Any]] = field(default_factory=dict)
    is_bare: bool = False  # counted in the sheet, and nothing told of it yet

    @property
    def is_new(self) -> bool:
        """Not saved yet."""
        return self.system.pk is None


@dataclass(slots=True)
class SiteEntry:
    """A site with its systems and the people who play a part there."""

    site: Site
    systems: list[SystemEntry] = field(default_factory=list)
    people: list[PersonEntry] = field(default_factory=list)

    @property
    def is_new(self) -> bool:
        """Not saved yet."""
        return self.site.pk is None

    @property
    def names(self) -> list[str]:
        """The people's names."""
        return [entry.person.name for entry in self.people]


@dataclass(slots=True)
class Record:
    """What is on record and what the sheet has added so far."""

    sites: dict[str, list[SiteEntry]] = field(default_factory=lambda: defaultdict(list))
    slips: dict[tuple[str, ...], list[SiteEntry]] = field(default_factory=lambda: defaultdict(list))
    people: dict[tuple[str, str], PersonEntry] = field(default_factory=dict)
    taken: dict[str, int] = field(default_factory=dict)  # fingerprint -> system
    households: dict[tuple[str, int], Household] = field(default_factory=dict)  # by the row

    def add_site(self, entry: SiteEntry) -> None:
        """A site the sheet adds."""
        self.sites[address_key(entry.site.address)].append(entry)

    def add_person(self, entry: PersonEntry, channels: Iterable[str]) -> None:
        """A person, found again by name and channel."""
        for address in channels:
            entry.channels.add(channel_key(address))
            for key in person_keys(entry.person.name, [address]):
                self.people.setdefault(key, entry)


def load_record(rows: Iterable[Row], fingerprints: Iterable[str], *, today: date) -> Record:
    """All that the rows may touch."""
    record = Record()
    facts = [row.facts or row.held for row in rows]
    keys = {site_key(each) for each in facts if "site.address" in each}
    _load_sites(record, keys, today)
    _load_known_people(record, facts)
    for found in _in_parts(SheetRow.objects.filter(system__removed_at__isnull=True,
                           system__isnull=False), "fingerprint", set(fingerprints)):  # fmt: skip
        record.taken[found.fingerprint] = found.system_id
    return record


def _load_sites(record: Record, keys: set[str], today: date) -> None:
    slips = {slip_key(key) for key in keys}
    wanted: list[int] = []
    for pk, address in Site.objects.standing().values_list("pk", "address"):
        key = address_key(address)
        if key in keys or slip_key(key) in slips:
            wanted.append(pk)
    entries: dict[int, SiteEntry] = {}
    for site in _in_parts(Site.objects.standing().select_related("jurisdiction"), "pk", wanted):
        entry = entries[site.pk] = SiteEntry(site)
        key = address_key(site.address)
        record.sites[key].append(entry)
        record.slips[slip_key(key)].append(entry)
    systems: dict[int, SystemEntry] = {}
    for part in _parts_of(wanted):
        query = System.objects.standing().filter(site__in=part).order_by("pk")
        for whole in register.wholes(query, day=today):
            system = _entry_of(whole)
            systems[whole.system.pk] = system
            entries[whole.system.site_id].systems.append(system)
    _load_visits(systems)
    _load_people(record, entries)


def _entry_of(whole: register.Whole) -> SystemEntry:
    parts = {
        "pit": whole.pit,
        "pump": whole.pump,
        "valve": whole.valve,
        "line": whole.line,
        "section": whole.sections[0] if whole.sections else None,
        "lid": whole.access_point,
        "backup": whole.backups[0] if whole.backups else None,
        "downspout": whole.downspouts[0] if len(whole.downspouts) == 1 else None,
    }
    curve = [(p.flow_m3s, p.head_m) for p in whole.pump.curve_points.all()] if whole.pump else []
    entry = SystemEntry(whole.system, {k: v for k, v in parts.items() if v is not None}, curve)
    if len(whole.downspouts) > 1:
        entry.parts["downspouts"] = whole.downspouts
    return entry


def _load_visits(systems: dict[int, SystemEntry]) -> None:
    inspections: dict[Any, dict[str, Any]] = {}
    for each in _in_parts(Inspection.objects.standing(), "system", list(systems)):
        told = systems[each.system_id].visits.setdefault((each.on, each.on_span), {})
        told.setdefault("notes", each.note)
        inspections[each.pk] = told
    for look in _in_parts(Look.objects.standing(), "inspection", list(inspections)):
        if look.kind == "pump" and look.passed is not None:
            inspections[look.inspection_id]["inspection.pump_ran"] = look.passed
    readings = Reading.objects.standing().select_related("look").filter(kind__in=_FACT_OF)
    for reading in _in_parts(readings, "look__inspection", list(inspections)):
        inspections[reading.look.inspection_id].setdefault(_FACT_OF[reading.kind], reading.value)


def _load_people(record: Record, entries: dict[int, SiteEntry]) -> None:
    parts = Part.objects.standing().filter(ends_on__isnull=True).select_related("person")
    at: dict[int, list[int]] = defaultdict(list)
    people: dict[int, Person] = {}
    for part in _in_parts(parts, "site", list(entries)):
        people[part.person_id] = part.person
        if part.site_id not in at[part.person_id]:
            at[part.person_id].append(part.site_id)
    for entry in _people_entries(record, people):
        for site_id in at[entry.person.pk]:
            entries[site_id].people.append(entry)


def _load_known_people(record: Record, facts: list[dict[str, Any]]) -> None:
    """People at other sites who share a channel with someone of the sheet."""
    told = [
        channel_key(channel)
        for each in facts
        for name in ("household.phones", "household.emails")
        for channel in each.get(name, ())
    ]
    forms = {form for key in told for form in _stored_forms(key)}
    channels = Channel.objects.standing().select_related("person")
    people = {c.person_id: c.person for c in _in_parts(channels, "address", forms)}
    list(_people_entries(record, people))


def _stored_forms(key: str) -> list[str]:
    if "@" in key:
        return [key]
    number, _, extension = key.partition("x")
    tail = f" x{extension}" if extension else ""
    return [f"{number}{tail}", f"1{number}{tail}", f"+1{number}{tail}", f"+{number}{tail}"]


def _people_entries(record: Record, people: dict[int, Person]) -> Iterator[PersonEntry]:
    households: dict[int, Household] = {}
    memberships = Membership.objects.standing().filter(ends_on__isnull=True)
    for each in _in_parts(memberships.select_related("household"), "person", list(people)):
        households.setdefault(each.person_id, each.household)
    addresses: dict[int, list[str]] = defaultdict(list)
    for channel in _in_parts(Channel.objects.standing(), "person", list(people)):
        addresses[channel.person_id].append(channel.address)
    known = {entry.person.pk: entry for entry in record.people.values()}
    for pk, person in sorted(people.items()):
        entry = known.get(pk) or PersonEntry(person, households.get(pk))
        record.add_person(entry, addresses[pk])
        yield entry


def _parts_of(values: Iterable[Any]) -> Iterator[list[Any]]:
    ordered = sorted(values)
    for start in range(0, len(ordered), AT_ONCE):
        yield ordered[start : start + AT_ONCE]


def _in_parts(query: Any, name: str, values: Iterable[Any]) -> Iterator[Any]:
    """The rows whose field is one of many values, asked for a few thousand at a time."""
    for part in _parts_of(values):
        yield from query.filter(**{f"{name}__in": part}).order_by("pk")
