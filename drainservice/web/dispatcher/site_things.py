"""Entering and changing one thing of a site: a form, and a way to take it off the record."""

from datetime import date
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.register import queries
from drainservice.register.models import Agreement, Site
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.once import acting_once, was_done
from drainservice.web.dispatcher.part_form import Choice, PartForm
from drainservice.web.dispatcher.things import THINGS, Thing, act_on, acts_of


@door(to="dispatcher", methods="GET POST")
def add_thing(request: Any, site_id: int, what: str) -> HttpResponse:
    """A thing that is not on record yet; `of` names the person or household it is of."""
    site, thing, today = _found(request, site_id, what)
    if thing.enter is None:
        raise NotFound
    owner = _owner(thing, site, today, request.GET.get("of", ""))
    form = _form_of(request, thing, site, today)
    if request.method == "POST" and form.is_valid():
        once = form.cleaned_data["once"]
        try:
            with transaction.atomic():
                is_new = not was_done(request.asker, once)
                if is_new:
                    thing.enter(owner, site, acting_once(request.asker, once), form.values())
            address = reverse("site", args=[site.pk])
            return go_to(address, "entered", group=once) if is_new else go_to(address, "before")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    return _page(request, site, thing, form, f"Enter {thing.title}", [], owner)


@door(to="dispatcher", methods="GET POST")
def change_thing(request: Any, site_id: int, what: str, pk: int) -> HttpResponse:
    """A thing as it stands, changed where it is still as it was read, or taken off."""
    site, thing, today = _found(request, site_id, what)
    row = _one(thing.rows(site, today), pk)
    form = _form_of(request, thing, site, today, row)
    acts = acts_of(what, row)
    asker = undoable(request.asker)
    act, refused = request.POST.get("act", ""), ""
    try:
        if act:
            said = next((said for word, _, said in acts if word == act), "")
            act_on(what, row, act if said else "", asker)
            return go_to(reverse("site", args=[site.pk]), said, group=asker.group)
        if request.method == "POST" and form.is_valid():
            row.version = form.cleaned_data["version"]
            with transaction.atomic():
                thing.change(row, site, asker, form.values())
            return go_to(reverse("site", args=[site.pk]), "saved", group=asker.group)
    except (CannotBeDone, TextRefused) as refusal:
        refused = str(refusal)
    return _page(request, site, thing, form, f"Change {thing.title}", acts, refused=refused)


def _found(request: Any, site_id: int, what: str) -> tuple[Site, Thing, date]:
    site = queries.site_for(request.asker, site_id)
    if what not in THINGS:
        raise NotFound
    return site, THINGS[what], queries.today_at(site, request.asker.at)


def _owner(thing: Thing, site: Site, today: date, told: str) -> Any:
    if thing.owner is None:
        return None
    if not (told.isascii() and told.isdecimal() and len(told) < 19):
        raise NotFound
    return _one(thing.owner(site, today), int(told))


def _one(rows: Any, pk: int) -> Any:
    try:
        row = rows.filter(pk=pk).first()
    except OverflowError:
        raise NotFound from None
    if row is None:
        raise NotFound
    return row


def _form_of(request: Any, thing: Thing, site: Site, today: date, row: Any = None) -> PartForm:
    choices: tuple[Choice, ...] = ()
    if thing.model is Agreement:
        systems = queries.systems_for(request.asker).filter(site=site).order_by("pk")
        ticked = [s.pk for s in systems if row is None or s.agreement_id == row.pk]
        homes = queries.households_at(site, today)
        if row is not None:
            homes = homes | type(row.payer)._default_manager.filter(pk=row.payer_id)
        choices = (
            Choice("payer", "who pays", homes, is_needed=True),
            Choice(
                "systems",
                "for",
                systems,
                is_many=True,
                ticked=tuple(ticked),
                words=lambda system: f"{system.code}, {system.place}",
            ),
        )
    return PartForm(
        request.POST if request.method == "POST" and not request.POST.get("act") else None,
        model=thing.model,
        units=UnitSystem(accounts.the_firm().units),
        row=row,
        leave_out=thing.leave_out,
        choices=choices,
    )


def _page(
    request: Any,
    site: Site,
    thing: Thing,
    form: PartForm,
    title: str,
    acts: list[Any],
    owner: Any = None,
    refused: str = "",
) -> HttpResponse:
    context = {
        "here": "systems",
        "site": site,
        "form": form,
        "title": title,
        "lead": thing.lead,
        "owner": owner,
        "refused": refused,
        "acts": [(word, words) for word, words, _ in acts],
    }
    status = 422 if form.errors or refused else 200
    return render(request, "dispatcher/thing.html", context | done(request), status=status)
