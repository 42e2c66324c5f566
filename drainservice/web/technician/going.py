"""On the way, at the pit, could not reach the lid: one button each."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect

from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.text import TextRefused, clean_line
from drainservice.doors.door import door
from drainservice.inspections.models import WhyNot
from drainservice.visits import actions, queries
from drainservice.visits.models import Visit
from drainservice.web.technician.today import show_round


@door(to="technician", methods="POST")
def set_out(request: Any, visit_id: int) -> HttpResponse:
    """Say that we are on the way; the household is told once."""
    visit = queries.visit_for(request.asker, visit_id)
    try:
        actions.set_out(visit, asker=request.asker)
    except CannotBeDone as refusal:
        return _again(request, visit, str(refusal))
    return redirect(_round_of(visit) + f"#visit-{visit.pk}")


@door(to="technician", methods="POST")
def at_pit(request: Any, visit_id: int) -> HttpResponse:
    """Say that we are there, and go on to what lies under the lid."""
    visit = queries.visit_for(request.asker, visit_id)
    try:
        actions.arrive(visit, asker=request.asker)
    except CannotBeDone as refusal:
        return _again(request, visit, str(refusal))
    rows = visit.wanted  # type: ignore[attr-defined]
    if len(rows) == 1:
        return redirect(f"/pits/{rows[0].system.code}?visit={visit.pk}")
    return redirect(_round_of(visit) + f"#visit-{visit.pk}")


@door(to="technician", methods="POST")
def not_reached(request: Any, visit_id: int) -> HttpResponse:
    """We came and could not reach the lid; the dates stay, reaching it becomes due."""
    visit = queries.visit_for(request.asker, visit_id)
    why, note = request.POST.get("why", ""), request.POST.get("note", "")
    if why not in WhyNot.values:
        return _again(request, visit, "Say why the lid could not be reached.", status=422)
    try:
        words = clean_line(note, most=150, what="The note")
        because = WhyNot(why).label + (f": {words}" if words else "")
        actions.miss_visit(visit, asker=request.asker, because=because, why_not=why)
    except (CannotBeDone, TextRefused) as refusal:
        return _again(request, visit, str(refusal))
    return redirect(_round_of(visit) + f"#visit-{visit.pk}")


def _round_of(visit: Visit) -> str:
    if visit.technician is None or visit.day is None:
        return "/today"
    return f"/rounds/{visit.day.isoformat()}/{visit.technician.handle}"


def _again(request: Any, visit: Visit, refusal: str, *, status: int = 409) -> HttpResponse:
    """The round once more, with the sentence that says why nothing was done."""
    if visit.technician is None or visit.day is None:
        raise CannotBeDone(refusal)
    return show_round(request, visit.technician, visit.day, status=status, refusal=refusal)
