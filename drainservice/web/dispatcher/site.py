"""One site: its people and how each is reached, its systems, how to get in; and a new one."""

from datetime import date
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import actions as accounts_actions
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone, NotFound
from drainservice.accounts.codes import unseal
from drainservice.accounts.models import ChannelKind, Household
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.register import actions, queries
from drainservice.register.models import Agreement, Site
from drainservice.visits import queries as visits
from drainservice.web.dispatcher.done import done, go_to
from drainservice.web.dispatcher.fields import NOT_KNOWN, read_fields
from drainservice.web.dispatcher.once import acting_once, was_done
from drainservice.web.dispatcher.site_forms import AccessForm, PersonForm, SiteForm, SystemForm
from drainservice.web.dispatcher.things import THINGS


@door(to="dispatcher")
def site(request: Any, site_id: int) -> HttpResponse:
    """The site and its people."""
    site = queries.site_for(request.asker, site_id)
    today = queries.today_at(site, request.asker.at)
    context = {
        "here": "systems",
        "site": site,
        "people": _people(site, today),
        "households": _homes(site, today),
        "groups": _groups(site, today),
        "systems": queries.systems_for(request.asker).filter(site=site).order_by("pk"),
        "visits": visits.visits_of_site(request.asker, site)[:5],
    }
    return render(request, "dispatcher/site.html", context | done(request))


@door(to="dispatcher", methods="GET POST")
def new_site(request: Any) -> HttpResponse:
    """First the property; its people and systems follow page by page."""
    form = SiteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once = told.pop("once")
        if was_done(request.asker, once):
            return go_to(reverse("systems"), "before")
        try:
            site = actions.enter_site(asker=acting_once(request.asker, once), **told)
            return go_to(reverse("person-new", args=[site.pk]), "entered")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    return _form(request, form, "A new site", "Its people come next, then what is in the ground.")


@door(to="dispatcher", methods="GET POST")
def access(request: Any, site_id: int) -> HttpResponse:
    """How to get in, and the day it was last confirmed."""
    site = queries.site_for(request.asker, site_id)
    known = {
        "version": site.version,
        "access_note": site.access_note,
        "dog_note": site.dog_note,
        "codes": unseal(site.codes),
    }
    form = AccessForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        site.version = told.pop("version")
        if told.pop("is_confirmed"):
            told["access_confirmed_on"] = queries.today_at(site, request.asker.at)
        if told["codes"] == known["codes"]:
            del told["codes"]
        try:
            actions.change_site(site, asker=request.asker, **told)
            return go_to(reverse("site", args=[site.pk]), "saved")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    return _form(request, form, f"To get in at {site.address}", "Codes are kept encrypted.")


@door(to="dispatcher", methods="GET POST")
def new_person(request: Any, site_id: int) -> HttpResponse:
    """A person of this site."""
    site = queries.site_for(request.asker, site_id)
    today = queries.today_at(site, request.asker.at)
    households = list(queries.households_at(site, today))
    form = PersonForm(request.POST or None, households=households, initial={"starts_on": today})
    if request.method == "POST" and form.is_valid():
        once = form.cleaned_data["once"]
        try:
            with transaction.atomic():
                if not was_done(request.asker, once):
                    _enter_person(site, form.cleaned_data, acting_once(request.asker, once))
            return go_to(reverse("site", args=[site.pk]), "entered")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    return _form(request, form, f"A person of {site.address}", "Nobody is told of this.")


@door(to="dispatcher", methods="POST")
def end_part(request: Any, site_id: int, pk: int) -> HttpResponse:
    """The person plays this part no longer; what was stays in the history."""
    site = queries.site_for(request.asker, site_id)
    today = queries.today_at(site, request.asker.at)
    part = queries.parts_at(site, today).filter(pk=pk).first()
    if part is None:
        raise NotFound
    actions.end_part(part, asker=request.asker, ends_on=today)
    return go_to(reverse("site", args=[site.pk]), "saved")


