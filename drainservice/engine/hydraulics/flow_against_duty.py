"""The pump's health: the flow of the test against the duty, with a verdict."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative, require_positive
from drainservice.engine.hydraulics.measured import Measured

# Judgement, no source: below three quarters of the duty a pump no longer does its work; a new
# one may be 8 to 9 % off (ISO 9906 / HI 14.6, from memory), so 0.90 is as tight as is sensible.
ACT_BELOW: Final = 0.75
WATCH_BELOW: Final = 0.90
ACT_FROM_CHANCE: Final = 0.5
REPEAT_FROM_CHANCE: Final = 0.1


class FlowVerdict(StrEnum):
    """What a test says of the pump."""

    GOOD = "good"
    WATCH = "watch"
    REPEAT = "repeat"
    ACT = "act"


@dataclass(frozen=True, slots=True)
class FlowAgainstDuty:
    """Test over duty with its sd, the chance that it is below the limit, and the verdict."""

    test: Measured
    duty: Measured
    limit: float
    ratio: float
    ratio_sd: float
    chance_below_limit: float
    verdict: FlowVerdict


def judge_flow(
    test: Measured, duty: Measured, limit: float = ACT_BELOW, watch_below: float = WATCH_BELOW
) -> FlowAgainstDuty:
    """Compare like with like: both flows into the line (m3/s), the duty averaged over the band.

    r = Q_test/Q_duty, (u_r)^2 = (u_Q/D)^2 + (r u_D/D)^2, which is hypot of the relative sd and
    also holds at no flow; P(r < limit) from the normal law. Act if P >= 0.5, repeat if P >= 0.1,
    watch if r < 0.90, else good (judgement, no source). Source of the propagation: JCGM 100:2008.
    Raises ImpossibleAmount.
    """
    require_not_negative("flow of the test", test.value)
    require_positive("duty", duty.value)
    require_positive("limit", limit)
    ratio = test.value / duty.value
    ratio_sd = math.hypot(test.sd / duty.value, ratio * duty.sd / duty.value)
    chance = chance_below(limit, ratio, ratio_sd)
    verdict = _name_verdict(chance, ratio, watch_below)
    return FlowAgainstDuty(test, duty, limit, ratio, ratio_sd, chance, verdict)


def chance_below(limit: float, mean: float, sd: float) -> float:
    """P(X < limit) for a normal X: 0.5 erfc((mean - limit)/(sd sqrt 2)); a step where sd is 0."""
    if sd == 0:
        return 1.0 if mean < limit else 0.0
    return 0.5 * math.erfc((mean - limit) / (sd * math.sqrt(2)))


def _name_verdict(chance: float, ratio: float, watch_below: float) -> FlowVerdict:
    if chance >= ACT_FROM_CHANCE:
        return FlowVerdict.ACT
    if chance >= REPEAT_FROM_CHANCE:
        return FlowVerdict.REPEAT
    return FlowVerdict.WATCH if ratio < watch_below else FlowVerdict.GOOD
