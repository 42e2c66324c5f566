"""The crew: who can go this week and who cannot, and each with hours, skills and absences."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.engine.units import UnitSystem
from drainservice.visits import actions, queries
from drainservice.visits.models import ClosedDay, PlanningTerms
from drainservice.visits.queries import Person
from drainservice.visits.queries.closed import knows_holidays
from drainservice.visits.queries.drives import learned_factors
from drainservice.visits.queries.minutes import learned_minutes
from drainservice.web.dispatcher.crew_forms import SpanForm, WhoSpanForm
from drainservice.web.dispatcher.crew_words import (
    join,
    repair_days,
    say_closed,
    say_hours,
    say_look_times,
    say_span,
    say_week,
)
from drainservice.web.dispatcher.done import done, go_to
from drainservice.web.dispatcher.drives_words import say_drives
from drainservice.web.dispatcher.once import acting_once, was_done

WEEK = 7
CLOSED_AHEAD = timedelta(days=365)


@door(to="dispatcher", methods="GET POST")
def crew(request: Any) -> HttpResponse:
    """Who can go this week; the one-line form takes who cannot."""
    at, zone = request.asker.at, accounts.the_firm().zone
    today, people = accounts.today_of_firm(at), queries.roster(at)
    names = [(person.account.handle, person.account.person.name) for person in people]
    known = {"from_on": today}
    form = WhoSpanForm(request.POST or None, zone=zone, crew=names, initial=known)
    if request.method == "POST" and form.is_valid():
        told = dict(form.cleaned_data)
        handle = told.pop("who")
        person = next(one for one in people if one.account.handle == handle)
        answer = _enter_absence(request, person, form, told)
        if answer is not None:
            return answer
    week = queries.crew_on([today + timedelta(days=n) for n in range(WEEK)])
    context = _told_of_all(at, today, people, zone)
    context |= {"here": "crew", "form": form, "week": say_week(week)}
    status = 422 if form.errors else 200
    return render(request, "dispatcher/crew.html", context | done(request), status=status)


@door(to="dispatcher", methods="GET POST")
def crew_member(request: Any, handle: str) -> HttpResponse:
    """One technician; the one-line form takes an absence."""
    at, zone = request.asker.at, accounts.the_firm().zone
    today, person = accounts.today_of_firm(at), person_of(request, handle)
    form = SpanForm(request.POST or None, zone=zone, initial={"from_on": today})
    if request.method == "POST" and form.is_valid():
        answer = _enter_absence(request, person, form, dict(form.cleaned_data))
        if answer is not None:
            return answer
    days = [today + timedelta(days=n) for n in range(WEEK)]
    broken = queries.broken_promises(at, first=today, technicians=[person.account])
    context = {
        "here": "crew",
        "form": form,
        "person": person,
        "name": person.account.person.name,
        "week": say_week(queries.crew_on(days, technicians=[person.account])),
        "hours": say_hours(person.hours),
        "later": [(day, say_hours(rows)) for day, rows in person.later.items()],
        "absences": [(row, say_span(row.from_at, row.until_at, zone)) for row in person.absences],
        "ended": {skill.pk for skill in person.skills if _has_ended(skill.valid_until, today)},
        "broken": repair_days(broken),
        "broken_number": len(broken),
        "first_base": next(iter(queries.home_bases()), None),
    }
    status = 422 if form.errors else 200
    return render(request, "dispatcher/crew_member.html", context | done(request), status=status)


def person_of(request: Any, handle: str) -> Person:
    """One of those who go out. Errors: NotFound."""
    found = queries.roster(request.asker.at, handle=handle)
    if not found:
        raise NotFound
    return found[0]


def _enter_absence(
    request: Any, person: Person, form: Any, told: dict[str, Any]
) -> HttpResponse | None:
    """Enter it once, and go where it is read; None where it was refused."""
    once = told.pop("once")
    told.pop("version", None)
    address = reverse("crew-member", args=[person.account.handle])
    if was_done(request.asker, once):
        return go_to(address, "before")
    try:
        actions.enter_absence(person.account, asker=acting_once(request.asker, once), **told)
    except (CannotBeDone, TextRefused) as refusal:
        form.add_error(None, str(refusal))
        return None
    return go_to(address, "entered", group=once)


def _told_of_all(at: Any, today: date, people: Sequence[Person], zone: str) -> dict[str, Any]:
    broken = queries.broken_promises(at, first=today)
    units = UnitSystem(accounts.the_firm().units)
    terms, own_closed = queries.the_terms(), queries.own_closed_days(today)
    vans = [
        (now, [(out, say_span(out.from_at, out.until_at, zone)) for out in now.outs])
        for now in queries.vans_now(at)
    ]
    return {
        "people": [
            (
                person,
                say_hours(person.hours),
                [say_span(row.from_at, row.until_at, zone) for row in person.absences],
                join([s.word for s in person.skills if not _has_ended(s.valid_until, today)]),
            )
            for person in people
        ],
        "broken": repair_days(broken),
        "broken_number": len(broken),
        "vans": vans,
        "bases": queries.home_bases(),
        "drives_words": say_drives(terms.detour, learned_factors(), units),
        "roads_words": queries.roads_in_words(),
        "barriers": queries.barriers(),
        "closed": _closed_ahead(today, own_closed),
        "own_closed": [(row, say_closed(row)) for row in own_closed],
        "terms": terms,
        "look_times": say_look_times(learned_minutes()),
        "calendar": _calendar(terms, today),
    }


def _closed_ahead(today: date, own: Sequence[ClosedDay]) -> list[tuple[date, str, bool]]:
    """Day, what closes it, and whether it is a public holiday that could be worked."""
    ours = [(row.first_on, row.last_on) for row in own if not row.is_worked]
    days = queries.closed_days_between(today, today + CLOSED_AHEAD)
    return [
        (day, name, not any(first <= day <= last for first, last in ours))
        for day, name in days.items()
    ]


def _calendar(terms: PlanningTerms, today: date) -> str:
    """Whose public holidays count, as a sentence."""
    if not terms.country:
        return "No public holidays are counted."
    place = f"{terms.country}, {terms.subdivision}" if terms.subdivision else terms.country
    if not knows_holidays(terms, today.year):
        return f"No calendar of public holidays is known for {place}, so none are counted."
    return f"Public holidays are those of {place}."


def _has_ended(valid_until: date | None, today: date) -> bool:
    return valid_until is not None and valid_until < today
