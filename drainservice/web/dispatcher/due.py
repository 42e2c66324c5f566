"""Due: whom to book next, worst first, each with its reason."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpResponse
from django.shortcuts import render

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.doors.door import door
from drainservice.engine.explain import LOOKS
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Due
from drainservice.inspections.queries import After
from drainservice.register.models import Consequence
from drainservice.visits import queries as visits
from drainservice.visits.queries import Beside
from drainservice.web.words import due_phrase

# Due dates read for a page; those of one system stand together.
A_PAGE = 120
KINDS = [("", "everything"), *LOOKS.items(), ("mend", "Mend it"), ("access", "Reach the lid")]
FLAGS = [
    ("", "whatever its state"),
    ("past_pump_test", "pump tests past their day"),
    ("clogged_pit", "pits that clog"),
    ("past", "anything else past its day"),
]
AHEAD = [("", "at any time"), ("0", "by today"), ("7", "within a week"), ("60", "in two months")]


class FilterForm(forms.Form):
    """The filter as one sentence; its address can be kept and sent."""

    kind = forms.ChoiceField(label="Show", choices=KINDS, required=False)
    flag = forms.ChoiceField(label="that is", choices=FLAGS, required=False)
    ahead = forms.ChoiceField(label="due", choices=AHEAD, required=False)
    consequence = forms.ChoiceField(
        label="where a dead pump would reach",
        choices=[("", "anything"), *Consequence.choices],
        required=False,
    )


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list: the system's worst date, and what a visit could take along."""

    due: Due
    others: list[Due]
    beside: Beside


@door(to="dispatcher")
def due(request: Any) -> HttpResponse:
    """The list, a page at a time."""
    today = wall.today_in(accounts.the_firm().zone, request.asker.at)
    form = FilterForm(request.GET)
    wanted = form.cleaned_data if form.is_valid() else {}
    rows = inspections.due_list(
        request.asker,
        before=today + timedelta(days=int(wanted["ahead"])) if wanted.get("ahead") else None,
        after=_after(request.GET.get("after", "")),
        kind=wanted.get("kind", ""),
        flag=wanted.get("flag", ""),
        consequence=wanted.get("consequence", ""),
        most=A_PAGE + 1,
    )
    context = {
        "here": "due",
        "today": today,
        "form": FilterForm(initial=wanted),
        "lines": _lines(request.asker, rows[:A_PAGE]),
        "first": _first(rows, today, is_turned="after" in request.GET),
        "is_filtered": any(wanted.values()),
        "more": _more(wanted, rows[A_PAGE - 1]) if len(rows) > A_PAGE else "",
    }
    return render(request, "dispatcher/due.html", context)


def _lines(asker: Asker, rows: list[Due]) -> list[Line]:
    beside = visits.beside_systems(asker, {row.system_id for row in rows})
    of_system: dict[int, list[Due]] = {}
    for row in rows:
        of_system.setdefault(row.system_id, []).append(row)
    return [Line(dues[0], dues[1:], beside[pk]) for pk, dues in of_system.items()]


def _first(rows: list[Due], today: date, *, is_turned: bool) -> str:
    if not rows:
        return "Nothing is due by this filter."
    if is_turned:
        return "The next ones, in order of harm."
    worst = rows[0]
    return (
        f"Book {worst.system.site.address} first, {worst.system.place}. {due_phrase(worst, today)}"
    )


def _after(text: str) -> After | None:
    """2027-05-12_41; anything else turns no page."""
    day, _, pk = text.partition("_")
    try:
        return After(date.fromisoformat(day), int(pk))
    except ValueError:
        return None


def _more(wanted: dict[str, str], last: Due) -> str:
    kept = {name: value for name, value in wanted.items() if value}
    return "?" + urlencode(kept | {"after": f"{last.rank_on:%Y-%m-%d}_{last.pk}"})
