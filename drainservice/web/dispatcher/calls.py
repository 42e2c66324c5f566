"""The call list: whom to ring, by which number, and the words to say."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from drainservice.accounts import queries as accounts
from drainservice.doors.door import door
from drainservice.reminders import queries as reminders
from drainservice.reminders.queries import Call
from drainservice.visits.models import State, Visit
from drainservice.web.words import day, window


@dataclass(frozen=True, slots=True)
class Ring:
    """One call and what to say."""

    call: Call
    words: str


@door(to="dispatcher")
def calls(request: Any) -> HttpResponse:
    """Nearest visit first."""
    firm = accounts.the_firm().name
    rows = [Ring(call, _words(call, firm)) for call in reminders.call_list(request.asker)]
    return render(request, "dispatcher/calls.html", {"here": "calls", "rows": rows})


def _words(call: Call, firm: str) -> str:
    """Read aloud, as somebody would say it."""
    visit = call.visit
    name = call.person.name.split()[0]
    when = f"{day(visit.day)}, {window(visit)}"
    begun = f"“Hello {name}, this is {firm}, about the drain at {visit.site.address}. "
    return begun + _asked(visit, when)


def _asked(visit: Visit, when: str) -> str:
    if visit.state == State.AGREED:
        return (
            f"We come on {when}, as agreed. Please keep the lid clear, the gate open and the dog "
            "in. Is gate and dog as last time?”"
        )
    return f"May we come on {when}? If not, which days suit you better?”"
