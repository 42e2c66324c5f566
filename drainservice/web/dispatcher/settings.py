"""Settings of the firm: its row, its people, whose rules hold, its catalogue."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.text import slugify

from drainservice.accounts import actions as accounts_actions
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.register import actions, queries
from drainservice.register.models.equipment import PARTS
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.once import OnceForm, acting_once, was_done
from drainservice.web.dispatcher.settings_forms import (
    AccountForm,
    FirmForm,
    JurisdictionForm,
    KnownJurisdictionForm,
    known_place,
)
from drainservice.web.dispatcher.settings_types import KnownTypeForm, TypeForm, known_type

FORMS: dict[str, tuple[type[OnceForm], str, str]] = {
    "account": (AccountForm, "Somebody of the firm", "They come in by a link that works once."),
    "jurisdiction": (JurisdictionForm, "A place and its rules", "Local code stands above all."),
    "type": (
        TypeForm,
        "A type of part",
        "Its intervals bound the dates of every such part. A pump's failures come a page later.",
    ),
}

CHANGES: dict[str, tuple[type[OnceForm], str, Any, Any, Any]] = {
    "jurisdiction": (
        KnownJurisdictionForm,
        "Change a place and its rules",
        queries.places_with_seasons,
        known_place,
        actions.change_jurisdiction,
    ),
    "type": (
        KnownTypeForm,
        "Change a type of part",
        queries.all_equipment_types,
        known_type,
        actions.change_equipment_type,
    ),
}


@door(to="owner", methods="GET POST")
def settings(request: Any) -> HttpResponse:
    """The firm's row, and what else is set here."""
    firm = accounts.the_firm()
    form = FirmForm(request.POST or None, instance=firm, initial={"version": firm.version})
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        fresh = accounts.the_firm()
        fresh.version = told.pop("version")
        try:
            accounts_actions.change_firm(fresh, asker=request.asker, **told)
            return go_to(reverse("settings"), "saved")
        except CannotBeDone as refusal:
            form.add_error(None, str(refusal))
    context = {
        "here": "settings",
        "form": form,
        "people": accounts.accounts_of_firm().order_by("role", "handle"),
        "jurisdictions": queries.places_with_seasons(),
        "types": [(part, list(queries.equipment_types(part))) for part in PARTS],
        "link": "",
    }
    status = 422 if form.errors else 200
    return render(request, "dispatcher/settings.html", context | done(request), status=status)


@door(to="owner", methods="GET POST")
def new_setting(request: Any, what: str) -> HttpResponse:
    """A person of the firm, a jurisdiction, a type."""
    if what not in FORMS:
        raise NotFound
    form_class, title, lead = FORMS[what]
    form = form_class(request.POST or None, initial=_units())
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once = told.pop("once")
        try:
            if was_done(request.asker, once):
                return go_to(reverse("settings"), "entered")
            return go_to(_enter(what, told, acting_once(request.asker, once)), "entered")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    context = {"here": "settings", "form": form, "title": title, "lead": lead}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context, status=status)


@door(to="owner", methods="GET POST")
def change_setting(request: Any, what: str, pk: int) -> HttpResponse:
    """A place or a type as it stands; the dates of all it touches are counted anew."""
    if what not in CHANGES:
        raise NotFound
    form_class, title, rows, known, change = CHANGES[what]
    row = next((one for one in rows() if one.pk == pk), None)
    if row is None:
        raise NotFound
    form: Any = form_class(request.POST or None, initial=known(row) | _units())
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        told.pop("once")
        row.version = told.pop("version")
        asker = undoable(request.asker)
        try:
            change(row, asker=asker, **told)
            return go_to(reverse("settings"), "saved", group=asker.group)
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    lead = "What you change counts from the next reckoning on, at every site it touches."
    context = {"here": "settings", "form": form, "title": title, "lead": lead} | done(request)
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context, status=status)


def _units() -> dict[str, UnitSystem]:
    """The firm's units, as forms take them."""
    return {"units": UnitSystem(accounts.the_firm().units)}


def _enter(what: str, told: dict[str, Any], asker: Any) -> str:
    """Enter it. Answers where to go next: a pump's failures are told on its own page."""
    if what == "account":
        person = accounts_actions.enter_person(asker=asker, name=told["person"])
        handle = slugify(told["person"].split()[0])[:40] or "staff"
        taken = set(accounts.technicians_and_office().values_list("handle", flat=True))
        if handle in taken:
            handle = slugify(told["person"])[:40]
        accounts_actions.enter_account(
            asker=asker, person=person, name=told["name"], role=told["role"], handle=handle
        )
    elif what == "jurisdiction":
        actions.enter_jurisdiction(asker=asker, **told)
    else:
        row = actions.enter_equipment_type(asker=asker, **told)
        if row.part == "pump":
            return reverse("setting", args=["type", row.pk])
    return reverse("settings")
