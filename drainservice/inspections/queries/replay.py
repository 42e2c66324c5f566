"""Counting a stored due date or result once more from its stored inputs."""

from dataclasses import dataclass
from typing import Any

from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.plain import StoredFormUnreadable, from_plain
from drainservice.inspections.models import Due, Result
from drainservice.inspections.queries.pump_dates import dates_at
from drainservice.inspections.queries.weighed import weigh_again


@dataclass(frozen=True, slots=True)
class Replayed:
    """What the sum says now beside what it said then, and a sentence about the two.

    `now` is None where it cannot be counted any more.
    """

    then: dict[str, Any]
    now: dict[str, Any] | None
    is_same_model: bool
    words: str

    @property
    def is_equal(self) -> bool:
        """Whether the stored inputs lead to the stored answer once more."""
        return self.now == self.then


def replay_due(due: Due) -> Replayed:
    """A due date from the facts of its reckoning, as of the day it was counted."""
    reckoning = due.reckoning
    try:
        facts = from_plain(SystemFacts, reckoning.inputs)
        made = dates_at(reckoning.position, facts, today=reckoning.today)
    except StoredFormUnreadable:
        return _told(due.answer, None, reckoning.model_version)
    again = made.get((due.kind, due.what))
    now = again.as_stored() if again is not None else None
    return _told(due.answer, now, reckoning.model_version)


def replay_result(result: Result) -> Replayed:
    """The sum of a look from its stored inputs; its outputs and verdict as one table."""
    then = result.outputs | {"verdict": result.verdict}
    if "missing" in result.outputs:
        return _told(then, then, result.model_version)
    try:
        again = weigh_again(result)
    except ValueError:
        return _told(then, None, result.model_version)
    return _told(then, again.outputs | {"verdict": again.verdict}, result.model_version)


def _told(then: dict[str, Any], now: dict[str, Any] | None, version: str) -> Replayed:
    is_same_model = version == MODEL_VERSION
    if now is None:
        words = "It cannot be counted again, since its inputs were stored in another form."
    elif now == then:
        words = "Counted again from its stored inputs, it comes out equal."
    else:
        words = "Counted again from its stored inputs, it comes out otherwise."
    if not is_same_model:
        words += f" It was counted by model {version}; this is model {MODEL_VERSION}."
    return Replayed(then, now, is_same_model, words)
