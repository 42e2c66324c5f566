"""Changing what we know of a system: one form a part."""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone, NotFound
from drainservice.accounts.models import Kept
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.register import actions
from drainservice.register import queries as register
from drainservice.register.models import (
    AccessPoint,
    Backup,
    CheckValve,
    Downspout,
    Line,
    Pit,
    Pump,
    Section,
    System,
)
from drainservice.register.queries import Whole
from drainservice.web.dispatcher.done import go_to, undoable
from drainservice.web.dispatcher.once import acting_once, was_done
from drainservice.web.dispatcher.part_form import Choice, PartForm

MODELS: dict[str, type[Kept]] = {
    "system": System,
    "pit": Pit,
    "lid": AccessPoint,
    "pump": Pump,
    "valve": CheckValve,
    "line": Line,
    "section": Section,
    "backup": Backup,
    "downspout": Downspout,
}
NAMES = {
    "system": "the system",
    "pit": "the pit",
    "lid": "the lid",
    "pump": "a pump",
    "valve": "the check valve",
    "line": "the discharge line",
    "section": "a stretch of the line",
    "backup": "the back-up",
    "downspout": "a downspout",
}

# Parts that have a type, by what the catalogue calls them.
OF_CATALOGUE = {
    "pit": "pit",
    "pump": "pump",
    "valve": "valve",
    "line": "line",
    "lid": "access",
    "backup": "backup",
}


def rows_of(whole: Whole, part: str) -> list[Kept]:
    """The rows of one kind of part that are in the ground now."""
    found: dict[str, Callable[[], list[Any]]] = {
        "system": lambda: [whole.system],
        "pit": lambda: [whole.pit],
        "lid": lambda: [whole.access_point],
        "pump": lambda: whole.pumps,
        "valve": lambda: list(whole.valves.values()),
        "line": lambda: [whole.line],
        "section": lambda: whole.sections,
        "backup": lambda: whole.backups,
        "downspout": lambda: whole.downspouts,
    }
    return [row for row in found[part]() if row is not None]


@door(to="dispatcher", methods="GET POST")
def change_part(request: Any, code: str, part: str, pk: int) -> HttpResponse:
    """One part as it stands, to be changed where it is still as it was read."""
    system, whole, units = _found(request, code, part)
    row = next((row for row in rows_of(whole, part) if row.pk == pk), None)
    if row is None:
        raise NotFound
    asker = undoable(request.asker)
    if request.POST.get("act") == "off" and isinstance(row, Section | Downspout):
        actions.remove_part(row, asker=asker)
        return go_to(reverse("system", args=[system.code]), "taken_off", group=asker.group)
    form = _form(request, part, whole, units, row)
    if request.method == "POST" and form.is_valid():
        row.version = form.cleaned_data["version"]
        try:
            with transaction.atomic():
                _change(row, form, asker)
            address = reverse("system", args=[system.code])
            return go_to(address, "saved", group=asker.group, anchor=f"#of-{part}")
        except CannotBeDone as refusal:
            form.add_error(None, str(refusal))
    can_go = isinstance(row, Section | Downspout)
    return _page(request, system, form, f"Change {NAMES[part]}", can_go=can_go)


@door(to="dispatcher", methods="GET POST")
def add_part(request: Any, code: str, part: str) -> HttpResponse:
    """A part that is not on record yet."""
    system, whole, units = _found(request, code, part)
    form = _form(request, part, whole, units)
    if request.method == "POST" and form.is_valid():
        once = form.cleaned_data["once"]
        try:
            with transaction.atomic():
                is_new = not was_done(request.asker, once)
                if is_new:
                    _add(whole, part, form, acting_once(request.asker, once))
            what = "entered" if is_new else "before"
            return go_to(reverse("system", args=[system.code]), what, anchor=f"#of-{part}")
        except CannotBeDone as refusal:
            form.add_error(None, str(refusal))
    return _page(request, system, form, f"Enter {NAMES[part]}")


