"""A repair's question as JSON, to be kept and asked again.

    {"form": 1, "kind": "repair", "inputs": {..}, "broken": {"now_s": 28800, "away": [[technician,
     from_s, until_s], ..], "late": [[technician, free_s, place or null], ..], "urgent": [stop,
     ..]}, "facts": {"12": {"name": "Mill Lane", "told": "agreed", "is_named": false, ..}, ..}}

`inputs` as in `stored`, `broken` and `facts` (by the stops' keys) as in `broken`.
"""

import json
from dataclasses import asdict, dataclass, fields
from typing import Any

from drainservice.engine.rounds.facts import PlanInputs
from drainservice.engine.rounds.repair.broken import Away, Broken, Facts, Late, StopFacts, Told
from drainservice.engine.rounds.stored import (
    InputsCannotBeRead,
    canonical,
    read_inputs,
    write_inputs,
)

FORM = 1
KIND = "repair"


@dataclass(frozen=True, slots=True)
class RepairQuestion:
    """The rounds as they stand, what broke, and what is known of each visit by its key."""

    inputs: PlanInputs
    broken: Broken
    facts: Facts


def write_repair(question: RepairQuestion) -> str:
    """One text for one question."""
    broken = question.broken
    return canonical(
        {
            "form": FORM,
            "kind": KIND,
            "inputs": json.loads(write_inputs(question.inputs)),
            "broken": {
                "now_s": broken.now_s,
                "away": [[one.technician, one.from_s, one.until_s] for one in broken.away],
                "late": [[one.technician, one.free_s, one.place] for one in broken.late],
                "urgent": list(broken.urgent),
            },
            "facts": {str(key): asdict(known) for key, known in sorted(question.facts.items())},
        }
    )


def read_repair(text: str) -> RepairQuestion:
    """The question of a text. Raises InputsCannotBeRead."""
    try:
        plain = json.loads(text)
    except (ValueError, RecursionError) as wrong:
        raise InputsCannotBeRead(f"This is no JSON ({wrong}); give the file as it came.") from wrong
    if not isinstance(plain, dict) or (plain.get("form"), plain.get("kind")) != (FORM, KIND):
        raise InputsCannotBeRead(
            f'This is no repair: it must say "form": {FORM} and "kind": "{KIND}".'
        )
    try:
        return RepairQuestion(
            read_inputs(canonical(plain["inputs"])),
            _broken(plain["broken"]),
            {int(key): _facts(known) for key, known in plain["facts"].items()},
        )
    except KeyError as missing:
        raise InputsCannotBeRead(f"{missing} is missing in the repair; add it.") from missing
    except InputsCannotBeRead:
        raise
    except (TypeError, AttributeError, ValueError) as wrong:
        raise InputsCannotBeRead(
            f"A value of the repair is not of its kind ({wrong}); mend it and try again."
        ) from wrong


def _broken(plain: dict[str, Any]) -> Broken:
    return Broken(
        now_s=int(plain["now_s"]),
        away=tuple(Away(*(int(number) for number in row)) for row in plain["away"]),
        late=tuple(
            Late(int(who), int(free_s), None if place is None else int(place))
            for who, free_s, place in plain["late"]
        ),
        urgent=tuple(int(number) for number in plain["urgent"]),
    )


def _facts(plain: dict[str, Any]) -> StopFacts:
    known = {field.name: plain[field.name] for field in fields(StopFacts)}
    return StopFacts(**known | {"told": Told(plain["told"])})
