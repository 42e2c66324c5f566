"""The refusal of impossible numbers, said so that the person at the pit can mend them."""

import math


class ImpossibleAmount(ValueError):
    """A length, flow, time or share that cannot exist."""


class NegativeDepth(ImpossibleAmount):
    """A depth of water below the floor of the pit."""


def require_positive(what: str, value: float) -> None:
    """Raise ImpossibleAmount unless the value is finite and above zero."""
    if not math.isfinite(value) or value <= 0:
        raise ImpossibleAmount(f"The {what} must be above zero, not {value:g}; enter it again.")


def require_not_negative(what: str, value: float) -> None:
    """Raise ImpossibleAmount unless the value is finite and zero or more."""
    if not math.isfinite(value) or value < 0:
        raise ImpossibleAmount(f"The {what} cannot be below zero, not {value:g}; enter it again.")


def require_share(what: str, value: float) -> None:
    """Raise ImpossibleAmount unless the value lies from 0 to 1."""
    if not 0 <= value <= 1:
        raise ImpossibleAmount(f"The {what} must lie from 0 to 1, not {value:g}; enter it again.")


def require_depth(what: str, value_m: float) -> None:
    """Raise NegativeDepth unless the level is finite and at or above the floor of the pit."""
    if not math.isfinite(value_m) or value_m < 0:
        raise NegativeDepth(
            f"The {what} is {value_m:g} m, below the floor of the pit; "
            "measure it upwards from the floor."
        )
