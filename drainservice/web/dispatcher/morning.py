"""Morning: a letter of at most seven sentences round the water of the coming weeks."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.doors.door import door
from drainservice.engine.drawings.rim import WeekLoad, draw_water_against_rim
from drainservice.inspections import queries as inspections
from drainservice.visits import queries as visits
from drainservice.visits.models import Visit
from drainservice.web.dispatcher.done import done
from drainservice.web.dispatcher.drawing import Drawing, both_ways
from drainservice.web.words import hour
from jobs import queries as jobs

WEEKS = 8
# Until rounds are planned: hours on site a day and technician, five days a week; judgement.
HOURS_A_DAY = 6
DAYS_A_WEEK = 5


@dataclass(frozen=True, slots=True)
class Sentence:
    """One linked sentence: the link's words come first."""

    link: str
    address: str
    rest: str
    is_wrong: bool = False


@door(to="staff")
def morning(request: Any) -> HttpResponse:
    """The first look of the day; a technician's is the round."""
    if request.asker.is_technician:
        return redirect("today")
    today = wall.today_in(accounts.the_firm().zone, request.asker.at)
    gates = visits.visits_on(request.asker, today)
    context = {
        "here": "morning",
        "rounds": [(who, list(rows)) for who, rows in groupby(gates, lambda v: v.technician)],
        "today": today,
        "sentences": list(_letter(request.asker, today)),
        "drawing": _water(request.asker, today),
        "crew": accounts.technicians().count(),
        "hours_a_day": HOURS_A_DAY,
    }
    return render(request, "dispatcher/morning.html", context | done(request))


def _water(asker: Asker, today: date) -> Drawing:
    crew_h = float(accounts.technicians().count() * HOURS_A_DAY * DAYS_A_WEEK)
    weeks = [
        WeekLoad(monday, due_h, crew_h)
        for monday, due_h in inspections.hours_due_by_week(asker, today=today, weeks=WEEKS)
    ]
    return both_ways(lambda width, prefix: draw_water_against_rim(weeks, width, prefix), "water")


def _letter(asker: Asker, today: date) -> Iterator[Sentence]:
    """In order of harm; what needs nobody is left out, the rounds always stand."""
    downs = len(inspections.downs_for(asker))
    flags = inspections.flag_counts(asker)
    if downs:
        yield Sentence(
            _count(downs, "pump is down", "pumps are down"),
            reverse("down"),
            "and not yet proven to run again.",
            is_wrong=True,
        )
    if flags.get("past_pump_test"):
        yield Sentence(
            _count(
                flags["past_pump_test"],
                "pump test is past its day",
                "pump tests are past their day",
            ),
            f"{reverse('due')}?flag=past_pump_test",
            "and the worst stands first.",
            is_wrong=True,
        )
    if flags.get("clogged_pit"):
        yield Sentence(
            _count(flags["clogged_pit"], "pit is clogging", "pits are clogging"),
            f"{reverse('due')}?flag=clogged_pit",
            "by what was measured there.",
            is_wrong=True,
        )
    yield from _people(asker, today)
    yield _rounds(visits.visits_on(asker, today))


def _people(asker: Asker, today: date) -> Iterator[Sentence]:
    waiting = len(visits.answers_to_deal_with(asker))
    offers = visits.unanswered(asker, today=today)
    counts = jobs.counts_by_state()
    stuck = sum(counts[state] for state in jobs.NEEDS_A_PERSON)
    if waiting:
        yield Sentence(
            _count(waiting, "answer waits", "answers wait"), reverse("answers"), "for you."
        )
    if offers:
        yield Sentence(
            _count(len(offers), "offer has", "offers have"),
            f"{reverse('answers')}#unanswered",
            f"no answer yet; the nearest is for {offers[0].day:%a} {offers[0].day.day} "  # type: ignore[union-attr]
            f"{offers[0].day:%b}.",
        )
    if stuck:
        yield Sentence(
            _count(stuck, "message needs", "messages need"),
            f"{reverse('reminders')}#needs-you",
            "a person: refused, sent without a receipt, or stuck.",
            is_wrong=True,
        )


def _rounds(today: list[Visit]) -> Sentence:
    gates = [visit for visit in today if visit.technician is not None]
    if not gates:
        return Sentence("No visit", reverse("due"), "is agreed for today.")
    names = dict.fromkeys(v.technician.person.name.split()[0] for v in gates if v.technician)
    first = min(gates, key=lambda v: (v.window_starts_at is None, v.window_starts_at))
    return Sentence(
        _count(len(gates), "visit stands", "visits stand"),
        "#rounds",
        f"for today, by {_join(list(names))}; the first from {hour(first.window_from)}.",
    )


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _join(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
