"""A drain time and what it means: counted from what moment, to what level."""

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from drainservice.engine.units import UnitSystem, show


class CountsFrom(StrEnum):
    """The moment a drain time starts to count."""

    PEAK = "peak"
    END_OF_RAIN = "end_of_rain"
    FULL = "full"
    LEVEL = "level"
    UNSTATED = "unstated"


class CountsTo(StrEnum):
    """The level at which a drain time stops to count."""

    EMPTY = "empty"
    HALF = "half"
    LEVEL = "level"
    AS_BEFORE = "as_before"
    UNSTATED = "unstated"


class DefinitionIsMuddled(ValueError):
    """A definition that names a level it does not use, or uses one it does not name."""


class DefinitionsDiffer(ValueError):
    """Two drain times that do not measure the same thing."""


class DrainTimeIsImpossible(ValueError):
    """A drain time that is negative or not a number."""


@dataclass(frozen=True, slots=True)
class Definition:
    """What a drain time measures.

    from_level_m counts only with CountsFrom.LEVEL (a poured test filled to that level), to_level_m
    only with CountsTo.LEVEL; both are depths above the bottom in m and else stay 0.
    FULL is the design depth of the pit in question, AS_BEFORE the level before the storm.
    """

    counts_from: CountsFrom
    counts_to: CountsTo
    from_level_m: float = 0.0
    to_level_m: float = 0.0

    def __post_init__(self) -> None:
        if (self.from_level_m > 0.0) is not (self.counts_from is CountsFrom.LEVEL):
            raise DefinitionIsMuddled(
                "Give the level the count starts at when it starts at a level, and only then."
            )
        if (self.to_level_m > 0.0) is not (self.counts_to is CountsTo.LEVEL):
            raise DefinitionIsMuddled(
                "Give the level the count ends at when it ends at a level, and only then; "
                "for a level of zero say empty."
            )
        if self.counts_from is CountsFrom.LEVEL and self.to_level_m >= self.from_level_m:
            raise DefinitionIsMuddled("The count must end at a lower level than it starts from.")

    @property
    def code(self) -> str:
        """The definition as a short key that is the same for the same count, to store beside it."""
        starts = (
            f"{self.counts_from}:{self.from_level_m:.3f}"
            if self.from_level_m
            else (str(self.counts_from))
        )
        ends = f"{self.counts_to}:{self.to_level_m:.3f}" if self.to_level_m else str(self.counts_to)
        return f"{starts}>{ends}"

    @property
    def is_stated(self) -> bool:
        """Whether both ends of the count are known."""
        return self.counts_from is not CountsFrom.UNSTATED and (
            self.counts_to is not CountsTo.UNSTATED
        )

    def describe(self, system: UnitSystem) -> str:
        """The definition as a phrase, such as "from the end of rain until empty"."""
        starts = {
            CountsFrom.PEAK: "from the highest level",
            CountsFrom.END_OF_RAIN: "from the end of rain",
            CountsFrom.FULL: "from a full pit",
            CountsFrom.LEVEL: f"from a level of {show(self.from_level_m, 'level', system)}",
            CountsFrom.UNSTATED: "from a moment its source does not state",
        }
        ends = {
            CountsTo.EMPTY: "until empty",
            CountsTo.HALF: "until half empty",
            CountsTo.LEVEL: f"until a level of {show(self.to_level_m, 'level', system)}",
            CountsTo.AS_BEFORE: "until the level before the storm",
            CountsTo.UNSTATED: "until a level its source does not state",
        }
        return f"{starts[self.counts_from]} {ends[self.counts_to]}"


FULL_TO_EMPTY = Definition(CountsFrom.FULL, CountsTo.EMPTY)
END_OF_RAIN_TO_EMPTY = Definition(CountsFrom.END_OF_RAIN, CountsTo.EMPTY)
PEAK_TO_EMPTY = Definition(CountsFrom.PEAK, CountsTo.EMPTY)
FULL_TO_HALF = Definition(CountsFrom.FULL, CountsTo.HALF)
UNSTATED = Definition(CountsFrom.UNSTATED, CountsTo.UNSTATED)


@dataclass(frozen=True, slots=True)
class DrainTime:
    """A time in s that carries its definition, and why it was restated if it was."""

    time_s: float
    definition: Definition
    restated_because: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.time_s) and self.time_s >= 0.0):
            raise DrainTimeIsImpossible(
                "A drain time cannot be negative; look at the two clock readings again."
            )

    def restate(self, definition: Definition, because: str) -> "DrainTime":
        """The same time under another definition, on an assumption that is written down.

        A pit filled to its design depth by hose, for one, drains as it would after a storm that
        left it full: because="filled to the design depth, as a full storm would".
        Raises DefinitionsDiffer without a reason.
        """
        if not because.strip():
            raise DefinitionsDiffer("Write down why the time may be counted the other way.")
        return replace(self, definition=definition, restated_because=because)


def refuse_different_definitions(one: Definition, other: Definition) -> None:
    """Raise DefinitionsDiffer unless both count from and to the same."""
    if one != other:
        raise DefinitionsDiffer(
            f"One time counts {_describe_in_both_units(one)}, the other "
            f"{_describe_in_both_units(other)}. They cannot be compared; measure or restate one of "
            "them the other way."
        )


def _describe_in_both_units(definition: Definition) -> str:
    trade, metric = (definition.describe(system) for system in UnitSystem)
    return trade if trade == metric else f"{trade} ({metric})"


def compare_drain_times(now: DrainTime, before: DrainTime) -> float:
    """How many times as long as before; raises DefinitionsDiffer, DrainTimeIsImpossible."""
    refuse_different_definitions(now.definition, before.definition)
    if before.time_s == 0.0:
        raise DrainTimeIsImpossible("The earlier drain time is zero, so nothing compares with it.")
    return now.time_s / before.time_s
