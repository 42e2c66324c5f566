"""Under the lid: what is there, how to find it, what was odd, what to beware of."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import mark_safe

from drainservice.accounts.queries import the_firm
from drainservice.doors.door import door
from drainservice.engine.drawings.pit_facts import PitCannotBeDrawn
from drainservice.engine.drawings.section import Section, draw_section
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.units import UnitSystem
from drainservice.inspections import queries as inspections
from drainservice.register import queries as register
from drainservice.web.pictures import pit_facts_of
from drainservice.web.technician.inspection_page import say_reading
from drainservice.web.technician.last import LastReading, last_readings
from drainservice.web.wrong import say_defect

# A lid heavier than this takes two people or a tool: judgement, no source.
HEAVY_KG = 23.0


@door(to="technician")
def pit(request: Any, code: str) -> HttpResponse:
    """One system as it is wanted before the lid is lifted."""
    system = register.system_by_code_for(request.asker, code)
    today = register.today_at(system.site, request.asker.at)
    whole = register.whole(system, day=today)
    units = UnitSystem(the_firm().units)
    last = last_readings(inspections.inspections_of(system))
    defects = inspections.defects_of(system)
    lid = whole.access_point
    section = _draw(whole, defects, last, units)
    context = {
        "here": "pit",
        "system": system,
        "whole": whole,
        "lid": lid,
        "is_heavy": bool(lid and lid.weight_kg and lid.weight_kg > HEAVY_KG),
        "svg": mark_safe(section.svg) if section else "",
        "call_outs": section.call_outs if section else (),
        "readings": [(reading, say_reading(reading, units)) for reading in last.values()],
        "defects": [say_defect(defect) for defect in defects],
        "dues": inspections.dues_of(system),
        "today": today,
        "log": inspections.history_of(system)[:6],
        "photos": register.photos_of(request.asker, system)[:6],
        "others": register.systems_for(request.asker)
        .filter(site=system.site)
        .exclude(pk=system.pk),
        "visit": request.GET.get("visit", "") if request.GET.get("visit", "").isdigit() else "",
    }
    return render(request, "technician/pit.html", context)


def _draw(
    whole: register.Whole, defects: Any, last: dict[str, LastReading], units: UnitSystem
) -> Section | None:
    water, silt = last.get("arrival_level_m"), last.get("sediment_m")
    facts = pit_facts_of(
        whole,
        defects=defects,
        water_m=water.value if water else None,
        water_on=water.on if water else None,
        sediment_m=silt.value if silt else None,
    )
    try:
        return draw_section(facts, Width.PHONE, units, "section")
    except PitCannotBeDrawn:
        return None
