"""Repair: a day that went wrong, what first aid there is, and whom it would disturb."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.engine.rounds.repair.disturb import Step
from drainservice.inspections import queries as inspections
from drainservice.register.models import System
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import Plan, PlanKind, PlanState, State, Visit
from drainservice.visits.queries import FirstAid
from drainservice.visits.queries.proposals import proposal_of
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.once import OnceForm, acting_once, was_done
from drainservice.web.dispatcher.repair_drawing import draw_changed
from drainservice.web.dispatcher.repair_words import group, say_broken, say_lead, say_plan, tell
from drainservice.web.words import year_day

# How many systems past their day are shown beside those that are down: judgement.
MOST_LISTED = 20
WHY_OFF = [
    ("the weather", "the weather"),
    ("the crew is ill", "the crew is ill"),
    ("the vans are out", "the vans are out"),
]
REFRESH_S = "2"
# By what a plan says it was found that was never searched for.
FIRST_AID = "first aid"


class LateForm(forms.Form):
    """Who is late, and when they will be free."""

    late = forms.ChoiceField(label="Who is late")
    free = forms.TimeField(
        label="free at", widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
    )

    def __init__(self, *args: Any, crew: list[Account], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen: Any = self.fields["late"]
        chosen.choices = [(one.handle, one.person.name) for one in crew]


class DayOffForm(OnceForm):
    """Why a whole day is called off."""

    because = forms.ChoiceField(label="because of", choices=WHY_OFF)
    more = forms.CharField(label="in other words", max_length=120, required=False)


@door(to="dispatcher", methods="GET POST")
def repair(request: Any, day: date) -> HttpResponse:
    """What is broken, what would mend it, and the acts that do."""
    crew = list(accounts.technicians())
    free, late_form = _free(request, day, crew)
    off_form = DayOffForm(request.POST if request.POST.get("act") == "call_off" else None)
    trouble = ""
    if request.method == "POST":
        try:
            answer = _act(request, day, free, off_form)
            if answer is not None:
                return answer
            trouble = "Not done yet: something below must be mended."
        except (CannotBeDone, TextRefused) as refusal:
            trouble = str(refusal)
    aid = visits.first_aid_for(day, at=request.asker.at, free=free)
    plan = _plan(request.asker, day)
    context = {
        "here": "rounds",
        "day": day,
        "trouble": trouble,
        "late_form": late_form,
        "late": request.GET.get("late", ""),
        "free": request.GET.get("free", ""),
        "off_form": off_form,
        "listed": _listed(request.asker, day),
        "to_rebook": _to_rebook(request.asker, day),
    }
    context |= _first_aid(aid) | _better(plan, aid)
    answer = render(
        request, "dispatcher/repair.html", context | done(request), status=409 if trouble else 200
    )
    if plan is not None and plan.state == PlanState.THINKING:
        # Asked again until it is there, without a script.
        answer["Refresh"] = REFRESH_S
    return answer


def _free(request: Any, day: date, crew: list[Account]) -> tuple[dict[int, datetime], LateForm]:
    """Who says to be free when, from the address; nobody, where it is not told rightly."""
    told = "late" in request.GET
    form = LateForm(request.GET if told else None, crew=crew)
    if not told or not form.is_valid():
        return {}, form
    who = next(one for one in crew if one.handle == form.cleaned_data["late"])
    at = wall.instant(day, form.cleaned_data["free"], accounts.the_firm().zone)
    return {who.pk: at}, form


def _first_aid(aid: FirstAid) -> dict[str, Any]:
    found = aid.day
    speech = visits.speech_of(found.gathered)
    said = say_broken(found, speech)
    proposal = aid.proposal
    drawn, more = draw_changed(found.gathered, proposal.inputs, proposal.plan, speech, "aid")
    return {
        "lead": say_lead(found, said, proposal),
        "broken": said[1:],
        "notes": found.gathered.notes,
        "is_broken": bool(said or proposal.disturbed),
        "aid": tell(proposal, found.broken.urgent, found.facts, speech),
        "mark": aid.mark,
        "drawn": drawn,
        "more_drawn": more,
    }


def _plan(asker: Asker, day: date) -> Plan | None:
    """The newest repair of the day that was searched for, while it is of use."""
    plans = visits.plans_for(asker).filter(kind=PlanKind.REPAIR, first_on=day)
    plan = plans.exclude(solver=FIRST_AID).first()
    if plan is None or plan.state in {PlanState.ADOPTED, PlanState.REFUSED}:
        return None
    return visits.plan_for(asker, plan.pk)


def _better(plan: Plan | None, aid: FirstAid) -> dict[str, Any]:
    if plan is None:
        return {"plan": None}
    found: dict[str, Any] = {"plan": plan, "plan_words": say_plan(plan)}
    if plan.state == PlanState.READY:
        rows = plan.proposal.get("disturbed", [])
        found["plan_groups"] = group(
            [(Step(row["step"]), row["words"], row["visit"]) for row in rows]
        )
        gathered = aid.day.gathered
        asked, rounds = proposal_of(plan)
        if [stop.key for stop in asked.stops] == [visit.pk for visit in gathered.visits]:
            speech = visits.speech_of(gathered)
            drawn, more = draw_changed(gathered, asked, rounds, speech, "plan")
            found |= {"plan_drawn": drawn, "plan_more": more}
    return found


def _listed(asker: Asker, day: date) -> list[tuple[System, str]]:
    """Systems that a storm would find unready, and are not visited that day: pumps that are down,
    then pump tests past their day, the worst first."""
    found: dict[int, tuple[System, str]] = {}
    for down in inspections.downs_for(asker):
        since = accounts.today_of_firm(down.since_at)
        words = f"down since {year_day(since)}"
        found.setdefault(down.pump.system_id, (down.pump.system, words))
    for due in inspections.due_list(asker, flag="past_pump_test", most=MOST_LISTED):
        words = f"its pump test was due on {year_day(due.due_on)}"
        found.setdefault(due.system_id, (due.system, words))
    comes = {visit.site_id for visit in visits.visits_on(asker, day) if visit.state != State.MADE}
    return [one for one in found.values() if one[0].site_id not in comes]


def _to_rebook(asker: Asker, day: date) -> list[Visit]:
    """Planned visits of sites whose visit of that day was called off."""
    off = visits.visits_for(asker).filter(day=day, state=State.CALLED_OFF)
    again = visits.visits_for(asker).filter(
        site__in=off.values("site"), state=State.PLANNED, slot_starts_at__isnull=True
    )
    return list(again.order_by("wanted_by", "pk"))


def _act(
    request: Any, day: date, free: dict[int, datetime], off_form: DayOffForm
) -> HttpResponse | None:
    """One act; None where its form must be mended."""
    address, act = reverse("repair", args=[day.isoformat()]), request.POST.get("act")
    asker = undoable(request.asker)
    if act == "adopt":
        mark = request.POST.get("mark", "")
        actions.adopt_first_aid(day, asker=asker, mark=mark, free=free)
        return go_to(address, "adopted", group=asker.group)
    if act == "better":
        actions.ask_repair(day, asker=request.asker, free=free)
        return go_to(address, "looking", anchor="#better")
    if act == "storm":
        wanted, minutes = _chosen(request, day)
        actions.list_for_storm(day, wanted, asker=asker, minutes=minutes)
        return go_to(address, "storm_list", group=asker.group)
    if act == "call_off":
        return _call_off(request, day, off_form, address)
    return _act_on_plan(request, day, address, act)


def _act_on_plan(request: Any, day: date, address: str, act: str | None) -> HttpResponse:
    plan = _plan(request.asker, day)
    if plan is None or str(plan.pk) != request.POST.get("plan"):
        raise CannotBeDone("That proposal is not the newest any more; look at the one below.")
    asker = undoable(request.asker)
    if act == "adopt_better":
        actions.adopt_plan(plan, asker=asker)
        return go_to(address, "adopted", group=asker.group)
    if act == "put_aside":
        actions.refuse_plan(plan, asker=request.asker)
        return go_to(address, "put_aside")
    if act == "stop":
        actions.cancel_plan(plan, asker=request.asker)
        return go_to(address, "stopping", anchor="#better")
    raise CannotBeDone("Choose one of the buttons of this page.")


def _chosen(request: Any, day: date) -> tuple[dict[System, list[str]], dict[int, int]]:
    """The systems that were chosen with what is due there, and each site's minutes."""
    listed = {str(system.pk): system for system, _ in _listed(request.asker, day)}
    chosen = [listed[pk] for pk in request.POST.getlist("systems") if pk in listed]
    wanted = {system: inspections.looks_wanted(system, today=day) for system in chosen}
    minutes = {}
    for site_id in {system.site_id for system in chosen}:
        here = {system: looks for system, looks in wanted.items() if system.site_id == site_id}
        minutes[site_id] = visits.minutes_of_visit(here, promising=True).minutes
    return wanted, minutes


def _call_off(request: Any, day: date, form: DayOffForm, address: str) -> HttpResponse | None:
    if not form.is_valid():
        return None
    told = form.cleaned_data
    if was_done(request.asker, told["once"]):
        return go_to(address, "before")
    asker = acting_once(request.asker, told["once"])
    because = told["more"] or told["because"]
    actions.call_off_day(day, asker=asker, by="us", because=because)
    return go_to(address, "day_off", group=asker.group, anchor="#rebook")
