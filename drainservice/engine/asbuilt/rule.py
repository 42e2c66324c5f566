"""The shape of one fact of the trade as a rule."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.finding import NO_EFFECTS, DefectKind, Effects, Part
from drainservice.engine.asbuilt.known import Known

Fact = Callable[[AsBuilt], Known[Any]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One fact of the trade: when `fact` is known and `is_wrong`, this defect follows.

    `needs_pump`: silent where the pit drains by soil alone. `needs_valve`: silent where no check
    valve is fitted, for then that is the defect.
    """

    kind: DefectKind
    part: Part
    fact: Fact
    is_wrong: Callable[[Any], bool]
    consequence: str
    action: str
    effects: Effects = NO_EFFECTS
    needs_pump: bool = True
    needs_valve: bool = False
    is_defect: bool = True
    mend_now: bool = False


def equals(wrong: object) -> Callable[[Any], bool]:
    return lambda value: bool(value == wrong)
