"""An old link: type the mail address and a new one is sent, if it is one of ours."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

from drainservice.accounts import actions as accounts
from drainservice.accounts.text import TextRefused, clean_email
from drainservice.doors.door import door, error
from drainservice.reminders.actions import send_new_link


@csrf_exempt
@door(to="anyone", methods="POST")
def new_link(request: Any) -> HttpResponse:
    """The same answer for an address we know and one we do not.

    Three an hour for an address, thirty for a network: a stranger can neither ask who is with us
    nor fill somebody's mail box.
    """
    at = request.asker.at
    try:
        address = clean_email(request.POST.get("mail", ""))
        accounts.slow_down("new-link:from", _network(request), at=at, most=30, every_s=120)
        accounts.slow_down("new-link:to", address.lower(), at=at, most=3, every_s=1200)
    except TextRefused as refusal:
        context = {"refusal": str(refusal), "typed": request.POST.get("mail", "")[:254]}
        return render(request, "homeowner/new_link.html", context, status=422)
    except accounts.TooManyTries as wait:
        answer = error(request, 429)
        answer["Retry-After"] = str(wait.wait_s)
        return answer
    send_new_link(address, asker=request.asker)
    return render(request, "homeowner/new_link.html", {"is_sent": True})


def _network(request: Any) -> str:
    """Where a request came from, shortened to its network."""
    address = str(request.META.get("REMOTE_ADDR", ""))
    if ":" in address:
        return ":".join(address.split(":")[:4])
    return ".".join(address.split(".")[:3])
