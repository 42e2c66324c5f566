"""Refuse numbers no pump can have, in words that say what to give instead."""

import math


class NotAPositiveNumber(ValueError):
    """A rate, time or count that must be above zero is not."""


class NotAShare(ValueError):
    """A chance or share must lie between 0 and 1."""


def positive(name: str, value: float) -> float:
    """`value` when it is a finite number above zero."""
    if not (math.isfinite(value) and value > 0):
        raise NotAPositiveNumber(f"The {name} is {value}; give a number above zero.")
    return value


def not_negative(name: str, value: float) -> float:
    """`value` when it is a finite number of zero or more."""
    if not (math.isfinite(value) and value >= 0):
        raise NotAPositiveNumber(f"The {name} is {value}; give zero or a number above it.")
    return value


def inner_share(name: str, value: float) -> float:
    """`value` when it lies strictly between 0 and 1."""
    if not 0 < value < 1:
        raise NotAShare(f"The {name} is {value}; give a number between 0 and 1, such as 0.10.")
    return value


def share(name: str, value: float) -> float:
    """`value` when it lies from 0 to 1, ends included."""
    if not 0 <= value <= 1:
        raise NotAShare(f"The {name} is {value}; give a number from 0 to 1.")
    return value
