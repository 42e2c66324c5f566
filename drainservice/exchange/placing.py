"""One row of a sheet beside the record: whose it is, what it adds, what it contradicts."""

from typing import Any

from drainservice.accounts.models import Household
from drainservice.accounts.text import TextRefused, clean_line
from drainservice.exchange.judging_rows import names_agree
from drainservice.exchange.keys import full_address, site_key, slip_key
from drainservice.exchange.on_record import Record, SiteEntry, SystemEntry
from drainservice.exchange.placing_parts import fill, make_part
from drainservice.exchange.placing_people import place_people, place_tenant
from drainservice.exchange.placing_systems import add_bare, choose_system, make_system
from drainservice.exchange.placing_visits import place_visit
from drainservice.exchange.placing_words import NotPlaced, Placing, Setting, Told
from drainservice.exchange.plan import Plan
from drainservice.exchange.report import Row
from drainservice.exchange.wanted import HOUSEHOLD, Wanted, because, translate
from drainservice.register import queries as register
from drainservice.register.models import NO_PLACE, Agreement, Site

_OF_A_SITE = frozenset({"site.address", "site.address_2", "site.city"})


def place_row(
    row: Row, facts: dict[str, Any], record: Record, plan: Plan, setting: Setting, told: Told
) -> Placing:
    """Find or make the row's site, people, system and visit.  Raises NotPlaced, nothing planned."""
    placing = Placing(made={"new": []})
    wanted = translate(facts, firm_name=setting.firm_name, units=setting.units)
    site = _find_site(facts, record)
    if site is None:
        _refuse_slip(facts, record, told)
    system = choose_system(site, row, facts, wanted, plan, told) if site else None
    if site is None:
        site = _make_site(facts, record, plan, setting)
        placing.made["new"].append("site")
        placing.added.extend(_OF_A_SITE & set(facts))
    household = _place_household(row, facts, site, record, plan, setting, told, placing)
    if system is None:
        system = make_system(site, wanted.place, plan, setting)
        placing.made["new"].append("system")
        placing.added.extend({"system.place"} & set(facts) if wanted.place else ())
    placing.system = system
    _fill_system(system, site, wanted, household, plan, setting, told, placing)
    add_bare(site, facts, plan, setting, placing)
    place_visit(system, facts, wanted, plan, setting, placing)
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


def _make_site(facts: dict[str, Any], record: Record, plan: Plan, setting: Setting) -> SiteEntry:
    try:
        address = clean_line(full_address(facts), most=200, what="The address")
    except TextRefused as refused:
        raise NotPlaced("site.address", "too_long", because(refused)) from refused
    city = str(facts.get("site.city", "")).strip()
    county = str(facts.get("site.county", "")).strip().lower()
    site = Site(
        address=address,
        address_plain=register.plain(address),
        zone=setting.zone,
        jurisdiction=setting.jurisdictions.get(county, setting.jurisdiction),
        city=city if len(city) <= 80 else "",
    )
    entry = SiteEntry(plan.add(site))
    record.add_site(entry)
    return entry


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
    _place_tenant(facts, site, plan, setting, placing)
    return people.household


def _place_tenant(
    facts: dict[str, Any], site: SiteEntry, plan: Plan, setting: Setting, placing: Placing
) -> None:
    try:
        told = str(facts.get("household.tenant", ""))
        if told and place_tenant(told, site, plan, today=setting.today):
            placing.added.append("household.tenant")
    except TextRefused as refused:
        placing.refused.append(("household.tenant", "too_long", because(refused)))


def _note_nobody(site: SiteEntry, facts: dict[str, Any], plan: Plan, placing: Placing) -> None:
    """A telephone without a name stays with the site."""
    told = [*facts.get("household.phones", ()), *facts.get("household.emails", ())]
    if told and _append_note(site.site, [f"Told without a name: {', '.join(told)}"], plan, placing):
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
    if wanted.has_pump and "pump" not in system.parts:
        make_part(system, "pump", plan)
        placing.added.extend(wanted.pump_facts)
    filled = fill(system, site, wanted, plan, told.overrule, setting.units)
    placing.added.extend(filled.added)
    placing.refused.extend((u.fact, u.reason, u.why) for u in wanted.unfit)
    for each, stands in filled.clashes:
        why = f"the record says {stands}; is the sheet right?"
        placing.asked.append((each.fact, "duplicate_conflict", why))
    notes = list(wanted.notes)
    if wanted.remark and not wanted.is_visit:
        notes.append(wanted.remark)
    if _append_note(system.system, notes, plan, placing):
        placing.added.append("notes")
    if wanted.has_no_pump and "pump" in system.parts:
        why = "the record has a pump there; has it been taken out?"
        placing.asked.append(("pump.present", "duplicate_conflict", why))
    _agree(system, wanted, household, plan, placing)


def _append_note(row: Any, notes: list[str], plan: Plan, placing: Placing) -> bool:
    """Add what the note does not say yet; a note holds 5,000 characters."""
    standing = str(plan.value(row, "note"))
    new = [note for note in notes if note and note not in standing]
    text = "\n".join(filter(None, [standing, *new]))
    if len(text) > 5000:
        why = "the note on record would grow beyond 5,000 characters; shorten one of the two"
        placing.refused.append(("notes", "too_long", why))
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
