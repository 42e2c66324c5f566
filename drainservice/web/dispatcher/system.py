"""One system whole: section, parts, dates, what is wrong, people, visits, history, trends."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import NotFound
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.inspections import actions as inspections_actions
from drainservice.inspections import queries as inspections
from drainservice.register import actions, queries
from drainservice.register.models import Status, System
from drainservice.register.queries import Whole
from drainservice.visits import queries as visits
from drainservice.web.dispatcher import pictures_of
from drainservice.web.dispatcher.changing import NAMES, rows_of
from drainservice.web.dispatcher.done import done, go_to
from drainservice.web.dispatcher.fields import read_fields
from drainservice.web.results import say_result
from drainservice.web.words import due_phrase, look_words

SUMS = ("flow_against_duty", "shared_main", "back_flow", "other_pit", "soakage", "silt")
ONE_EACH = {"system", "pit", "lid", "line"}


@dataclass(frozen=True, slots=True)
class PartWords:
    """One kind of part: its rows as they are read, and where each is changed."""

    name: str
    title: str
    rows: list[tuple[int, list[tuple[str, str, str]]]]
    add: str


class AdviceForm(forms.Form):
    """What we advise."""

    what = forms.CharField(label="We advise", max_length=200)
    why = forms.CharField(
        label="because", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


@door(to="dispatcher")
def system(request: Any, code: str) -> HttpResponse:
    """Everything about one system, in order of what a caller asks."""
    system = queries.system_by_code_for(request.asker, code)
    if code != system.code:
        return redirect("system", system.code)
    site, today = system.site, queries.today_at(system.site, request.asker.at)
    whole = queries.whole(system, day=today)
    units = UnitSystem(accounts.the_firm().units)
    dues = inspections.dues_of(system)
    ahead = list(visits.open_visits_of(system))
    defects = inspections.defects_of(system)
    context = {
        "here": "systems",
        "system": system,
        "site": site,
        "today": today,
        "dues": dues,
        "first": _first(system, dues, today, ahead),
        "downs": [d for d in inspections.downs_for(request.asker) if d.pump.system_id == system.pk],
        "defects": defects,
        "advice": inspections.recommendations_of(system),
        "advice_form": AdviceForm(),
        "parts": parts_of(whole, units),
        "people": queries.parts_at(site, today),
        "others": queries.systems_for(request.asker).filter(site=site).exclude(pk=system.pk),
        "ahead": ahead,
        "visits": visits.visits_of_site(request.asker, site)[:12],
        "sums": _sums(system, units),
        "statuses": Status.choices,
    }
    context |= pictures_of.section(whole, defects, units)
    context |= pictures_of.years(system, today, units)
    return render(request, "dispatcher/system.html", context | done(request))


@door(to="dispatcher", methods="POST")
def set_status(request: Any, code: str) -> HttpResponse:
    """In use, out of use, dug out."""
    system = queries.system_by_code_for(request.asker, code)
    status = request.POST.get("status")
    if status not in Status.values:
        raise NotFound
    actions.set_status(system, asker=request.asker, status=status)
    return go_to(reverse("system", args=[system.code]), "saved")


@door(to="dispatcher", methods="POST")
def advise(request: Any, code: str) -> HttpResponse:
    """Write down what we advised, or what was answered to it."""
    system = queries.system_by_code_for(request.asker, code)
    today = queries.today_at(system.site, request.asker.at)
    given = request.POST.get("answer", "")
    if given in {"agreed", "declined", "no_answer"}:
        told = {str(row.pk): row for row in inspections.recommendations_of(system)}
        row = told.get(request.POST.get("advice", ""))
        if row is None:
            raise NotFound
        inspections_actions.answer_recommendation(row, asker=request.asker, answer=given, on=today)
    else:
        form = AdviceForm(request.POST)
        if form.is_valid():
            inspections_actions.recommend(system, asker=request.asker, **form.cleaned_data)
    return go_to(reverse("system", args=[system.code]), "noted", anchor="#advice")


def parts_of(whole: Whole, units: UnitSystem) -> list[PartWords]:
    """Each kind of part with what is known of it; what is missing says so by having no rows."""
    found = []
    for name, title in NAMES.items():
        rows = [(row.pk, read_fields(row, units)) for row in rows_of(whole, name)]
        may_add = name != "system" and not (name in ONE_EACH and rows)
        if name == "valve":
            may_add = len(rows) < len(whole.pumps)
        if name == "section":
            may_add = whole.line is not None
        title = title.removeprefix("the ").removeprefix("a ")
        found.append(PartWords(name, title, rows, title if may_add else ""))
    return found


def _first(system: System, dues: list[Any], today: Any, ahead: list[Any]) -> str:
    """The page's answer: what is next here."""
    if system.status != Status.IN_USE:
        return f"This system is {system.get_status_display()}, so nothing is due here."
    if not dues:
        return "Its dates are being counted; load the page again in a minute."
    booked = "" if ahead else " No visit is booked."
    look = look_words(dues[0].kind)
    return f"First of all: {look[0].lower()}{look[1:]}. {due_phrase(dues[0], today)}{booked}"


def _sums(system: System, units: UnitSystem) -> list[Any]:
    found = []
    for what in SUMS:
        result = inspections.last_result(system, what)
        if result is not None:
            found.append((result, say_result(result, units)))
    return found
