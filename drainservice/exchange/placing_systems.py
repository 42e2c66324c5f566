"""Which system of a site a row is about, and systems nobody had told of yet."""

from typing import Any

from drainservice.accounts.codes import read_lid_code
from drainservice.exchange.keys import agrees
from drainservice.exchange.on_record import SiteEntry, SystemEntry
from drainservice.exchange.placing_parts import count_agreeing, find_clashes
from drainservice.exchange.placing_words import NotPlaced, Placing, Setting, Told
from drainservice.exchange.plan import Plan
from drainservice.exchange.report import Row
from drainservice.exchange.wanted import Wanted
from drainservice.register.models import NO_PLACE, System

_ORDINALS = ("", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")


def choose_system(
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
    if wanted.place:
        return _choose_by_place(site, wanted.place, wanted, plan)
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


def make_system(site: SiteEntry, place: str, plan: Plan, setting: Setting) -> SystemEntry:
    """A system built by others, entered today."""
    place = place or _next_place(len(site.systems))
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


def add_bare(
    site: SiteEntry, facts: dict[str, Any], plan: Plan, setting: Setting, placing: Placing
) -> None:
    """The sheet counts more systems than it tells of: they are entered, and nothing is guessed."""
    count = int(facts.get("site.system_count", 1))
    if "site.system_count" in facts and placing.made["new"]:
        placing.added.append("site.system_count")
    while len(site.systems) < count:
        entry = make_system(site, "", plan, setting)
        entry.is_bare = True
        entry.system.note = f"The list counts {count} systems here and tells of one."
        placing.made["new"].append("system")
