"""A household's answer to a visit: looking changes nothing, one button writes it down."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.queries import person_for
from drainservice.accounts.text import TextRefused
from drainservice.doors.door import door
from drainservice.visits import queries as visits
from drainservice.visits.actions import answer_visit
from drainservice.visits.models import AnswerWord, State, Visit
from drainservice.web.homeowner.other_times import Taken, choose, other_times
from drainservice.web.homeowner.page import in_their_language, show
from drainservice.web.homeowner.parts import parts_at

ANSWERABLE = {State.OFFERED, State.HELD, State.AGREED}
NOTE_MOST = 1000


@door(to="homeowner", methods="GET POST")
@in_their_language
def answer(request: Any, visit_id: int, word: str) -> HttpResponse:
    """One answer: a page with its one button, and the button."""
    visit = _visit(request, visit_id)
    if word not in AnswerWord.values:
        raise NotFound
    context = {"visit": visit, "word": word, "note": request.POST.get("note", "")}
    context["is_over"] = visit.state not in ANSWERABLE
    if request.method != "POST":
        return show(request, "answer", context | _times(request, visit, word))
    try:
        if word == AnswerWord.ANOTHER_DAY and request.POST.get("time"):
            choose(request, visit)
            return redirect("answered", signed=request.signed, visit_id=visit.pk)
        answer_visit(
            visit,
            asker=request.asker,
            word=word,
            by="link",
            person=person_for(request.asker, request.asker.person_id),
            sequence=_sequence(request, visit),
            note=_note(request, word),
        )
    except Taken:
        told = _times(request, visit, word) | {"is_taken": True}
        return show(request, "answer", context | told, status=409)
    except (CannotBeDone, TextRefused) as refusal:
        return show(request, "answer", context | {"refusal": str(refusal)}, status=409)
    return redirect("answered", signed=request.signed, visit_id=visit.pk)


@door(to="homeowner")
@in_their_language
def answered(request: Any, visit_id: int) -> HttpResponse:
    """What was written down, and what comes next."""
    visit = _visit(request, visit_id)
    own = [a for a in visits.latest_answers(visit) if a.person_id == request.asker.person_id]
    return show(request, "answered", {"visit": visit, "said": own[0] if own else None})


def _times(request: Any, visit: Visit, word: str) -> dict[str, Any]:
    """Who wants another day is shown some that are free."""
    return other_times(request, visit) if word == AnswerWord.ANOTHER_DAY else {}


def _visit(request: Any, visit_id: int) -> Visit:
    """A visit this household is asked about. Errors: NotFound."""
    visit = visits.visit_for(request.asker, visit_id)
    if visit.day is None or not parts_at(request.asker, visit.site).may_answer:
        raise NotFound
    return visit


def _sequence(request: Any, visit: Visit) -> int:
    """The visit as it stood on the page that was answered; an old page answers an old time."""
    shown = request.POST.get("sequence", "")
    if shown.isascii() and shown.isdigit() and len(shown) < 7:
        return min(int(shown), visit.sequence)
    return visit.sequence


def _note(request: Any, word: str) -> str:
    """What they wrote, with the days that suit them."""
    note = str(request.POST.get("note", "")).strip()
    days = [d for d in request.POST.getlist("day") if d in DAYS]
    if word == AnswerWord.ANOTHER_DAY and days:
        note = f"{_('Days that suit')}: {', '.join(days)}. {note}".strip()
    if len(note) > NOTE_MOST:
        raise TextRefused(_("Your note is too long; please say it in fewer words."))
    return note


DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "mornings", "afternoons")
