"""One visit: how it stands, what it is for, what was said and sent, and what can be done."""

from datetime import datetime, time, timedelta
from typing import Any

from django import forms
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Account
from drainservice.doors.door import door
from drainservice.register import queries as register
from drainservice.reminders import queries as reminders
from drainservice.visits import actions
from drainservice.visits import queries as visits
from drainservice.visits.models import AnswerWord, State, Visit
from drainservice.visits.queries import Window
from drainservice.web.dispatcher.booking import (
    GONE,
    CallOffForm,
    TimeForm,
    read_word,
    show_times,
    window_word,
)
from drainservice.web.dispatcher.done import done, go_to, undoable
from drainservice.web.dispatcher.suits_form import SuitsForm, keep_what_suits
from drainservice.web.dispatcher.visit_new import agree_on_phone

BY_HOW_MUCH = timedelta(hours=2)
UNANSWERED = {State.OFFERED, State.HELD, State.AGREED}
CAN_END = {State.PLANNED, State.OFFERED, State.HELD, State.AGREED}


class AnswerForm(forms.Form):
    """What somebody said on the telephone."""

    person = forms.ChoiceField(label="Who says so", required=False)
    word = forms.ChoiceField(label="They say", choices=AnswerWord.choices)
    note = forms.CharField(
        label="in their words: which days suit, what is wrong", max_length=1000, required=False
    )

    def __init__(self, *args: Any, people: list[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        chosen: Any = self.fields["person"]
        chosen.choices = [*((str(p.pk), p.name) for p in people), ("", "somebody else")]
        chosen.initial = str(people[0].pk) if people else ""


@door(to="dispatcher", methods="GET POST")
def visit(request: Any, visit_id: int) -> HttpResponse:
    """See it; each act is one button that posts its name."""
    visit = visits.visit_for(request.asker, visit_id)
    today = register.today_at(visit.site, request.asker.at)
    people = register.people_asked(visit.site, today)
    forms_here = {
        "answer_form": AnswerForm(_if_act(request, "answer"), people=people),
        "time_form": TimeForm(_if_act(request, "typed"), initial=_now_at(visit)),
        "off_form": CallOffForm(_if_act(request, "call_off")),
    }
    if visit.state in CAN_END:
        forms_here["suits_form"] = SuitsForm(_if_act(request, "suits"), visit=visit)
    trouble = ""
    if request.method == "POST":
        try:
            answered = _act(request, visit, people, forms_here)
            if answered is not None:
                return answered
            trouble = "Not done yet: something below must be mended."
        except visits.NoTimeFree as full:
            is_shown = read_word(request.POST.get("act", "")) is not None
            trouble = GONE if is_shown else f"{full} These are free now."
            visit.refresh_from_db()
        except CannotBeDone as refusal:
            trouble = str(refusal)
            visit.refresh_from_db()
            if "suits_form" in forms_here:
                forms_here["suits_form"] = SuitsForm(visit=visit)
    context = _context(request, visit, people) | forms_here | {"trouble": trouble}
    status = 409 if trouble else 200
    return render(request, "dispatcher/visit.html", context | done(request), status=status)


def _if_act(request: Any, act: str) -> Any:
    return request.POST if request.POST.get("act") == act else None


def _context(request: Any, visit: Visit, people: list[Any]) -> dict[str, Any]:
    zone = visit.site.zone
    context: dict[str, Any] = {
        "here": "due",
        "visit": visit,
        "site": visit.site,
        "people": people,
        "answers": visit.answers.select_related("person", "written_by__person").order_by("-at"),
        "sent": [
            (row, reminders.phrase(row, zone))
            for row in reminders.reminders_of_visits(request.asker, [visit.pk])
        ],
        "calls": _without_mail(visit),
        "can_answer": visit.state in UNANSWERED,
        "can_end": visit.state in CAN_END,
        "can_move": visit.state in {State.OFFERED, State.AGREED},
        "can_offer": visit.state in {State.PLANNED, State.HELD},
    }
    if context["can_move"] or context["can_offer"]:
        context |= show_times(request, visits.wanted_of_visit(visit))
        if visit.is_digging:
            today = register.today_at(visit.site, request.asker.at)
            context["notes"] = [*context["notes"], visits.say_located(visit.site, today)]
    context["kept"] = _kept_word(visit)
    return context


def _kept_word(visit: Visit) -> str:
    """The time that is held, as a form carries it: it may have run out when it is agreed."""
    if visit.state != State.HELD or visit.day is None or visit.technician is None:
        return ""
    if visit.window_from is None or visit.window_to is None:
        return ""
    return window_word(Window(visit.day, visit.window_from, visit.window_to), visit.technician)


def _without_mail(visit: Visit) -> list[tuple[Any, list[str]]]:
    """Whom no mail reaches about a visit that stands, and their numbers."""
    if visit.state not in UNANSWERED or visit.day is None:
        return []
    people = reminders.people_without_mail(visit.site, visit.day)
    return [(person, reminders.numbers_of(person)) for person in people]


def _act(
    request: Any, visit: Visit, people: list[Any], forms_here: dict[str, Any]
) -> HttpResponse | None:
    """Do what was asked; None where its form must be mended first."""
    act, asker = request.POST.get("act", ""), undoable(request.asker)
    address = reverse("visit", args=[visit.pk])
    if act == "answer":
        form = forms_here["answer_form"]
        if not form.is_valid():
            return None
        _write_down(visit, form.cleaned_data, people, request.asker)
        return go_to(address, "answered")
    if act == "settle":
        actions.settle_answers(visit, asker=request.asker)
        return go_to(address, "settled")
    if act == "agree":
        with transaction.atomic():
            agree_on_phone(visit, request, read_word(request.POST.get("kept", "")))
        return go_to(address, "agreed")
    if act == "let_go":
        actions.let_hold_go(visit, asker=request.asker)
        return go_to(address, "let_go")
    if act == "suits" and "suits_form" in forms_here:
        form = forms_here["suits_form"]
        if not form.is_valid():
            return None
        keep_what_suits(visit, form.cleaned_data, asker)
        return go_to(address, "saved", group=asker.group)
    if act == "call_off":
        form = forms_here["off_form"]
        if not form.is_valid():
            return None
        told = form.cleaned_data
        because = told["more"] or told["because"]
        actions.call_off_visit(visit, asker=asker, by=told["by"], because=because)
        return go_to(address, "called_off", group=asker.group)
    picked = _picked(request, visit, forms_here["time_form"])
    if picked is None:
        return None
    what = _give_time(visit, picked, asker, is_hold=request.POST.get("how") == "hold")
    return go_to(address, what, group=asker.group)


def _give_time(visit: Visit, picked: tuple[Window, Account], asker: Asker, *, is_hold: bool) -> str:
    window, who = picked
    with transaction.atomic():
        if visit.state in {State.OFFERED, State.AGREED}:
            actions.move_visit(visit, to=window, technician=who, asker=asker)
            return "moved"
        if is_hold:
            actions.hold_visit(visit, to=window, technician=who, asker=asker)
            return "held"
        actions.offer_visit(visit, to=window, technician=who, asker=asker)
        return "offered"


def _picked(request: Any, visit: Visit, time_form: TimeForm) -> tuple[Window, Account] | None:
    act = request.POST.get("act", "")
    if act == "typed":
        return time_form.chosen() if time_form.is_valid() else None
    if act in {"earlier", "later"}:
        return _shifted(visit, BY_HOW_MUCH if act == "later" else -BY_HOW_MUCH)
    return read_word(act)


def _shifted(visit: Visit, by: timedelta) -> tuple[Window, Account]:
    if visit.day is None or visit.window_from is None or visit.window_to is None:
        raise CannotBeDone("This visit has no time yet; offer one first.")
    assert visit.technician is not None  # a booked visit has one: a constraint says so
    starts = datetime.combine(visit.day, visit.window_from) + by
    ends = datetime.combine(visit.day, visit.window_to) + by
    if starts.date() != visit.day or ends.date() != visit.day or starts.time() < time(6):
        raise CannotBeDone("That would be at night; type the time you mean.")
    return Window(visit.day, starts.time(), ends.time()), visit.technician


def _write_down(visit: Visit, told: dict[str, Any], people: list[Any], asker: Asker) -> None:
    by_id = {str(person.pk): person for person in people}
    actions.answer_visit(
        visit,
        asker=asker,
        word=told["word"],
        by="telephone",
        person=by_id.get(told["person"]),
        sequence=visit.sequence,
        note=told["note"],
    )


def _now_at(visit: Visit) -> dict[str, Any]:
    return {
        "day": visit.day,
        "from_": visit.window_from,
        "to": visit.window_to,
        "technician": visit.technician.handle if visit.technician else "",
    }
