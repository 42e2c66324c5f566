"""The season: the year's visits in the weeks before it turns wet, against the hours of the crew."""

from datetime import date
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.doors.door import door
from drainservice.engine.rounds.season.stored import SeasonCannotBeRead
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import Plan, PlanState
from drainservice.visits.queries import SeasonAhead, SeasonStanding
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.numbers import read_number
from drainservice.web.dispatcher.season_drawn import draw_season
from drainservice.web.dispatcher.season_words import say_change, say_lead, say_progress, say_weeks

REFRESH_S = "2"
MOST_LEFT_OUT = 20
MOST_TO_BOOK = 40


class CrewForm(forms.Form):
    """What if the crew had more hours, or fewer, in some weeks."""

    hours = forms.FloatField(
        label="hours a week more (below 0: fewer)", min_value=-500, max_value=500, initial=40
    )
    first = forms.DateField(
        label="from the week of", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    last = forms.DateField(
        label="to the week of", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )

    def clean(self) -> dict[str, Any]:
        """The weeks run forward, and hours are not nothing."""
        told: dict[str, Any] = super().clean() or {}
        first, last = told.get("first"), told.get("last")
        if first and last and last < first:
            self.add_error("last", "The last week comes before the first; choose a later one.")
        if told.get("hours") == 0:
            self.add_error("hours", "No hour more or less changes nothing; write how many.")
        return told


@door(to="dispatcher", methods="GET POST")
def season(request: Any) -> HttpResponse:
    """See it; each act is one button that posts its name."""
    ahead = visits.next_season(request.asker.at)
    if ahead is None:
        return render(request, "dispatcher/season.html", {"here": "season", "season": None})
    form = CrewForm(
        request.POST if request.POST.get("act") == "what_if" else None,
        initial={"first": ahead.first_week, "last": ahead.mondays[-1]},
    )
    trouble = ""
    if request.method == "POST":
        try:
            answered = _act(request, ahead, form)
            if answered is not None:
                return answered
            trouble = "Not tried yet: something below must be mended."
        except CannotBeDone as refusal:
            trouble = str(refusal)
    stand = visits.season_standing(request.asker, ahead)
    context = {
        "here": "season",
        "season": ahead,
        "trouble": trouble,
        "lead": say_lead(stand),
        "weeks": say_weeks(stand),
        "drawings": draw_season(stand),
        "form": form,
        "thinking": stand.under_way,
        "progress": say_progress(stand.under_way),
        "to_book": _to_book(request),
    }
    context |= _proposal(request.asker, stand.ready, stand)
    status = 409 if trouble else 200
    answer = render(request, "dispatcher/season.html", context | done(request), status=status)
    if stand.under_way is not None:
        # Asked again until it is there, without a script.
        answer["Refresh"] = REFRESH_S
    return answer


def _proposal(asker: Asker, plan: Plan | None, stand: SeasonStanding) -> dict[str, Any]:
    if plan is None:
        return {}
    whole = visits.plan_for(asker, plan.pk)
    try:
        told = visits.season_told(whole)
    except SeasonCannotBeRead as reason:
        return {"plan": plan, "unreadable": str(reason)}
    return {
        "plan": plan,
        "told": told,
        "changes": say_change(stand.adopted, whole, told),
        "levels": list(zip(told.levels, told.prices, strict=True)),
        "left_out": told.left_out[:MOST_LEFT_OUT],
        "more_left_out": max(0, len(told.left_out) - MOST_LEFT_OUT),
    }


def _to_book(request: Any) -> list[Any]:
    """Whom to book this morning: meant for this week or the next, and nobody was told."""
    today = accounts.today_of_firm(request.asker.at)
    return list(visits.to_book_until(request.asker, visits.end_of_next_week(today))[:MOST_TO_BOOK])


def _act(request: Any, ahead: SeasonAhead, form: CrewForm) -> HttpResponse | None:
    """One act; None where its form must be mended."""
    address, act = reverse("season"), request.POST.get("act", "")
    if act == "ask":
        actions.ask_season(ahead, asker=request.asker)
        return go_to(address, "looking", anchor="#plan")
    if act == "what_if":
        if not form.is_valid():
            return None
        told = form.cleaned_data
        spell: tuple[date, date, int] = (
            ahead.mondays[ahead.week_of(told["first"]) or 0],
            told["last"],
            round(told["hours"] * 60),
        )
        what_if = actions.SeasonWhatIf(crew=(spell,))
        actions.ask_season(ahead, asker=request.asker, what_if=what_if)
        return go_to(address, "looking", anchor="#plan")
    plan = visits.plan_for(request.asker, read_number(request.POST.get("plan", "")))
    if act == "stop":
        actions.cancel_plan(plan, asker=request.asker)
        return go_to(address, "stopping", anchor="#plan")
    if act == "adopt" and plan.state == PlanState.READY:
        asker = undoable(request.asker)
        actions.adopt_plan(plan, asker=asker)
        return go_to(address, "season_adopted", group=asker.group)
    if act == "put_aside":
        actions.refuse_plan(plan, asker=request.asker)
        return go_to(address, "put_aside")
    raise CannotBeDone("That proposal is not ready; look at how it stands below.")
