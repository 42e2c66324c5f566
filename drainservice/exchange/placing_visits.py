"""A visit told of a system: what was not known of that day is added, the rest is asked."""

from typing import Any

from drainservice.exchange.keys import agrees
from drainservice.exchange.on_record import SystemEntry
from drainservice.exchange.placing_words import Placing, Setting
from drainservice.exchange.plan import Plan, VisitTold
from drainservice.exchange.said import say_value
from drainservice.exchange.spans import read_span
from drainservice.exchange.visits_told import unfit_readings, visit_facts
from drainservice.exchange.wanted import Wanted

_NOT_A_VISIT = frozenset({"inspection.next_on", "inspection.by"})


def place_visit(
    system: SystemEntry,
    facts: dict[str, Any],
    wanted: Wanted,
    plan: Plan,
    setting: Setting,
    placing: Placing,
) -> None:
    """Plan the inspection of a row that tells of one."""
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
