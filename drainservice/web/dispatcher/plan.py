"""One plan: how far it is, what it would change and why, and the acts that take or leave it."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from drainservice.accounts.asker import CannotBeDone
from drainservice.doors.door import door
from drainservice.engine.rounds.stored import InputsCannotBeRead
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import Plan, PlanKind, PlanState
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.numbers import read_number
from drainservice.web.dispatcher.plan_words import (
    say_cost,
    say_lead,
    say_progress,
    title_of,
)

REFRESH_S = "2"


@door(to="dispatcher", methods="GET POST")
def plan(request: Any, plan_id: int) -> HttpResponse:
    """See it; while it is being worked out the page asks again by itself."""
    plan = visits.plan_for(request.asker, plan_id)
    if plan.kind == PlanKind.SEASON and request.method == "GET":
        return redirect("season")
    trouble = ""
    if request.method == "POST":
        try:
            return _act(request, plan)
        except CannotBeDone as refusal:
            trouble = str(refusal)
            plan = visits.plan_for(request.asker, plan_id)
    context = {
        "here": "rounds",
        "plan": plan,
        "title": title_of(plan),
        "lead": say_lead(plan),
        "trouble": trouble,
        "progress": say_progress(plan),
        "is_thinking": plan.state == PlanState.THINKING,
        "can_adopt": plan.state == PlanState.READY and not plan.what_if,
        "can_put_aside": plan.state in {PlanState.READY, PlanState.STALE},
        "can_rebase": plan.state == PlanState.STALE and not plan.what_if,
    }
    context |= _found(plan, request)
    status = 409 if trouble else 200
    answer = render(request, "dispatcher/plan.html", context | done(request), status=status)
    if plan.state == PlanState.THINKING:
        # Asked again until it is there, without a script.
        answer["Refresh"] = REFRESH_S
    return answer


@door(to="dispatcher")
def plan_inputs(request: Any, plan_id: int) -> HttpResponse:
    """What it was asked, as the file that `replay_plan` reads."""
    plan = visits.plan_for(request.asker, plan_id)
    answer = HttpResponse(plan.inputs, content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="plan-{plan.pk}.json"'
    return answer


def _found(plan: Plan, request: Any) -> dict[str, Any]:
    """What it would change; nothing while there is no proposal, or where it cannot be read."""
    if not plan.proposal.get("plan"):
        return {}
    try:
        found = visits.difference(plan)
        asked = read_number(request.GET.get("why", ""))
        why = visits.why_there(plan, asked) if asked else []
    except InputsCannotBeRead as reason:
        return {"unreadable": str(reason)}
    return {
        "difference": found,
        "costs": say_cost(plan),
        "why": why,
        "why_of": asked if why else 0,
        "disturbed": [row["words"] for row in plan.proposal.get("disturbed", [])],
    }


def _act(request: Any, plan: Plan) -> HttpResponse:
    address, act = reverse("plan", args=[plan.pk]), request.POST.get("act", "")
    if act == "stop":
        actions.cancel_plan(plan, asker=request.asker)
        return go_to(address, "stopping")
    if act == "adopt":
        asker = undoable(request.asker)
        actions.adopt_plan(plan, asker=asker)
        return go_to(address, "adopted", group=asker.group)
    if act == "put_aside":
        actions.refuse_plan(plan, asker=request.asker)
        return go_to(address, "put_aside")
    if act == "rebase":
        again = actions.rebase_plan(plan, asker=request.asker)
        return go_to(reverse("plan", args=[again.pk]), "rebased")
    raise CannotBeDone("Choose one of the buttons of this page.")
