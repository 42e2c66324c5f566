"""One row of a sheet beside the record: whose it is, what it adds, what it contradicts."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from drainservice.accounts.codes import read_lid_code
from drainservice.accounts.models import Household
from drainservice.accounts.text import TextRefused, clean_line
from drainservice.exchange.judging_rows import names_agree
from drainservice.exchange.keys import agrees, full_address, site_key, slip_key
from drainservice.exchange.on_record import Record, SiteEntry, SystemEntry
from drainservice.exchange.placing_parts import count_agreeing, fill, find_clashes, make_part
from drainservice.exchange.placing_people import place_people, place_tenant
from drainservice.exchange.plan import Plan, VisitTold
from drainservice.exchange.report import Row
from drainservice.exchange.said import say_value
from drainservice.exchange.spans import read_span
from drainservice.exchange.visits_told import unfit_readings, visit_facts
from drainservice.exchange.wanted import HOUSEHOLD, Wanted, translate
from drainservice.register import queries as register
from drainservice.register.models import Agreement, Jurisdiction, Site, System

NO_PLACE = "place not told"
_ORDINALS = ("", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
_NOT_A_VISIT = frozenset({"inspection.next_on", "inspection.by"})


class NotPlaced(Exception):
    """Nobody but a person can say where the row belongs."""

    def __init__(self, fact: str, reason: str, why: str) -> None:
        super().__init__(why)
        self.fact, self.reason, self.why = fact, reason, why


@dataclass(frozen=True, slots=True)
class Setting:
    """What is the same for all rows: the day, the zone, whose rules hold where none is told."""

    today: date
    zone: str
    jurisdictions: dict[str, Jurisdiction]
    jurisdiction: Jurisdiction
    firm_name: str = ""
    units: str = "trade"


@dataclass(frozen=True, slots=True)
class Told:
    """A person's answers: facts that overrule the record, a second system, or which system."""

    overrule: frozenset[str] = frozenset()
    is_second: bool = False
    system_id: int | None = None


@dataclass(slots=True)
class Placing:
    """What became of a row; problems are (fact, reason, why)."""

    system: SystemEntry | None = None
    asked: list[tuple[str, str, str]] = field(default_factory=list)
    refused: list[tuple[str, str, str]] = field(default_factory=list)
    added: list[str] = field(default_factory=list)
    made: dict[str, Any] = field(default_factory=dict)

    @property
    def adds_nothing(self) -> bool:
        """All of it was known."""
        return not self.added and not self.made.get("new")


def place_row(
    row: Row, facts: dict[str, Any], record: Record, plan: Plan, setting: Setting, told: Told
) -> Placing:
    """Find or make the row's site, people, system and visit.  Raises NotPlaced, nothing planned."""
    placing = Placing(made={"new": []})
    wanted = translate(facts, firm_name=setting.firm_name)
    site = _find_site(facts, record)
    if site is None:
        _refuse_slip(facts, record, told)
    system = _choose_system(site, row, facts, wanted, plan, told) if site else None
    if site is None:
        site = _make_site(facts, record, plan, setting)
        placing.made["new"].append("site")
    household = _place_household(row, facts, site, record, plan, setting, told, placing)
    if system is None:
        system = _make_system(site, facts, plan, setting)
        placing.made["new"].append("system")
    placing.system = system
    _fill_system(system, site, wanted, household, plan, setting, told, placing)
    _add_bare(site, facts, plan, setting, placing)
    _place_visit(system, facts, wanted, plan, setting, placing)
    return placing


def _find_site(facts: dict[str, Any], record: Record) -> SiteEntry | None:
    """The site of that address; one of another town is another."""
    city = str(facts.get("site.city", "")).strip().lower()
    found = record.sites.get(site_key(facts), [])
    same = [e for e in found if not city or not e.site.city or e.site.city.strip().lower() == city]
    if len(same) > 1:
        exact = [e for e in same if city and e.site.city.strip().lower() == city]
        if len(exact) != 1:
            towns = " and ".join(e.site.city or "no town" for e in same)
            why = f"the record has it more than once ({towns}); which is it?"
            raise NotPlaced("site.address", "unclear", why)
        return exact[0]
    return same[0] if same else None


def _refuse_slip(facts: dict[str, Any], record: Record, told: Told) -> None:
    """The same people at a number one slip of the finger away: a person must say."""
    names = facts.get("household.names", [])
    if not names or "site.address" in told.overrule:
        return
    for entry in record.slips.get(slip_key(site_key(facts)), []):
        if entry.people and names_agree(names, entry.names):
            why = f"the record has the same people at {entry.site.address}; a slip, or two sites?"
            raise NotPlaced("site.address", "duplicate_conflict", why)


