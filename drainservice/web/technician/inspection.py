"""The inspection: one page in the order the hands work, stored once however often it is sent."""

import uuid
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render

from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.queries import the_firm
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Inspection
from drainservice.register import queries as register
from drainservice.register.models import System
from drainservice.visits import queries as visits
from drainservice.visits.actions import record_at_visit
from drainservice.visits.models import Visit
from drainservice.web.results import say_result
from drainservice.web.technician.inspection_form import FINDINGS, InspectionForm
from drainservice.web.technician.inspection_page import (
    say_sums,
    show_findings,
    show_looks,
    show_mendable,
)
from drainservice.web.technician.last import last_readings
from drainservice.web.technician.looks import pages_of
from drainservice.web.technician.photos import keep_uploads
from drainservice.web.wrong import FOUND_ON_SITE


@door(to="technician", methods="GET POST", body="photo")
def inspection(request: Any, code: str) -> HttpResponse:
    """Show the page, work a sum out, or close and store the record."""
    system = register.system_by_code_for(request.asker, code)
    visit = _visit(request, system)
    page = _Page(request, system, visit)
    if request.method != "POST":
        return page.show()
    if request.POST.get("do") != "close":
        return page.show_sums()
    record = page.form.record(today=page.today)
    if record is None:
        return page.show(status=422)
    try:
        stored = record_at_visit(system, asker=request.asker, record=record, visit=visit)
    except (CannotBeDone, TextRefused) as refusal:
        return page.show(status=409, refusal=str(refusal))
    return _add_photo(request, system, stored, is_asked=False)


@door(to="technician", methods="GET POST", body="photo")
def inspection_done(request: Any, code: str, inspection_id: uuid.UUID) -> HttpResponse:
    """What was stored, in words, with the sums; more photos can follow."""
    system = register.system_by_code_for(request.asker, code)
    stored = inspections.inspection_for(request.asker, inspection_id)
    if stored.system_id != system.pk:
        raise NotFound
    if request.method == "POST":
        return _add_photo(request, system, stored, is_asked=True)
    return _show_done(request, system, stored)


def _add_photo(request: Any, system: System, stored: Inspection, *, is_asked: bool) -> HttpResponse:
    """Keep the photo that came along; the record is stored already, whatever becomes of it."""
    try:
        if not keep_uploads(request, system, stored) and is_asked:
            return _show_done(request, system, stored, refusal="Choose a photo first.")
    except (CannotBeDone, TextRefused) as wrong:
        return _show_done(request, system, stored, refusal=str(wrong))
    return redirect("inspection-done", code=system.code, inspection_id=stored.pk)


def _show_done(
    request: Any, system: System, stored: Inspection, *, refusal: str = ""
) -> HttpResponse:
    context = {
        "here": "inspection-done",
        "system": system,
        "inspection": stored,
        "looks": _stored_looks(stored),
        "photo_id": uuid.uuid4(),
        "refusal": refusal,
    }
    status = 409 if refusal else 200
    return render(request, "technician/inspection_done.html", context, status=status)


# Fields the template names itself.
KEPT = ("id", "begun_at", "on", "corrects", "work", "note", "of_what")


class _Page:
    """One request's page: the system whole, what is wanted, and the values as typed."""

    def __init__(self, request: Any, system: System, visit: Visit | None) -> None:
        self.request, self.system, self.visit = request, system, visit
        self.today = register.today_at(system.site, request.asker.at)
        self.whole = register.whole(system, day=self.today)
        self.last = last_readings(inspections.inspections_of(system))
        self.corrected = _corrected(request, system)
        self.wanted = (
            {look.kind for look in self.corrected.looks.all()}
            if self.corrected
            else _wanted(visit, system, self.today)
        )
        silt = self.last.get("sediment_m")
        self.form = InspectionForm(
            request.POST if request.method == "POST" else self._first_values(),
            pages=pages_of(self.whole, silt.value if silt else None),
            wanted=self.wanted,
            system=UnitSystem(the_firm().units),
            zone=system.site.zone,
        )

    def _first_values(self) -> dict[str, str]:
        first = {"id": str(uuid.uuid4()), "begun_at": self.request.asker.at.isoformat()}
        return first | ({"corrects": str(self.corrected.pk)} if self.corrected else {})

    def show_sums(self) -> HttpResponse:
        """The sums of the look that was asked for: alone for the page's script, else in place."""
        key = self.request.POST.get("do", "").removeprefix("sum:")
        said = say_sums(self.form, self.whole).get(key, [])
        if self.request.headers.get("X-Part") == "sum":
            return render(self.request, "technician/_sum.html", {"sums": said})
        return self.show(sums={key: said})

    def show(self, *, status: int = 200, refusal: str = "", sums: Any = None) -> HttpResponse:
        last = {kind: reading.value for kind, reading in self.last.items()}
        looks = show_looks(self.form, last, wanted=True)
        for look in looks:
            look["sums"] = (sums or {}).get(look["key"])
        context = {
            "here": "inspection",
            "system": self.system,
            "visit": self.visit,
            "corrected": self.corrected,
            "today": self.today,
            "form": self.form,
            "looks": looks,
            "others": show_looks(self.form, last, wanted=False),
            "findings": show_findings(self.form),
            "kinds": FOUND_ON_SITE.items(),
            "mendable": show_mendable(self.form, inspections.defects_of(self.system)),
            "troubles": _troubles(self.form) if status == 422 else [],
            "is_refused": status != 200,
            "has_findings": any(self.form.values.get(f"found{n}.kind") for n in FINDINGS),
            "refusal": refusal,
            "values": {name: self.form.values.get(name, "") for name in KEPT},
        }
        return render(self.request, "technician/inspection.html", context, status=status)


def _troubles(form: InspectionForm) -> list[tuple[list[tuple[str, str]], str]]:
    """Each sentence once, with the places on the page where it holds."""
    places: dict[str, list[tuple[str, str]]] = {sentence: [] for sentence in form.faults}
    for look in form.looks:
        for sentence in look.faults.values():
            places.setdefault(sentence, []).append((f"look-{look.page.key}", look.page.title))
    return [(where, sentence) for sentence, where in places.items()]


def _visit(request: Any, system: System) -> Visit | None:
    """The visit named by the page, if it goes to this system, else the one under way."""
    named = request.POST.get("visit") or request.GET.get("visit") or ""
    if named.isascii() and named.isdigit() and len(named) < 19:
        visit = visits.visit_for(request.asker, int(named))
        if visit.site_id != system.site_id:
            raise NotFound
        return visit
    today = register.today_at(system.site, request.asker.at)
    return visits.visit_under_way(request.asker, system, day=today)


def _corrected(request: Any, system: System) -> Inspection | None:
    """The stored inspection that this one shall stand in place of."""
    named = request.POST.get("corrects") or request.GET.get("corrects")
    if not named:
        return None
    try:
        old = inspections.inspection_for(request.asker, uuid.UUID(named))
    except ValueError:
        raise NotFound from None
    if old.system_id != system.pk:
        raise NotFound
    return old


def _wanted(visit: Visit | None, system: System, today: Any) -> set[str]:
    """The looks this visit was sent for; without any, those that are due soon."""
    rows = getattr(visit, "wanted", []) if visit else []
    named = {kind for row in rows if row.system_id == system.pk for kind in row.looks_wanted}
    return named or set(inspections.looks_wanted(system, today=today))


def _stored_looks(stored: Inspection) -> list[dict[str, Any]]:
    units = UnitSystem(the_firm().units)
    return [
        {
            "look": look,
            "results": [say_result(result, units) for result in look.results.all()],
        }
        for look in stored.looks.all()
    ]
