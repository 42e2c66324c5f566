"""Asking the planner: what it may know is stored with the question, so that it can be asked again.

The question is a row and a job of the long lane, left in one transaction; `working_out` answers.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account
from drainservice.engine.rounds.facts import PlanInputs, Shift
from drainservice.engine.rounds.search.effort import Effort, effort_for
from drainservice.engine.rounds.stored import effort_as_json, write_inputs
from drainservice.visits import queries
from drainservice.visits.actions.questions import (
    NothingToPlan,
    Question,
    digest_of_text,
    need_plan,
    need_something,
    put_question,
    what_stood,
)
from drainservice.visits.models import Plan, PlanKind, PlanState
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.reached import reached_only

MOST_DAYS = 14
LONGEST_SEARCH_S = 45.0


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
