"""The inspection page as its template reads it: each field with its name, value and fault."""

from collections.abc import Mapping
from typing import Any

from drainservice.engine.units import UnitSystem, show, unit_name
from drainservice.inspections.models import Defect, WhyNot
from drainservice.inspections.queries.sums import sums_of
from drainservice.register.queries import Whole
from drainservice.web.results import Said, say_result
from drainservice.web.technician.inspection_form import FINDINGS, Asked, InspectionForm
from drainservice.web.technician.last import LastReading
from drainservice.web.technician.looks import ASIDES, Number
from drainservice.web.wrong import FOUND_ON_SITE, defect_words, say_defect

UNITS = {"count": "", "voltage": "V"}
# What one press of a stepper adds, in the unit shown: (trade, metric).
STEPS = {
    "level": ("1 in", "0.01"),
    "small_length": ("0.25", "5"),
    "time": ("1", "1"),
    "hours": ("0.25", "0.25"),
    "temperature": ("1", "1"),
    "current": ("0.1", "0.1"),
    "voltage": ("1", "1"),
    "flow": ("1", "5"),
    "count": ("1", "1"),
}


def show_looks(
    form: InspectionForm, last: Mapping[str, float], *, wanted: bool
) -> list[dict[str, Any]]:
    """The looks that are wanted (or have been touched), or all the others."""
    looks = [look for look in form.looks if (look.is_wanted or look.is_touched) == wanted]
    return [_show_look(look, form, last) for look in looks]


def say_sums(form: InspectionForm, whole: Whole) -> dict[str, list[Said]]:
    """The sums that the readings allow by now, by the look's key; nothing is stored."""
    said = {}
    for look in form.looks:
        chosen = dict(look.choice.readings) if look.choice else {}
        readings = {**chosen, **look.readings}
        sums = sums_of(whole, look.page.kind, readings, look.page.position)
        said[look.page.key] = [say_result(one, form.system) for one in sums]
    return said


def show_findings(form: InspectionForm) -> list[dict[str, Any]]:
    """Rows for what was found wrong."""
    return [
        {
            "name": f"found{place}",
            "kind": form.values.get(f"found{place}.kind", ""),
            "note": form.values.get(f"found{place}.note", ""),
        }
        for place in FINDINGS
    ]


def show_mendable(form: InspectionForm, defects: list[Defect]) -> list[dict[str, Any]]:
    """Open defects that can be ticked as mended."""
    kinds = {defect.kind: defect for defect in defects if defect.kind in FOUND_ON_SITE}
    return [
        {
            "name": f"mended.{kind}",
            "words": defect_words(kind),
            "says": say_defect(defect),
            "is_ticked": bool(form.values.get(f"mended.{kind}")),
        }
        for kind, defect in kinds.items()
    ]


def say_reading(reading: LastReading, system: UnitSystem) -> str:
    """A stored reading in the reader's units; yes or no where it was one."""
    if reading.quantity == "yes_no":
        return "yes" if reading.value else "no"
    return _say(reading.value, reading.quantity, system)


def _show_look(look: Asked, form: InspectionForm, last: Mapping[str, float]) -> dict[str, Any]:
    key = look.page.key
    return {
        "key": key,
        "title": look.page.title,
        "caution": look.page.caution,
        "has_sum": look.page.has_sum,
        "choices": [
            {
                "word": choice.word,
                "says": _with_amount(choice.word, choice.says, last, form.system),
                "is_chosen": look.word == choice.word,
            }
            for choice in look.page.choices
        ],
        "word": look.word,
        "why_not": look.why_not,
        "whys": [(w.value, w.label) for w in WhyNot if w != WhyNot.CALLED_OFF],
        "note": look.note,
        "is_not_whole": look.word in {"in_part", "not_done"} or bool(look.note),
        "fault": look.faults.get("what", ""),
        "numbers": [_show_number(n, look, form, last) for n in look.page.numbers],
        "more": [_show_number(n, look, form, last) for n in look.page.more],
        "has_more": any(n.kind in look.readings or n.kind in look.faults for n in look.page.more),
        "asides": [
            {
                "name": f"{key}.{kind}",
                "says": says,
                "yes": yes,
                "no": no,
                "value": form.values.get(f"{key}.{kind}", ""),
            }
            for kind, says, yes, no in ASIDES.get(look.page.kind, ())
        ],
    }


def _with_amount(word: str, says: str, last: Mapping[str, float], system: UnitSystem) -> str:
    if word != "same":
        return says
    return f"{says}: {show(last['sediment_m'], 'small_length', system)}"


def _show_number(
    number: Number, look: Asked, form: InspectionForm, last: Mapping[str, float]
) -> dict[str, Any]:
    name = f"{look.page.key}.{number.kind}"
    before = last.get(number.kind)
    step = STEPS[number.quantity][form.system == UnitSystem.METRIC]
    return {
        "name": name,
        "says": number.says,
        "unit": _unit(number.quantity, form.system),
        "value": form.values.get(name, ""),
        "fault": look.faults.get(number.kind, ""),
        "last": "" if before is None else _say(before, number.quantity, form.system),
        "step": step,
        "has_stopwatch": number.has_stopwatch,
    }


def _unit(quantity: str, system: UnitSystem) -> str:
    if quantity == "level" and system == UnitSystem.TRADE:
        return "ft in"
    return UNITS[quantity] if quantity in UNITS else unit_name(quantity, system)


def _say(value: float, quantity: str, system: UnitSystem) -> str:
    if quantity in UNITS:
        return f"{value:g} {UNITS[quantity]}".strip()
    return show(value, "time" if quantity == "hours" else quantity, system)
