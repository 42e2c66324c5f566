"""A new visit: what it is for, three good times, and the answer while they are on the phone."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.history import RuleBroken
from drainservice.accounts.models import Account
from drainservice.doors.door import door
from drainservice.inspections import queries as inspections
from drainservice.register import queries as register
from drainservice.register.models import Site, System
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import Visit
from drainservice.visits.queries import Window
from drainservice.web.dispatcher.booking import GONE, LIKES, TimeForm, read_word, show_times
from drainservice.web.dispatcher.done import go_to
from drainservice.web.dispatcher.once import OnceForm, acting_once, was_done
from drainservice.web.words import look_words

HELD_ONCE = "held_token"


class NewVisitForm(OnceForm):
    """What the visit is for."""

    purpose = forms.CharField(max_length=200)
    minutes = forms.IntegerField(label="Minutes on site", min_value=5, max_value=720)
    is_digging = forms.BooleanField(label="It digs", required=False)
    likes = forms.MultipleChoiceField(
        label="They like",
        choices=LIKES,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        initial=list,
    )
    is_named = forms.BooleanField(
        label="They are promised who comes, not only when", required=False
    )
    skills = forms.MultipleChoiceField(
        label="It needs somebody with",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        initial=list,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words, chosen = visits.skill_words(), self.fields["skills"]
        chosen.choices = [(word, word) for word in words]  # type: ignore[attr-defined]
        if not words:
            del self.fields["skills"]


@dataclass(frozen=True, slots=True)
class SystemWanted:
    """One system of the site and the looks a visit should bring."""

    system: System
    looks: list[str]
    words: str
    is_chosen: bool


@door(to="dispatcher", methods="GET POST")
def new_visit(request: Any) -> HttpResponse:
    """Offer, hold or agree in one page."""
    system = register.system_by_code_for(request.asker, request.GET.get("system", ""))
    today = register.today_at(system.site, request.asker.at)
    wanted = _wanted(request, system, today)
    chosen = {w.system: w.looks for w in wanted if w.is_chosen} or {system: wanted[0].looks}
    time = visits.minutes_of_visit(chosen, promising=True)
    form = NewVisitForm(request.POST or None, initial=_initial(request, chosen, time))
    form.fields["minutes"].help_text = visits.minutes_in_words(time)
    time_form = TimeForm(request.POST if request.POST.get("time") == "typed" else None)
    is_sent = request.method == "POST" and request.POST.get("act") != "again"
    if is_sent and form.is_valid() and request.POST.get("act") == "today":
        return _fit_in_today(request, system.site, chosen, form.cleaned_data)
    if is_sent and form.is_valid():
        picked = _picked(request, time_form)
        if picked is None:
            form.add_error(None, "Choose one of the times, or type day, from and to.")
        else:
            try:
                return _book(request, system.site, chosen, form.cleaned_data, picked)
            except visits.NoTimeFree as full:
                is_typed = request.POST.get("time") == "typed"
                form.add_error(None, str(full) if is_typed else GONE)
            except CannotBeDone as refusal:
                form.add_error(None, str(refusal))
    context: dict[str, Any] = {
        "here": "due",
        "system": system,
        "site": system.site,
        "wanted": wanted,
        "form": form,
        "time_form": time_form,
        "people": register.people_asked(system.site, today),
        "ahead": visits.open_visits_of(system),
    }
    context |= show_times(request, _looking(system.site, chosen, form, time))
    if form.is_bound and form.cleaned_data.get("is_digging"):
        context["notes"] = [*context["notes"], visits.say_located(system.site, today)]
    status = 422 if form.errors else 200
    return render(request, "dispatcher/visit_new.html", context, status=status)


def _wanted(request: Any, system: System, today: date) -> list[SystemWanted]:
    """The system asked for first, then the others on its site."""
    others = register.systems_for(request.asker).filter(site=system.site, status="in_use")
    asked = request.POST.getlist("systems") if request.method == "POST" else None
    rows = [system, *(row for row in others.order_by("pk") if row.pk != system.pk)]
    found = []
    for row in rows:
        looks = inspections.looks_wanted(row, today=today)
        is_chosen = str(row.pk) in asked if asked is not None else row == system or bool(looks)
        words = ", ".join(look_words(look).lower() for look in dict.fromkeys(looks))
        found.append(
            SystemWanted(row, looks, words or "nothing is due within two months", is_chosen)
        )
    return found


def _initial(
    request: Any, chosen: dict[System, list[str]], time: visits.VisitTime
) -> dict[str, Any]:
    looks = {look for wanted in chosen.values() for look in wanted}
    purpose = "mend the pump" if "mend" in looks else "yearly look"
    if "first_look" in looks:
        purpose = "first look"
    return {
        "purpose": request.GET.get("purpose", purpose)[:200],
        "minutes": time.minutes,
    }


def _looking(
    site: Site, chosen: dict[System, list[str]], form: NewVisitForm, time: visits.VisitTime
) -> visits.Wanted:
    """What the times are looked for by: what the form says where it is in order."""
    told = form.cleaned_data if form.is_bound and form.is_valid() else {}
    return visits.Wanted(
        site=site,
        minutes=told.get("minutes") or time.minutes,
        skills=frozenset(told.get("skills", ())),
        likes=tuple(told.get("likes", ())),
        wanted_by=_wanted_by(chosen),
        systems=tuple(chosen),
    )


def _wanted_by(chosen: dict[System, list[str]]) -> date | None:
    """The first day on which one of the looks is due."""
    days = [
        due.due_on
        for system, looks in chosen.items()
        for due in inspections.dues_of(system)
        if due.kind in looks
    ]
    return min(days, default=None)


def _picked(request: Any, time_form: TimeForm) -> tuple[Window, Account] | None:
    word = request.POST.get("time", "")
    if word == "typed":
        return time_form.chosen() if time_form.is_valid() else None
    return read_word(word)


def _book(
    request: Any,
    site: Site,
    systems: dict[System, list[str]],
    told: dict[str, Any],
    picked: tuple[Window, Account],
) -> HttpResponse:
    asker = acting_once(request.asker, told["once"])
    if was_done(request.asker, told["once"]):
        return go_to(reverse("site", args=[site.pk]), "before")
    token = UUID(told["once"])
    try:
        with transaction.atomic():
            visit = _plan(site, systems, told, asker, wanted_by=_wanted_by(systems))
            what = _take(visit, token, picked, request, asker)
            if told["is_named"]:
                actions.name_technician(visit, True, asker=asker)
    except RuleBroken as broken:
        # The same press at the same moment: the other one holds it.
        if HELD_ONCE not in broken.rule:
            raise
        return go_to(reverse("site", args=[site.pk]), "before")
    can_undo = what != "agreed"
    return go_to(reverse("visit", args=[visit.pk]), what, group=asker.group if can_undo else "")


def _fit_in_today(
    request: Any, site: Site, systems: dict[System, list[str]], told: dict[str, Any]
) -> HttpResponse:
    """It must be reached today, whatever else was planned; the day's repair says where it fits."""
    today = accounts.today_of_firm(request.asker.at)
    address = reverse("repair", args=[today.isoformat()])
    if was_done(request.asker, told["once"]):
        return go_to(address, "before")
    asker = acting_once(request.asker, told["once"])
    _plan(site, systems, told, asker, meant_for=today, wanted_by=today, is_urgent=True)
    return go_to(address, "urgent", group=asker.group)


