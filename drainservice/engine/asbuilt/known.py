"""A value together with how it is known; what nobody knows is neither fine nor wrong."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, TypeVar

T = TypeVar("T")


class How(StrEnum):
    """How a value came to us, from the surest to none."""

    MEASURED = "measured"
    DRAWN = "drawn"
    TOLD = "told"
    ASSUMED = "assumed"
    UNKNOWN = "unknown"


class ValueDoesNotFitHow(ValueError):
    """A value is given for something marked unknown, or missing for something marked known."""


@dataclass(frozen=True, slots=True)
class Known(Generic[T]):
    """`value` is empty (None) exactly when `how` is unknown; anything else is refused."""

    value: T | None
    how: How

    def __post_init__(self) -> None:
        if (self.value is None) != (self.how is How.UNKNOWN):
            raise ValueDoesNotFitHow(
                f"The value {self.value!r} is marked '{self.how}'. Give a value and say how it is "
                "known, or leave it empty and mark it unknown."
            )

    @property
    def is_known(self) -> bool:
        """True when somebody measured, drew, told or assumed it."""
        return self.how is not How.UNKNOWN

    def holds(self, value: T) -> bool:
        """True when it is known and equals `value`; unknown never holds."""
        return self.is_known and self.value == value


def unknown() -> Known[T]:
    """Nobody knows."""
    return Known(None, How.UNKNOWN)


def measured(value: T) -> Known[T]:
    """Seen or measured on site."""
    return Known(value, How.MEASURED)


def told(value: T) -> Known[T]:
    """Somebody said so, or a sheet did."""
    return Known(value, How.TOLD)
