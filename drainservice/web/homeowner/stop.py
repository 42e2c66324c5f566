"""Reminders to one address are stopped here: looking shows a button, posting stops (RFC 8058)."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

from drainservice.accounts.asker import NotFound
from drainservice.accounts.links import is_unsubscribe_token
from drainservice.doors.door import door
from drainservice.reminders.actions import stop_reminders


@csrf_exempt
@door(to="anyone", methods="GET POST")
def stop(request: Any, token: str) -> HttpResponse:
    """Repeating it changes nothing; notices of a change to an agreed visit still come."""
    channel_id = is_unsubscribe_token(token)
    if channel_id is None:
        raise NotFound
    if request.method == "POST":
        stop_reminders(channel_id, asker=request.asker)
    return render(request, "homeowner/stop.html", {"is_stopped": request.method == "POST"})
