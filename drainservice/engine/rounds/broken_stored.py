"""How a day broke, as plain JSON beside its stored inputs, so that its repair can be found again.

    broken  now_s, away* [{technician, from_s, until_s}], late* [{technician, free_s, place*}],
            urgent* [numbers of stops]
    facts   [{key, told, is_named*, is_living_space*, moved_before*, can_wait_days*, technician*}]

Fields with an asterisk may be absent. Names are not stored: whoever reads gives them by key.
"""

from collections.abc import Mapping
from typing import Any

from drainservice.engine.rounds.broken import Away, Broken, Facts, Late, StopFacts, Told
from drainservice.engine.rounds.stored_fields import (
    InputsCannotBeRead,
    Thing,
    as_list,
    as_number,
    as_thing,
)

BROKEN, FACTS = ("now_s", "away", "late", "urgent"), ("key", "told", "technician")
FLAGS, COUNTS = ("is_named", "is_living_space"), ("moved_before", "can_wait_days")


def broken_as_plain(broken: Broken, facts: Facts) -> dict[str, Any]:
    """Both, with what is as if absent left away."""
    told: dict[str, Any] = {
        "now_s": broken.now_s,
        "away": [
            {"technician": one.technician, "from_s": one.from_s, "until_s": one.until_s}
            for one in broken.away
        ],
        "late": [
            {"technician": one.technician, "free_s": one.free_s, "place": one.place}
            for one in broken.late
        ],
        "urgent": list(broken.urgent),
    }
    return {"broken": told, "facts": [_facts_as_plain(key, facts[key]) for key in sorted(facts)]}


def _facts_as_plain(key: int, known: StopFacts) -> dict[str, Any]:
    told: dict[str, Any] = {"key": key, "told": known.told.value}
    without = StopFacts(known.name)
    for name in (*FLAGS, *COUNTS, "technician"):
        if getattr(known, name) != getattr(without, name):
            told[name] = getattr(known, name)
    return told


def read_broken(plain: object, names: Mapping[int, str]) -> tuple[Broken, dict[int, StopFacts]]:
    """Both again, with the names of the visits. Raises InputsCannotBeRead."""
    whole = as_thing("repair", plain)
    told = as_thing("repair.broken", whole.facts.get("broken"))
    told.only(BROKEN)
    urgent = as_list("repair.broken.urgent", told.facts.get("urgent", []))
    broken = Broken(
        told.number("now_s"),
        told.things("away", _away, needed=False),
        told.things("late", _late, needed=False),
        tuple(as_number(f"repair.broken.urgent[{i}]", one, 0) for i, one in enumerate(urgent)),
    )
    facts = whole.things("facts", lambda one: _facts(one, names), needed=True)
    return broken, dict(facts)


def _away(one: Thing) -> Away:
    one.only(("technician", "from_s", "until_s"))
    return Away(one.number("technician"), one.number("from_s"), one.number("until_s"))


def _late(one: Thing) -> Late:
    one.only(("technician", "free_s", "place"))
    return Late(one.number("technician"), one.number("free_s"), one.number_or_none("place", 0))


def _facts(one: Thing, names: Mapping[int, str]) -> tuple[int, StopFacts]:
    one.only((*FACTS, *FLAGS, *COUNTS))
    key, told = one.number("key"), one.facts.get("told")
    if told not in list(Told):
        raise InputsCannotBeRead(
            f"{one.where}.told must be one of: {', '.join(told.value for told in Told)}."
        )
    return key, StopFacts(
        name=names.get(key, f"visit {key}"),
        told=Told(str(told)),
        is_named=one.flag("is_named"),
        is_living_space=one.flag("is_living_space"),
        moved_before=one.number("moved_before", 0, 0),
        can_wait_days=one.number_or_none("can_wait_days"),
        technician=one.number_or_none("technician"),
    )