def _choose_system(
    site: SiteEntry, row: Row, facts: dict[str, Any], wanted: Wanted, plan: Plan, told: Told
) -> SystemEntry | None:
    """Which of the site's systems the row is about; None for one nobody has told of yet."""
    if told.is_second or not site.systems:
        return None
    if told.system_id is not None:
        return next((e for e in site.systems if e.system.pk == told.system_id), None)
    code = read_lid_code(str(facts.get("system.code", "")))
    by_code = [e for e in site.systems if code and e.system.lid_code == code]
    if by_code:
        return by_code[0]
    place = str(facts.get("system.place", ""))
    if place:
        return _choose_by_place(site, place, wanted, plan)
    if len(site.systems) == 1 and not site.systems[0].is_bare:
        only = site.systems[0]
        is_second = row.continues is not None and not _is_visit_alone(wanted)
        return None if is_second and find_clashes(only, wanted, plan) else only
    return _choose_among(site, row, wanted, plan)


def _choose_by_place(site: SiteEntry, place: str, wanted: Wanted, plan: Plan) -> SystemEntry | None:
    named = [e for e in site.systems if agrees(place, e.system.place)]
    if named:
        return named[0]
    # On record without its place: the sheet may be what tells it.
    nameless = [e for e in site.systems if e.system.place.endswith(NO_PLACE)]
    fitting = [e for e in nameless if e.is_bare or not find_clashes(e, wanted, plan)]
    if len(site.systems) == len(fitting) == 1 and not site.systems[0].is_new:
        return fitting[0]
    return next((e for e in fitting if e.is_bare), None)


def _choose_among(site: SiteEntry, row: Row, wanted: Wanted, plan: Plan) -> SystemEntry | None:
    told = [e for e in site.systems if not e.is_bare]
    bare = [e for e in site.systems if e.is_bare]
    if not _is_visit_alone(wanted):
        fitting = [e for e in told if not find_clashes(e, wanted, plan)]
        likely = [e for e in fitting if count_agreeing(e, wanted, plan)]
        if len(likely) == 1:
            return likely[0]
        if not likely and bare:
            return bare[0]
        if not fitting and row.continues is not None:
            return None
    places = "; ".join(f"{e.system.place}" for e in site.systems)
    raise NotPlaced(
        "system.place",
        "unclear",
        f"{len(site.systems)} systems are at this address ({places}); which is it?",
    )


def _is_visit_alone(wanted: Wanted) -> bool:
    return not (wanted.tables - {"site"})


def _make_site(facts: dict[str, Any], record: Record, plan: Plan, setting: Setting) -> SiteEntry:
    try:
        address = clean_line(full_address(facts), most=200, what="The address")
    except TextRefused as refused:
        raise NotPlaced("site.address", "too_long", str(refused).rstrip(".")) from refused
    county = str(facts.get("site.county", "")).strip().lower()
    site = Site(
        address=address,
        address_plain=register.plain(address),
        zone=setting.zone,
        jurisdiction=setting.jurisdictions.get(county, setting.jurisdiction),
        city=str(facts.get("site.city", ""))[:80],
    )
    entry = SiteEntry(plan.add(site))
    record.add_site(entry)
    return entry


def _make_system(
    site: SiteEntry, facts: dict[str, Any], plan: Plan, setting: Setting
) -> SystemEntry:
    place = str(facts.get("system.place", ""))[:200] or _next_place(len(site.systems))
    system = System(
        site=site.site,
        place=place,
        origin="adopted",
        entered_on=setting.today,
        status_since=setting.today,
    )
    entry = SystemEntry(plan.add(system))
    site.systems.append(entry)
    return entry


def _next_place(standing: int) -> str:
    if not standing:
        return NO_PLACE
    ordinal = _ORDINALS[standing] if standing < len(_ORDINALS) else f"number {standing + 1}"
    return f"{ordinal} pit, {NO_PLACE}"


def _place_household(
    row: Row,
    facts: dict[str, Any],
    site: SiteEntry,
    record: Record,
    plan: Plan,
    setting: Setting,
    told: Told,
    placing: Placing,
) -> Household | None:
    above = row.same_household_as or row.continues
    known = record.households.get((row.sheet, above)) if above else None
    people = place_people(
        facts,
        site,
        record,
        plan,
        today=setting.today,
        household=known,
        may_replace="household.names" in told.overrule,
    )
    placing.added.extend(people.added)
    placing.refused.extend((u.fact, u.reason, u.why) for u in people.unfit)
    if people.differ:
        why = f"the record names {people.differ} at this address; have the people changed?"
        placing.asked.append(("household.names", "duplicate_conflict", why))
        return None
    if people.is_new:
        placing.made["new"].append("household")
    if people.household is not None:
        record.households[(row.sheet, row.number)] = people.household
    elif HOUSEHOLD & set(facts):
        _note_nobody(site, facts, plan, placing)
    tenant = facts.get("household.tenant")
    if tenant:
        place_tenant(str(tenant)[:120], site, record, plan, today=setting.today)
    return people.household


