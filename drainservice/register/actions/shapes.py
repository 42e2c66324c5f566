"""Days of the year and small tables of the firm, judged before they are kept."""

from collections.abc import Mapping
from typing import Any

from drainservice.accounts.asker import CannotBeDone
from drainservice.bounds import MONTH_DAYS
from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.interval.facts import LookKind
from drainservice.engine.reliability.history import SightKind


class ShapeRefused(CannotBeDone):
    """A value does not have the shape its field needs; the text says which it needs."""


def month_day(text: str, *, what: str) -> str:
    """A day of every year as month-day. Errors: ShapeRefused."""
    if text not in MONTH_DAYS:
        raise ShapeRefused(f"{what} is {text[:20]!r}; write month-day, such as 10-15.")
    return text


def rule_months(told: Any) -> dict[str, float]:
    """Months between looks by kind of look: {"percolation": 12}. Errors: ShapeRefused."""
    table = _table(told, "The rule's months")
    for kind, months in table.items():
        if kind not in set(LookKind):
            raise ShapeRefused(f"Nobody looks for {kind!r}; a rule names one of our looks.")
        _number(months, low=0.1, high=600, what=f"The rule's months for {kind}")
    return table


def rates_per_year(told: Any) -> dict[str, float]:
    """Failures a year by failure mode. Errors: ShapeRefused."""
    table = _table(told, "The failures a year")
    for mode, rate in table.items():
        _mode(mode)
        _number(rate, low=0.0001, high=100, what=f"The failures a year of {mode}")
    return table


def reveals(told: Any) -> dict[str, dict[str, float]]:
    """What a test reveals, 0 to 1, by test and failure mode. Errors: ShapeRefused."""
    table = _table(told, "What the tests reveal")
    for test, modes in table.items():
        if test not in set(SightKind):
            known = ", ".join(SightKind)
            raise ShapeRefused(f"{test!r} is no test of a pump; the tests are {known}.")
        for mode, share in _table(modes, f"What {test} reveals").items():
            _mode(mode)
            _number(share, low=0, high=1, what=f"What {test} reveals of {mode}")
    return table


def _mode(word: str) -> None:
    if word not in set(FailureMode):
        known = ", ".join(FailureMode)
        raise ShapeRefused(f"{word!r} is no way in which a pump fails; they are {known}.")


def _table(told: Any, what: str) -> dict[str, Any]:
    is_table = isinstance(told, Mapping) and all(isinstance(word, str) for word in told)
    if not is_table or any(not 0 < len(word) <= 40 for word in told):
        raise ShapeRefused(f"{what} must be a table of words and numbers.")
    return dict(told)


def _number(value: Any, *, low: float, high: float, what: str) -> None:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or not low <= value <= high:
        raise ShapeRefused(f"{what} must be a number from {low:g} to {high:g}.")
