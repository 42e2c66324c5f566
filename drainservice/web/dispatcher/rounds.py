"""Rounds of a day: how it stands, what each promise has to spare, and what a planner may try."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.doors.door import door
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import Lock, Visit
from drainservice.visits.queries import DayRound
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.drives_words import say_day_roads
from drainservice.web.dispatcher.numbers import read_number
from drainservice.web.dispatcher.rounds_drawn import draw_round
from drainservice.web.dispatcher.rounds_words import (
    Gate,
    say_gates,
    say_lead,
    say_plan_line,
    say_round,
)

# What may come that day and stands in no round is told so far; the rest is counted: judgement.
MOST_WAITING = 25
WEEK = 5
MORE_MINUTES = (30, 60, 90)


@door(to="dispatcher")
def rounds_today(request: Any) -> HttpResponse:
    """Today's rounds."""
    today = accounts.today_of_firm(request.asker.at)
    return redirect("rounds-day", day=today.isoformat())


@door(to="dispatcher", methods="GET POST")
def rounds_of_day(request: Any, day: date) -> HttpResponse:
    """See a day; each act is one button that posts its name."""
    trouble = ""
    if request.method == "POST":
        try:
            return _act(request, day)
        except CannotBeDone as refusal:
            trouble = str(refusal)
    found = visits.rounds_of_day(request.asker, day)
    crew = list(accounts.technicians())
    today = accounts.today_of_firm(request.asker.at)
    context = {
        "here": "rounds",
        "day": day,
        "before": day - timedelta(days=1),
        "after": day + timedelta(days=1),
        "trouble": trouble,
        "lead": say_lead(found, today),
        "rounds": [_shown(one, crew) for one in found.rounds],
        "waiting": found.waiting[:MOST_WAITING],
        "more_waiting": max(0, len(found.waiting) - MOST_WAITING),
        "notes": found.notes,
        "roads": say_day_roads(found.rounds),
        "crew": crew,
        "working": [one.technician for one in found.rounds if one.crew.shift is not None],
        "plans": [(p, say_plan_line(p)) for p in visits.plans_of_day(request.asker, day)[:4]],
        "can_plan": day >= today,
        "days": WEEK,
        "more_minutes": MORE_MINUTES,
        "locks": [(lock.value, lock.label) for lock in Lock],
    }
    status = 409 if trouble else 200
    return render(request, "dispatcher/rounds.html", context | done(request), status=status)


def _shown(round_: DayRound, crew: list[Account]) -> dict[str, Any]:
    gates: list[Gate] = say_gates(round_)
    return {
        "round": round_,
        "who": round_.technician,
        "words": say_round(round_),
        "is_wrong": not round_.is_kept,
        "gates": gates,
        "others": [one for one in crew if one.pk != round_.technician.pk],
        "drawing": draw_round(round_),
    }


def _act(request: Any, day: date) -> HttpResponse:
    address, act = reverse("rounds-day", args=[day.isoformat()]), request.POST.get("act", "")
    if act in {"plan", "plan_days", "what_if"}:
        return _ask(request, day, act)
    asker = undoable(request.asker)
    visit = visits.visit_for(request.asker, read_number(request.POST.get("visit", "")))
    visit.version = read_number(request.POST.get("version", "")) or visit.version
    what = _change(request, visit, day, act, asker)
    return go_to(address, what, group=asker.group, anchor=f"#visit-{visit.pk}")


def _change(request: Any, visit: Visit, day: date, act: str, asker: Asker) -> str:
    if act == "hand_on":
        actions.hand_on(visit, technician=_technician(request), asker=asker)
        return "handed_on"
    if act == "take_out":
        actions.take_out_of_round(visit, asker=asker)
        return "taken_out"
    if act == "put_in":
        actions.put_in_round(visit, technician=_technician(request), day=day, asker=asker)
        return "put_in"
    if act == "lock" and request.POST.get("lock", "") in Lock.values:
        actions.lock_visit(visit, request.POST.get("lock", ""), asker=asker)
        return "locked" if visit.lock else "unlocked"
    raise CannotBeDone("Choose one of the buttons of this page.")


def _ask(request: Any, day: date, act: str) -> HttpResponse:
    what_if = None
    days = [day + timedelta(days=n) for n in range(WEEK if act == "plan_days" else 1)]
    if act == "what_if":
        without = request.POST.get("without", "")
        longer = read_number(request.POST.get("longer", ""))
        gone = [one for one in accounts.technicians() if one.handle == without]
        if not gone and not longer:
            raise CannotBeDone("Choose somebody to leave out, or minutes to add; then try it.")
        what_if = actions.WhatIf(without=tuple((one, None) for one in gone), longer_min=longer)
    plan = actions.ask_rounds(days, asker=request.asker, what_if=what_if)
    return redirect("plan", plan_id=plan.pk)


def _technician(request: Any) -> Account:
    handle = request.POST.get("technician", "")
    found = next((one for one in accounts.technicians() if one.handle == handle), None)
    if found is None:
        raise CannotBeDone("Choose who goes there.")
    return found
