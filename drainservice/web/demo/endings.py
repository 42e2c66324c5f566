"""The queue of a demonstration: the past is over, the present is really reacted to."""

from collections.abc import Mapping
from datetime import datetime

from drainservice.inspections import actions as inspections
from drainservice.web.demo.days import machine
from jobs import reactions, running
from jobs.outcome import MessageKind
from jobs.turn import Reaction

WORKER = "load_demo"
PATIENCE_S = 600.0


def over(**_: object) -> None:
    """Nothing is left to do: what followed was written down while the history was loaded."""


PAST: Mapping[str, Reaction] = dict.fromkeys(reactions.REACTIONS, over)


def end_history(*, at: datetime) -> int:
    """Settle the facts of the past without a message: nobody is told today of last year."""
    return _run(PAST, {}, at)


def count_dates(*, at: datetime) -> None:
    """Count every due date and flag what is past, as the night does."""
    inspections.find_due(asker=machine(at), force=True)


def react_to_now(*, at: datetime) -> int:
    """React to the facts about visits that lie ahead: their messages wait, or go to the
    mailbox page."""
    return _run(reactions.REACTIONS, reactions.MESSAGES, at)


def _run(facts: Mapping[str, Reaction], messages: Mapping[str, MessageKind], at: datetime) -> int:
    return running.run_all(facts, messages, clock=lambda: at, budget_s=PATIENCE_S, worker=WORKER)