@door(to="dispatcher", methods="GET POST")
def replace_pump(request: Any, code: str, pk: int) -> HttpResponse:
    """Another pump in the place of this one; the old one stays dated in history."""
    system, whole, units = _found(request, code, "pump")
    old = next((pump for pump in whole.pumps if pump.pk == pk), None)
    if old is None:
        raise NotFound
    form = _form(request, "pump", whole, units, leave_out=("from_span",))
    form.fields["from_on"].required = True
    form.fields["from_on"].label = "changed on"
    if request.method == "POST" and form.is_valid():
        values = form.values()
        try:
            actions.replace_pump(
                old,
                asker=acting_once(request.asker, form.cleaned_data["once"]),
                on=values.pop("from_on"),
                because=request.POST.get("because", "")[:200],
                curve=form.cleaned_data.get("curve") or [],
                **values,
            )
            return go_to(reverse("system", args=[system.code]), "replaced", anchor="#of-pump")
        except CannotBeDone as refusal:
            form.add_error(None, str(refusal))
    return _page(request, system, form, "Replace the pump", asks_why=True)


def _found(request: Any, code: str, part: str) -> tuple[System, Whole, UnitSystem]:
    if part not in MODELS:
        raise NotFound
    system = register.system_by_code_for(request.asker, code)
    day = register.today_at(system.site, request.asker.at)
    return system, register.whole(system, day=day), UnitSystem(accounts.the_firm().units)


def _form(
    request: Any,
    part: str,
    whole: Whole,
    units: UnitSystem,
    row: Any = None,
    leave_out: tuple[str, ...] = (),
) -> PartForm:
    return PartForm(
        request.POST or None,
        model=MODELS[part],
        units=units,
        row=row,
        has_curve=part == "pump",
        has_fittings=part == "section",
        leave_out=leave_out,
        choices=_choices(part, whole, register.today_at(whole.site, request.asker.at)),
    )


def _choices(part: str, whole: Whole, day: date) -> tuple[Choice, ...]:
    """The type out of the firm's catalogue, the main a line joins, a system's agreement."""
    found: tuple[Choice, ...] = ()
    if part in OF_CATALOGUE:
        types = register.equipment_types(OF_CATALOGUE[part])
        found = (Choice("type", "type, of your catalogue", types, "not said"),)
    if part == "line":
        found += (Choice("main", "joins the main", register.mains(), "none, or not known"),)
    if part == "system":
        standing = register.agreements_at(whole.site, day)
        found = (Choice("agreement", "agreement", standing, "none"),)
    return found


def _change(row: Any, form: PartForm, asker: Asker) -> None:
    actions.change_part(row, asker=asker, **form.values())
    if isinstance(row, Section):
        actions.set_fittings(row, asker=asker, fittings=form.fittings())
    if isinstance(row, Pump) and form.has_typed_curve:
        actions.set_curve(row, asker=asker, curve=form.cleaned_data.get("curve") or [])


def _add(whole: Whole, part: str, form: PartForm, asker: Any) -> None:
    system, values = whole.system, form.values()
    if part == "pump":
        taken = {pump.position for pump in whole.pumps}
        values["position"] = next(n for n in range(1, 10) if n not in taken)
        actions.add_pump(system, asker=asker, curve=form.cleaned_data.get("curve") or [], **values)
    elif part == "valve":
        bare = [pump for pump in whole.pumps if pump.pk not in whole.valves]
        if not bare:
            raise CannotBeDone("Each pump here has its check valve; change that one, or enter the "
                               "pump first.")  # fmt: skip
        actions.add_check_valve(bare[0], asker=asker, **values)
    elif part == "section":
        if whole.line is None:
            raise CannotBeDone("Enter the discharge line first, then its stretches.")
        actions.add_section(whole.line, asker=asker, fittings=form.fittings(), **values)
    elif part == "line":
        actions.add_line(system, asker=asker, sections=[], **values)
    else:
        adders = {
            "pit": actions.add_pit,
            "lid": actions.add_access_point,
            "downspout": actions.add_downspout,
            "backup": actions.add_backup,
        }
        if part not in adders:
            raise NotFound
        adders[part](system, asker=asker, **values)


def _page(
    request: Any,
    system: System,
    form: PartForm,
    title: str,
    *,
    asks_why: bool = False,
    can_go: bool = False,
) -> HttpResponse:
    context = {
        "here": "systems",
        "system": system,
        "form": form,
        "title": title,
        "asks_why": asks_why,
        "can_go": can_go,
        "because": request.POST.get("because", ""),
    }
    return render(request, "dispatcher/changing.html", context, status=422 if form.errors else 200)
