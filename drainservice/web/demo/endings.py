"""The queue of a demonstration: the past is over, the present is really reacted to."""

from collections.abc import Mapping
from datetime import datetime

from drainservice.accounts.asker import Asker
from drainservice.inspections import actions as inspections
from drainservice.visits import actions as visits
from drainservice.web.demo.days import Days, machine
from jobs import reactions, running, settling
from jobs.outcome import MessageKind
from jobs.turn import Reaction

WORKER = "load_demo"
PATIENCE_S = 600.0
EVENINGS = 6


def end_history(*, at: datetime) -> int:
    """Settle the facts of the past without a message: nobody is told today of last year."""
    return settling.end_facts(at=at)


def count_dates(*, at: datetime) -> None:
    """Count every due date and flag what is past, as the night does."""
    inspections.find_due(asker=machine(at), force=True)


def react_to_now(days: Days) -> int:
    """React to the facts about visits that lie ahead, evening by evening of the last week.

    So each message bears a day on which it would have gone: no quiet hour holds them all back,
    whatever the hour of loading. They are kept on the mailbox page, or wait for their time.
    """
    evenings = [days.at(days.ago(ago), 18, 30) for ago in range(EVENINGS, 0, -1)]
    moments = [*evenings, days.now]
    return sum(_run(reactions.REACTIONS, reactions.MESSAGES, at) for at in moments)


def work_out_plans(days: Days) -> None:
    """Work out what was asked of the planner. Its clocks stand still, so that counts alone end a
    search and the same question has the same answer on every machine."""
    clocks = visits.Clocks(lambda: days.now, lambda: 0.0)

    def think(*, asker: Asker, plan_id: int, **_: object) -> None:
        visits.work_out(plan_id, asker=asker, clocks=clocks)

    running.run_all(
        {"plan.wanted": think},
        {},
        clock=lambda: days.now,
        budget_s=PATIENCE_S,
        worker=WORKER,
        long=True,
        only={"plan.wanted"},
    )


def _run(facts: Mapping[str, Reaction], messages: Mapping[str, MessageKind], at: datetime) -> int:
    return running.run_all(facts, messages, clock=lambda: at, budget_s=PATIENCE_S, worker=WORKER)