def _plan(
    site: Site,
    systems: dict[System, list[str]],
    told: dict[str, Any],
    asker: Asker,
    *,
    wanted_by: date | None,
    meant_for: date | None = None,
    is_urgent: bool = False,
) -> Visit:
    return actions.plan_visit(
        site,
        asker=asker,
        purpose=told["purpose"],
        systems=systems,
        meant_for=meant_for,
        minutes=told["minutes"],
        is_digging=told["is_digging"],
        skills=told.get("skills", ()),
        likes=told["likes"],
        wanted_by=wanted_by,
        is_urgent=is_urgent,
    )


def _take(
    visit: Visit, token: UUID, picked: tuple[Window, Account], request: Any, asker: Asker
) -> str:
    (window, who), act = picked, request.POST.get("act")
    if act == "offer":
        actions.offer_visit(visit, to=window, technician=who, asker=asker)
        return "offered"
    actions.hold_visit(visit, to=window, technician=who, asker=asker, token=token)
    if act != "agree":
        return "held"
    agree_on_phone(visit, request)
    return "agreed"


def agree_on_phone(visit: Visit, request: Any, kept: tuple[Window, Account] | None = None) -> None:
    """What they said on the phone holds at once; what cannot be promised is refused at once."""
    today = register.today_at(visit.site, request.asker.at)
    people = {str(p.pk): p for p in register.people_asked(visit.site, today)}
    actions.agree_visit(visit, asker=request.asker, kept=kept)
    actions.answer_visit(
        visit,
        asker=request.asker,
        word="yes",
        by="telephone",
        person=people.get(request.POST.get("person", "")),
        sequence=visit.sequence,
    )
