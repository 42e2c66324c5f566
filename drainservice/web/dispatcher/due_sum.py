"""The sum behind one due date: candidates, what governed, the range, what would lengthen it."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.doors.door import door
from drainservice.engine.asbuilt.check import defects_of
from drainservice.engine.drawings.chance import draw_chance
from drainservice.engine.explain import DEFECTS, tell
from drainservice.engine.interval.due import DueDate
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.plain import StoredFormUnreadable, from_plain
from drainservice.engine.interval.pump_belief import PumpBelief, believe_pump
from drainservice.engine.interval.pump_due import lengthening_sentences
from drainservice.engine.reliability.proof_test import mean_dead_share
from drainservice.engine.units import YEAR_DAYS, UnitSystem
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Due
from drainservice.web.dispatcher.drawing import Drawing, both_ways
from drainservice.web.words import CHOSEN_BY

STEPS = 40
FARTHEST_DAYS = 6 * 365


@door(to="dispatcher")
def due_sum(request: Any, due_id: int) -> HttpResponse:
    """One date with its whole reason, as it was counted then."""
    due = inspections.due_for(request.asker, due_id)
    units = UnitSystem(accounts.the_firm().units)
    context: dict[str, Any] = {
        "here": "due",
        "due": due,
        "today": wall.today_in(due.system.site.zone, request.asker.at),
    }
    try:
        answer = from_plain(DueDate, due.answer)
        facts = from_plain(SystemFacts, due.reckoning.inputs)
    except StoredFormUnreadable as why:
        return render(request, "dispatcher/due_sum.html", context | {"trouble": str(why)})
    context |= {
        "answer": answer,
        "reasons": [tell(sentence, units) for sentence in answer.reason],
        "honesty": [tell(sentence, units) for sentence in answer.honesty],
        "longer": [tell(sentence, units) for sentence in lengthening_sentences(answer)],
        "candidates": [
            (CHOSEN_BY[str(c.governed_by)], c.on, _note(c.note)) for c in answer.candidates
        ],
        "governed": CHOSEN_BY[str(answer.governed_by)],
        "inputs": list(_inputs(facts)),
        "drawing": _chance(facts, due, answer) if answer.posterior else None,
    }
    return render(request, "dispatcher/due_sum.html", context)


def _chance(facts: SystemFacts, due: Due, answer: DueDate) -> Drawing | None:
    """The mean share of time dead since the last proof: it meets the target at the interval."""
    if facts.pump is None or answer.posterior is None:
        return None
    known = believe_pump(facts, facts.pump, due.reckoning.today)
    ends_on = known.base_on + timedelta(days=min(answer.posterior.interval_days, FARTHEST_DAYS))
    last = max(due.due_on, ends_on) + timedelta(days=90)
    step_days = max((last - known.base_on).days // STEPS, 1)
    days = [known.base_on + timedelta(days=step_days * n) for n in range(1, STEPS + 1)]
    shares = [_share(known, day) for day in days]
    return both_ways(
        lambda width, prefix: draw_chance(days, shares, (), known.target, width, prefix), "chance"
    )


def _share(known: PumpBelief, day: date) -> float:
    return mean_dead_share(known.belief, (day - known.base_on).days / YEAR_DAYS, known.household)


def _inputs(facts: SystemFacts) -> Iterator[str]:
    """What the sum stands on, in words."""
    came = "handed over by us" if facts.origin == "handed_over" else "taken on from others"
    yield f"The system was {came} on {_day(facts.origin_on)}."
    if facts.pump is not None:
        installed = facts.pump.installed_on.value
        age = f"in since {_day(installed)}" if installed else "of an age nobody knows"
        name = _word(facts.pump.pump_class, "class")
        yield f"The pump: {name}, {_word(facts.pump.float_kind, 'float')}, {age}."
    passed = sum(test.passed for test in facts.tests)
    yield f"{len(facts.tests)} pump tests are on record, {passed} of them passed."
    yield f"{len(facts.looks)} looks are on record, of every kind and outcome."
    for season in facts.wet_seasons:
        starts, ends = season.from_year(2027)
        yield f"It is wet from {starts.day} {starts:%B} to {ends.day} {ends:%B}."
    wrong = sorted({str(kind) for kind in _defects(facts)})
    if wrong:
        named = [DEFECTS.get(kind, (kind.replace("_", " "), ""))[0] for kind in wrong]
        yield f"Known to be wrong: {', '.join(named)}."


def _defects(facts: SystemFacts) -> Iterator[str]:
    for finding in defects_of(facts.as_built[-1].facts):
        if finding.is_defect:
            yield finding.kind


def _word(word: str, what: str) -> str:
    return f"{what} not known" if word == "unknown" else f"{what} {str(word).replace('_', ' ')}"


def _note(note: str) -> str:
    """The day a season starts, as a day; other notes as they stand."""
    try:
        return f"it starts {_day(date.fromisoformat(note))}"
    except ValueError:
        return note


def _day(on: date) -> str:
    return f"{on.day} {on:%B %Y}"