@door(to="dispatcher", methods="GET POST")
def new_system(request: Any, site_id: int) -> HttpResponse:
    """A system of this site; its parts are entered from its own page."""
    site = queries.site_for(request.asker, site_id)
    form = SystemForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        once = told.pop("once")
        if was_done(request.asker, once):
            return go_to(reverse("site", args=[site.pk]), "before")
        try:
            system = actions.enter_system(site, asker=acting_once(request.asker, once), **told)
            return go_to(reverse("system", args=[system.code]), "entered", anchor="#parts")
        except (CannotBeDone, TextRefused) as refusal:
            form.add_error(None, str(refusal))
    return _form(request, form, f"A system at {site.address}", "It gets its lid code by itself.")


def _enter_person(site: Site, told: dict[str, Any], asker: Asker) -> None:
    person = accounts_actions.enter_person(asker=asker, name=told["name"])
    for kind, value in (
        (ChannelKind.MAIL, told["mail"]),
        (ChannelKind.TELEPHONE, told["telephone"]),
    ):
        if value:
            accounts_actions.enter_channel(person, asker=asker, kind=kind, address=value)
    if told["household"]:
        household = accounts.household_for(asker, int(told["household"]))
    else:
        household = accounts_actions.enter_household(
            asker=asker, name=told["name"].split()[-1], language=told["language"]
        )
    starts_on = told["starts_on"]
    accounts_actions.join_household(person, household, asker=asker, starts_on=starts_on)
    for part in told["parts"]:
        actions.give_part(person, site, asker=asker, part=part, starts_on=starts_on)


# What stands on the page of a site: the kind, its heading, what is said where there is none.
GROUPS = [
    (
        "surrounding",
        "What stands near",
        "Nothing is written down, so it is unknown.",
    ),
    ("permit", "Permits", "None on record."),
    ("ticket", "Locate tickets", "None: no dig can be agreed here."),
    ("agreement", "Agreements", "None on record."),
    ("main", "Shared mains", "None on record."),
]


def _groups(site: Site, today: date) -> list[tuple[str, str, str, list[tuple[int, str]]]]:
    """What belongs to the site, each thing in words."""
    units = UnitSystem(accounts.the_firm().units)
    found = []
    for what, heading, none in GROUPS:
        thing = THINGS[what]
        rows = [(row.pk, _said(row, units)) for row in thing.rows(site, today)]
        found.append((what, heading, none, rows))
    return found


def _said(row: Any, units: UnitSystem) -> str:
    """One thing in a line: what is known of it, the payer first where somebody pays."""
    known = [
        f"{label}: {value.rstrip('.')}"
        for label, value, _ in read_fields(row, units)
        if value != NOT_KNOWN
    ]
    payer = [f"paid by {row.payer.name}"] if isinstance(row, Agreement) else []
    return "; ".join(payer + known)


def _homes(site: Site, today: date) -> list[tuple[Household, list[Any]]]:
    """Each household with the days it is away."""
    aways = list(queries.aways_at(site, today))
    return [
        (home, [away for away in aways if away.household_id == home.pk])
        for home in queries.households_at(site, today)
    ]


def _people(site: Site, today: Any) -> list[tuple[Any, list[Any], list[Any]]]:
    """Each person with the parts they play and how they are reached."""
    parts: dict[int, list[Any]] = {}
    for part in queries.parts_at(site, today):
        parts.setdefault(part.person_id, []).append(part)
    channels: dict[int, list[Any]] = {}
    for channel in queries.channels_at(site, today):
        channels.setdefault(channel.person_id, []).append(channel)
    return [(rows[0].person, rows, channels.get(pk, [])) for pk, rows in parts.items()]


def _form(request: Any, form: Any, title: str, lead: str) -> HttpResponse:
    context = {"here": "systems", "form": form, "title": title, "lead": lead}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/form.html", context | done(request), status=status)