def _note_nobody(site: SiteEntry, facts: dict[str, Any], plan: Plan, placing: Placing) -> None:
    """A telephone without a name stays with the site."""
    told = [*facts.get("household.phones", ()), *facts.get("household.emails", ())]
    if told and _append_note(site.site, [f"Told without a name: {', '.join(told)}"], plan):
        placing.added.append("household.phones")


def _fill_system(
    system: SystemEntry,
    site: SiteEntry,
    wanted: Wanted,
    household: Household | None,
    plan: Plan,
    setting: Setting,
    told: Told,
    placing: Placing,
) -> None:
    if wanted.place and plan.value(system.system, "place").endswith(NO_PLACE):
        plan.put(system.system, place=wanted.place)
        placing.added.append("system.place")
    filled = fill(system, site, wanted, plan, told.overrule, setting.units)
    placing.added.extend(filled.added)
    placing.refused.extend((u.fact, u.reason, u.why) for u in wanted.unfit)
    for each, stands in filled.clashes:
        why = f"the record says {stands}; is the sheet right?"
        placing.asked.append((each.fact, "duplicate_conflict", why))
    notes = list(wanted.notes)
    if wanted.remark and not wanted.is_visit:
        notes.append(wanted.remark)
    if _append_note(system.system, notes, plan):
        placing.added.append("notes")
    if wanted.has_no_pump and "pump" in system.parts:
        why = "the record has a pump there; has it been taken out?"
        placing.asked.append(("pump.present", "duplicate_conflict", why))
    if wanted.has_pump and "pump" not in system.parts:
        make_part(system, "pump", plan)
        placing.added.append("pump.present")
    _agree(system, wanted, household, plan, placing)


def _append_note(row: Any, notes: list[str], plan: Plan) -> bool:
    """Add what the note does not say yet; a note holds 5,000 characters."""
    standing = str(plan.value(row, "note"))
    new = [note for note in notes if note and note not in standing]
    text = "\n".join(filter(None, [standing, *new]))
    if not new or len(text) > 5000:
        return False
    plan.put(row, note=text)
    return True


def _agree(
    system: SystemEntry,
    wanted: Wanted,
    household: Household | None,
    plan: Plan,
    placing: Placing,
) -> None:
    if not wanted.agreement:
        return
    standing = plan.value(system.system, "agreement")
    if standing is None:
        if household is not None:
            agreement = plan.add(Agreement(payer=household, **wanted.agreement))
            plan.put(system.system, agreement=agreement)
            placing.added.append("agreement.starts_on")
        return
    for name, value in wanted.agreement.items():
        stands = getattr(standing, name)
        if value is not None and stands != value:
            why = f"the record says {stands}; is the sheet right?"
            fact = "agreement.looks_per_year" if name == "looks_a_year" else f"agreement.{name}"
            placing.asked.append((fact, "duplicate_conflict", why))


def _add_bare(
    site: SiteEntry, facts: dict[str, Any], plan: Plan, setting: Setting, placing: Placing
) -> None:
    """The sheet counts more systems than it tells of: they are entered, and nothing is guessed."""
    count = int(facts.get("site.system_count", 1))
    while len(site.systems) < count:
        entry = _make_system(site, {}, plan, setting)
        entry.is_bare = True
        entry.system.note = f"The list counts {count} systems here and tells of one."
        placing.made["new"].append("system")


def _place_visit(
    system: SystemEntry,
    facts: dict[str, Any],
    wanted: Wanted,
    plan: Plan,
    setting: Setting,
    placing: Placing,
) -> None:
    if "inspection.on" not in facts:
        return
    for fact, why in unfit_readings(facts).items():
        placing.refused.append((fact, "impossible_value", why))
    unfit = unfit_readings(facts)
    told = {f: v for f, v in visit_facts(facts).items() if f not in unfit}
    known = system.visits.get(read_span(facts["inspection.on"]))
    note = wanted.remark if wanted.is_visit else ""
    if known is not None:
        told, note = _only_new(told, note, known, setting, placing)
        if not note and not set(told) - _NOT_A_VISIT - {"inspection.on"}:
            return
    system.visits.setdefault(read_span(facts["inspection.on"]), {}).update(told | {"notes": note})
    plan.visits.append(VisitTold(system, told, note))
    placing.added.extend(told)
    placing.made["new"].append("inspection")


def _only_new(
    told: dict[str, Any], note: str, known: dict[str, Any], setting: Setting, placing: Placing
) -> tuple[dict[str, Any], str]:
    """What was not told of that visit yet; what contradicts it is asked."""
    new = {}
    for fact, value in told.items():
        if fact in _NOT_A_VISIT or fact == "inspection.on" or fact not in known:
            new[fact] = value
        elif not agrees(value, known[fact]):
            stands = say_value(fact, known[fact], setting.units)
            why = f"the record of that day says {stands}; is the sheet right?"
            placing.asked.append((fact, "duplicate_conflict", why))
    return new, "" if note and note in known.get("notes", "") else note
