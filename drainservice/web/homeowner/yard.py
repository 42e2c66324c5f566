"""Your yard: who comes when, the three answers, whether it works, and what to do in a storm."""

from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect

from drainservice.accounts.asker import Asker
from drainservice.doors.door import door
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Recommendation
from drainservice.register import queries as register
from drainservice.register.models import Site, Status, System
from drainservice.visits import queries as visits
from drainservice.visits.models import State, Visit
from drainservice.web.homeowner.page import in_their_language, show
from drainservice.web.homeowner.parts import Parts, parts_at
from drainservice.web.homeowner.plain import last_result

AHEAD = [State.OFFERED, State.AGREED, State.AT_PIT]
SAYS = {"yes", "another_day", "not_this_year", "not_my_house"}
LOG = 12


@door(to="homeowner")
@in_their_language
def yard(request: Any) -> HttpResponse:
    """Everything on one page. A mail's button lands here and is led to its own question."""
    asker, named = request.asker, request.household_link.visit_id
    say = request.GET.get("say", "")
    if say in SAYS and named:
        return redirect("answer", signed=request.signed, visit_id=named, word=say)
    places = [_place(asker, site) for site in register.sites_for(asker).order_by("pk")]
    coming = [visit for place in places for visit in place["visits"]]
    coming.sort(key=lambda visit: (visit.day, visit.window_from, visit.pk))
    context = {
        "here": "yard",
        "first": coming[0] if coming else None,
        "places": places,
        "is_one_place": len(places) == 1,
        "next_due_on": min((p["due_on"] for p in places if p["due_on"]), default=None),
    }
    return show(request, "yard", context)


@door(to="homeowner")
@in_their_language
def storm(request: Any) -> HttpResponse:
    """What to do in a storm, and what to leave alone."""
    return show(request, "storm", {})


def _place(asker: Asker, site: Site) -> dict[str, Any]:
    today = register.today_at(site, asker.at)
    parts = parts_at(asker, site)
    since = register.tenure_since(asker, site)
    systems = [
        _system(asker, system, parts, since, today)
        for system in register.systems_for(asker)
        .filter(site=site, status=Status.IN_USE)
        .select_related("agreement")
        .order_by("pk")
    ]
    ahead = visits.visits_of_site(asker, site).filter(state__in=AHEAD, day__gte=today)
    last = visits.visits_of_site(asker, site).filter(state=State.NOT_REACHED).first()
    return {
        "site": site,
        "parts": parts,
        "visits": [_with_answer(asker, visit) for visit in ahead.order_by("day", "pk")],
        "missed": last if last and last.day and (today - last.day).days <= 30 else None,
        "systems": systems,
        "agreement": systems[0]["system"].agreement if systems and parts.sees_agreement else None,
        "due_on": min((s["due_on"] for s in systems if s["due_on"]), default=None),
    }


def _with_answer(asker: Asker, visit: Visit) -> Visit:
    """The visit with what this person last answered to it as it stands."""
    said = {a.person_id: a.word for a in visits.latest_answers(visit)}
    visit.said = said.get(asker.person_id, "")  # type: ignore[attr-defined]
    return visit


def _system(
    asker: Asker, system: System, parts: Parts, since: date | None, today: date
) -> dict[str, Any]:
    downs = [d for d in inspections.downs_for(asker) if d.pump.system_id == system.pk]
    log = inspections.history_of(system, since=since)
    dues = [due.due_on for due in inspections.dues_of(system) if due.due_on]
    return {
        "system": system,
        "whole": register.whole(system, day=today),
        "last": last_result(system, is_down=bool(downs)),
        "stop_gap": downs[0].stop_gap if downs else "",
        # What we advised and what they said of it concerns whoever decides or pays.
        "log": [e for e in log if e.sort != "said" or parts.sees_agreement][:LOG],
        "advice": _advice(system) if parts.sees_agreement else [],
        "due_on": min(dues, default=None),
    }


def _advice(system: System) -> list[Recommendation]:
    """What we advised and nobody has answered, or what was agreed and is not done yet."""
    return [r for r in inspections.recommendations_of(system) if r.answer != "declined"][:3]
