"""Entering and changing one thing of the crew, somebody's hours, and what planning goes by."""

from typing import Any

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.visits import actions, queries
from drainservice.visits.models import Van
from drainservice.web.dispatcher.crew import person_of
from drainservice.web.dispatcher.crew_forms import DayField, StartForm
from drainservice.web.dispatcher.crew_things import THINGS, CrewThing, page_of, whose
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.hours_form import HoursForm, known_hours
from drainservice.web.dispatcher.once import acting_once, was_done
from drainservice.web.dispatcher.terms_form import TermsForm

REFUSALS = (CannotBeDone, TextRefused)


@door(to="dispatcher", methods="GET POST")
def add_thing(request: Any, what: str) -> HttpResponse:
    """A base, a van, closed days; days on which the van `of` is out."""
    thing = _thing(what)
    if thing.of == "own":
        raise NotFound
    owner = _van(request.GET.get("of", "")) if thing.of == "van" else None
    works = request.GET.get("works", "") if what == "closed" else ""
    return _add(request, thing, owner, reverse("crew"), _worked(works) if works else {})


@door(to="dispatcher", methods="GET POST")
def add_own(request: Any, handle: str, what: str) -> HttpResponse:
    """An absence, a skill, an area of somebody."""
    thing = _thing(what)
    if thing.of != "own":
        raise NotFound
    account = person_of(request, handle).account
    return _add(request, thing, account, reverse("crew-member", args=[handle]))


@door(to="dispatcher", methods="GET POST")
def change_thing(request: Any, what: str, pk: int) -> HttpResponse:
    """A thing as it stands, changed where it is still as it was read, or taken off."""
    thing = _thing(what)
    row = _one(thing.rows(), pk)
    asker, zone, refused = undoable(request.asker), accounts.the_firm().zone, ""
    is_off = request.POST.get("act") == "off"
    known = thing.known(row, zone) | {"version": row.version}
    form = _form(request, thing, zone, None if is_off else request.POST or None, known)
    if what == "skill":
        form.fields["word"].disabled = True
    try:
        if is_off:
            thing.off(row, asker=asker)
            return go_to(page_of(row), "taken_off", group=asker.group)
        if request.method == "POST" and form.is_valid():
            told = dict(form.cleaned_data)
            told.pop("once")
            row.version = told.pop("version") or 0
            thing.change(row, asker, told)
            return go_to(page_of(row), "saved", group=asker.group)
    except REFUSALS as refusal:
        refused = str(refusal)
    return _page(request, thing, form, f"Change {thing.title}", whose(row), refused, can_go=True)


@door(to="dispatcher", methods="GET POST")
def hours(request: Any, handle: str) -> HttpResponse:
    """Somebody's working hours from a day on; those that have not begun can be taken back."""
    person = person_of(request, handle)
    address = reverse("crew-member", args=[handle])
    asker = undoable(request.asker)
    if request.POST.get("act") == "take_back":
        begins = _typed_day(request.POST.get("valid_from", ""))
        actions.take_back_hours(person.account, asker=asker, valid_from=begins)
        return go_to(address, "taken_off", group=asker.group)
    today = accounts.today_of_firm(request.asker.at)
    initial = known_hours(person.hours) | {"valid_from": today}
    form = HoursForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once = told.pop("once")
        if was_done(request.asker, once):
            return go_to(address, "before")
        try:
            acting = acting_once(request.asker, once)
            actions.set_working_hours(person.account, asker=acting, **told)
            return go_to(address, "saved", group=once)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    context = {"here": "crew", "form": form, "person": person, "name": person.account.person.name}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/crew_hours.html", context, status=status)


@door(to="dispatcher", methods="GET POST")
def start(request: Any, handle: str) -> HttpResponse:
    """Where somebody's rounds begin, and in which van."""
    person = person_of(request, handle)
    member = person.member
    known = {
        "base": person.base.pk if person.base else None,
        "van": person.van.pk if person.van else None,
        "version": member.version if member else 0,
    }
    form = StartForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once, address = told.pop("once"), reverse("crew-member", args=[handle])
        if was_done(request.asker, once):
            return go_to(address, "before")
        try:
            acting = acting_once(request.asker, once)
            actions.set_member(person.account, asker=acting, **told)
            return go_to(address, "saved", group=once)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    title = f"Where {person.account.person.name} begins"
    lead = "The drive to the first site and home from the last one is counted from there."
    context = {"here": "crew", "form": form, "title": title, "lead": lead}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context | done(request), status=status)


@door(to="dispatcher", methods="GET POST")
def terms(request: Any) -> HttpResponse:
    """What planning goes by: ours until the firm sets it."""
    row = queries.the_terms()
    # A row that is not there yet has no version that somebody could have read.
    read = 0 if row._state.adding else row.version
    form = TermsForm(request.POST or None, instance=row, initial={"version": read})
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        version, asker = told.pop("version"), undoable(request.asker)
        try:
            actions.set_planning_terms(asker=asker, version=version, **told)
            return go_to(reverse("crew"), "saved", group=asker.group)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    lead = "All of it is our judgement until you set it. A minute of driving is the measure."
    context = {"here": "crew", "form": form, "title": "What planning goes by", "lead": lead}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context, status=status)


def _worked(told: str) -> dict[str, Any]:
    """A public holiday as it would be entered as worked. Errors: NotFound."""
    day = _typed_day(told)
    name = queries.closed_days_between(day, day).get(day, "")
    return {"first_on": day, "name": f"We work on {name}" if name else "", "is_worked": True}


def _add(
    request: Any,
    thing: CrewThing,
    owner: Any,
    address: str,
    beforehand: dict[str, Any] | None = None,
) -> HttpResponse:
    zone = accounts.the_firm().zone
    form = _form(request, thing, zone, request.POST or None, beforehand or {})
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once = told.pop("once")
        told.pop("version")
        try:
            with transaction.atomic():
                is_new = not was_done(request.asker, once)
                if is_new:
                    thing.enter(owner, acting_once(request.asker, once), told)
            return go_to(address, "entered", group=once) if is_new else go_to(address, "before")
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    return _page(request, thing, form, f"Enter {thing.title}", owner)


def _form(request: Any, thing: CrewThing, zone: str, posted: Any, known: dict[str, Any]) -> Any:
    more = {"zone": zone} if thing.is_timed else {}
    return thing.form(posted, initial=known, **more)


def _page(
    request: Any,
    thing: CrewThing,
    form: Any,
    title: str,
    owner: Any,
    refused: str = "",
    *,
    can_go: bool = False,
) -> HttpResponse:
    name = getattr(owner, "name", "") if isinstance(owner, Van) else ""
    context = {
        "here": "crew",
        "form": form,
        "title": title,
        "lead": thing.lead,
        "owner": name or (owner.person.name if owner else ""),
        "refused": refused,
        "can_go": can_go,
    }
    status = 422 if form.errors or refused else 200
    return render(request, "dispatcher/crew_thing.html", context | done(request), status=status)


def _thing(what: str) -> CrewThing:
    if what not in THINGS:
        raise NotFound
    return THINGS[what]


def _typed_day(told: str) -> Any:
    try:
        return DayField().clean(told[:20])
    except forms.ValidationError:
        raise NotFound from None


def _van(told: str) -> Any:
    if not (told.isascii() and told.isdecimal() and len(told) < 19):
        raise NotFound
    return _one(THINGS["van"].rows(), int(told))


def _one(rows: Any, pk: int) -> Any:
    try:
        row = rows.filter(pk=pk).first()
    except OverflowError:
        raise NotFound from None
    if row is None:
        raise NotFound
    return row
