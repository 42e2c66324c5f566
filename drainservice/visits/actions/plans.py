"""Asking the planner: what it may know is stored with the question, so that it can be asked again.

The question is a row and a job of the long lane, left in one transaction; `working_out` answers.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from hashlib import sha256
from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.history import RuleBroken
from drainservice.accounts.models import Account
from drainservice.accounts.text import clean_line
from drainservice.engine.rounds import MODEL_VERSION
from drainservice.engine.rounds.effort import Effort, effort_for
from drainservice.engine.rounds.facts import PlanInputs, Shift
from drainservice.engine.rounds.stored import effort_as_json, write_inputs
from drainservice.visits import queries
from drainservice.visits.models import Plan, PlanKind, PlanState
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.reached import reached_only
from jobs import queue

MOST_DAYS = 14
# As the table allows.
MOST_LETTERS = 30_000_000
LONG = "long"
LONGEST_SEARCH_S = 45.0


class NothingToPlan(CannotBeDone):
    """There is no day, no shift or no visit to plan."""


class NotInThisPlan(CannotBeDone):
    """The plan stands elsewhere than the act needs."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Changed facts to try: `without` these technicians, on that day or (None) on all of them, and
    every shift so many minutes longer."""

    without: tuple[tuple[Account, date | None], ...] = ()
    longer_min: int = 0

    def words(self) -> str:
        """ "without Ben on Thu 13 May, with 60 min more" """
        said = [
            f"without {who.person.name.split()[0]}"
            f"{f' on {day:%a} {day.day} {day:%b}' if day else ''}"
            for who, day in self.without
        ]
        if self.longer_min:
            said.append(f"with {self.longer_min} min more a shift")
        return ", ".join(said)[:200]


@dataclass(frozen=True, slots=True)
class Question:
    """What is stored of a question, whatever its kind."""

    kind: str
    scope: str
    first_on: date
    last_on: date
    inputs: str
    effort: dict[str, Any]
    seed: int = 1
    because: str = ""
    what_if: str = ""
    rounds: dict[str, Any] = field(default_factory=dict)


@transaction.atomic
def ask_rounds(
    days: Iterable[date],
    *,
    asker: Asker,
    what_if: WhatIf | None = None,
    effort: Effort | None = None,
    seed: int = 1,
) -> Plan:
    """Ask for the best rounds of these days; the plan under way, where one is.

    Errors: NothingToPlan, and nothing is stored.
    """
    asked = _days(days, asker)
    words = what_if.words() if what_if else ""
    scope = _scope(asked[0], asked[-1], words)
    under_way = queries.plan_under_way(PlanKind.ROUNDS, scope)
    if under_way is not None:
        return under_way
    gathered = reached_only(gather_rounds(at=asker.at, days=asked))
    inputs = _changed(gathered, what_if) if what_if else gathered.inputs
    need_something(inputs)
    question = Question(
        kind=PlanKind.ROUNDS,
        scope=scope,
        first_on=asked[0],
        last_on=asked[-1],
        inputs=write_inputs(inputs),
        effort=effort_as_json(effort or usual_effort(inputs)),
        seed=seed,
        what_if=words,
        rounds=what_stood(gathered, asked),
    )
    return put_question(question, asker=asker)


def usual_effort(inputs: PlanInputs) -> Effort:
    """Seconds for a day of a few rounds, three quarters of a minute for a large week: judgement."""
    stops = len(inputs.stops)
    return effort_for(inputs, min(LONGEST_SEARCH_S, 2.0 + stops / 4))


def need_something(inputs: PlanInputs) -> None:
    """Refuse a question that has no answer, in a sentence."""
    if not inputs.shifts:
        raise NothingToPlan(
            "Nobody works on these days, so there is nothing to plan. Enter working hours or "
            "choose other days on the page of the crew."
        )
    if not inputs.stops:
        raise NothingToPlan(
            "No visit is meant for these days, so there is nothing to plan. Plan a visit first, "
            "or let the season be planned."
        )


def what_stood(gathered: Gathered, days: Sequence[date]) -> dict[str, Any]:
    """On what the plan was asked: day 0 and the version of each round, to be compared later."""
    return {
        "day0": gathered.day0.isoformat(),
        "days": [day.isoformat() for day in days],
        "versions": versions_as_plain(gathered),
        "notes": list(gathered.notes),
    }


def versions_as_plain(gathered: Gathered) -> dict[str, int]:
    """Technician and day -> version, 0 where nobody has a round there yet."""
    return {
        f"{technician} {day.isoformat()}": version
        for (technician, day), version in sorted(gathered.versions.items())
    }


def digest_of_text(text: str) -> str:
    """SHA-256, 64 hexadecimal digits."""
    return sha256(text.encode()).hexdigest()


def put_question(question: Question, *, asker: Asker) -> Plan:
    """Store it and leave the job; of two who ask at once both get the one plan."""
    try:
        plan = enter_question(question, asker=asker)
    except RuleBroken:
        under_way = queries.plan_under_way(question.kind, question.scope)
        if under_way is None:
            raise
        return under_way
    queue.put("plan.wanted", key=f"{plan.pk}:1", at=asker.at, lane=LONG, plan_id=plan.pk)
    return plan


def enter_question(question: Question, *, asker: Asker, **more: Any) -> Plan:
    """Store it alone. Errors: NothingToPlan, where it is too much for one plan; RuleBroken, where
    one of its scope is being worked out."""
    if len(question.inputs) > MOST_LETTERS:
        raise NothingToPlan(
            "These days hold more visits than one plan can take. Choose fewer days, or plan the "
            "technicians of one area at a time."
        )
    told = {"state": PlanState.THINKING} | more
    plan = Plan(
        kind=question.kind,
        scope=question.scope,
        first_on=question.first_on,
        last_on=question.last_on,
        digest=digest_of_text(question.inputs),
        rounds=question.rounds,
        seed=question.seed,
        effort=question.effort,
        because=clean_line(question.because, most=200, what="The reason"),
        what_if=question.what_if,
        model_version=MODEL_VERSION,
        asked_by_id=asker.account_id,
        asked_at=asker.at,
        **told,
    )
    history.enter(plan, asker=asker, action="asked")
    # The inputs are large and never change: history keeps their digest.
    Plan.objects.filter(pk=plan.pk).update(inputs=question.inputs)
    plan.inputs = question.inputs
    return plan


@transaction.atomic
def cancel_plan(plan: Plan, *, asker: Asker) -> Plan:
    """End the search; what was found by then is kept and shown. What nobody has begun is put
    aside at once. Errors: NotInThisPlan."""
    need_plan(plan, PlanState.THINKING)
    if plan.heartbeat_at is None:
        return history.keep(
            plan,
            asker=asker,
            state=PlanState.REFUSED,
            cancel_wanted_at=asker.at,
            ended_at=asker.at,
        )
    return history.keep(plan, asker=asker, cancel_wanted_at=plan.cancel_wanted_at or asker.at)


@transaction.atomic
def refuse_plan(plan: Plan, *, asker: Asker) -> Plan:
    """Put a proposal aside; nothing of it is done. Errors: NotInThisPlan."""
    need_plan(plan, PlanState.READY, PlanState.STALE, PlanState.FAILED)
    return history.keep(plan, asker=asker, state=PlanState.REFUSED, ended_at=asker.at)


def need_plan(plan: Plan, *states: str) -> None:
    """Errors: NotInThisPlan."""
    if plan.state not in states:
        raise NotInThisPlan(
            f"This plan is {PlanState(plan.state).label} now, so that cannot be done any more. "
            "Open it again to see how it stands."
        )


def _days(days: Iterable[date], asker: Asker) -> list[date]:
    asked = sorted(set(days))
    if not asked:
        raise NothingToPlan("Choose at least one day to plan.")
    if asked[-1] - asked[0] >= timedelta(days=MOST_DAYS):
        raise NothingToPlan(
            f"Rounds are planned for at most {MOST_DAYS} days at once; choose fewer days. Weeks "
            "ahead are planned as a season."
        )
    if asked[0] < accounts.today_of_firm(asker.at):
        raise NothingToPlan("A day that is over cannot be planned; choose today or a later day.")
    return asked


def _scope(first: date, last: date, words: str) -> str:
    days = first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"
    return f"{days}; {digest_of_text(words)[:40]}" if words else days


def _changed(gathered: Gathered, what_if: WhatIf) -> PlanInputs:
    """The same inputs without some shifts, whose visits then stand in no round, or with longer
    ones."""
    inputs = gathered.inputs
    gone = {
        (who.pk, None if day is None else (day - gathered.day0).days)
        for who, day in what_if.without
    }

    def stays(shift: Shift) -> bool:
        return not gone & {(shift.technician, None), (shift.technician, shift.day)}

    numbers = [number for number, shift in enumerate(inputs.shifts) if stays(shift)]
    renumbered = {old: new for new, old in enumerate(numbers)}
    shifts = [inputs.shifts[number] for number in numbers]
    return replace(
        inputs,
        shifts=tuple(replace(s, ends_s=s.ends_s + what_if.longer_min * 60) for s in shifts),
        present=tuple(
            replace(round_, shift=renumbered[round_.shift])
            for round_ in inputs.present
            if round_.shift in renumbered
        ),
    )
