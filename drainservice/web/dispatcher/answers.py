"""Answers: what came back and waits for a person; and offers that nobody has answered."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.doors.door import door
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.web.dispatcher.done import done, go_to


@door(to="dispatcher")
def answers(request: Any) -> HttpResponse:
    """Oldest first, each with what every person said last."""
    today = wall.today_in(accounts.the_firm().zone, request.asker.at)
    waiting = visits.answers_to_deal_with(request.asker)
    context = {
        "here": "answers",
        "waiting": [(visit, visits.last_words(visit)) for visit in waiting],
        "unanswered": visits.unanswered(request.asker, today=today),
    }
    return render(request, "dispatcher/answers.html", context | done(request))


@door(to="dispatcher", methods="POST")
def settle(request: Any, visit_id: int) -> HttpResponse:
    """A person has dealt with it."""
    visit = visits.visit_for(request.asker, visit_id)
    actions.settle_answers(visit, asker=request.asker)
    return go_to(reverse("answers"), "settled")
