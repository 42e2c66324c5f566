"""Reminders: what goes out when, what failed, what is held; hold, let go, send again."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.doors.door import door
from drainservice.reminders import actions
from drainservice.reminders import queries as reminders
from drainservice.reminders.models import Reminder
from drainservice.web.dispatcher.done import done, go_to
from jobs import queries as jobs


@door(to="dispatcher")
def reminder_list(request: Any) -> HttpResponse:
    """The next fourteen days by the hour, after what needs a person."""
    zone = accounts.the_firm().zone
    pauses = jobs.pauses()
    hours = reminders.coming(request.asker)
    context = {
        "here": "reminders",
        "hours": [(hour.begins_at, _said(hour.reminders, zone)) for hour in hours],
        "count": sum(len(hour.reminders) for hour in hours),
        "failed": _said(reminders.failed(request.asker), zone),
        "held": _said(reminders.held(request.asker), zone),
        "recent": _said(reminders.recent(request.asker, most=20), zone),
        "all_held": next((pause for pause in pauses if pause.what == "messages"), None),
        "waiting": jobs.waiting_by_age(at=request.asker.at),
        "tick_age_s": jobs.tick_age_s(at=request.asker.at),
    }
    return render(request, "dispatcher/reminders.html", context | done(request))


@door(to="dispatcher", methods="POST")
def keep_or_go(request: Any, reminder_id: UUID) -> HttpResponse:
    """One message: held back, let go, or sent again."""
    reminder = reminders.reminder_for(request.asker, reminder_id)
    what = _do(request.POST.get("act", ""), reminder, request.asker)
    return go_to(reverse("reminder", args=[reminder.pk]), what)


@door(to="dispatcher", methods="POST")
def hold_all(request: Any) -> HttpResponse:
    """Everything that goes to a person waits, or goes on."""
    if request.POST.get("act") == "release":
        actions.release_all(asker=request.asker)
        return go_to(reverse("reminders"), "let_go_on")
    why = request.POST.get("why", "").strip()[:200] or "no reason was given"
    actions.hold_all(asker=request.asker, why=why)
    return go_to(reverse("reminders"), "held_back")


def _do(act: str, reminder: Reminder, asker: Asker) -> str:
    if act == "hold":
        actions.hold(reminder, asker=asker, why="held back in the office")
        return "held_back"
    if act == "release":
        actions.release(reminder, asker=asker)
        return "let_go_on"
    if act == "again":
        actions.send_again(reminder, asker=asker)
        return "again"
    raise CannotBeDone("Nothing was chosen; go back and press one of the buttons.")


def _said(rows: list[Reminder], zone: str) -> list[tuple[Reminder, str]]:
    return [
        (row, reminders.phrase(row, row.visit.site.zone if row.visit else zone)) for row in rows
    ]
