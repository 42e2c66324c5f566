"""The back-flow test: does the check valve hold the line's water, or give it back?"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative, require_positive
from drainservice.engine.hydraulics.measured import Measured

# Judgement, no source: parts of the line's water that come back.
TIGHT_UP_TO: Final = 0.05
WEEPS_UP_TO: Final = 0.5
MORE_THAN_THE_LINE: Final = 1.25
# The whole line must raise the level by this many times the reading's error.
READABLE_FROM: Final = 3.0


class ValveVerdict(StrEnum):
    """What the level says of the check valve."""

    TIGHT = "tight"
    WEEPS = "weeps"
    STUCK_OPEN = "stuck_open"
    MORE_THAN_LINE = "more_than_line"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class BackFlowTest:
    """Rise in the first minutes after the stop, no inflow; line volume up to its high point."""

    area_m2: float
    rise_m: float
    level_error_m: float
    line_volume_m3: float


@dataclass(frozen=True, slots=True)
class BackFlowResult:
    """Water that came back, its part of the line, the verdict and what else it might be."""

    test: BackFlowTest
    returned_m3: float
    full_line_rise_m: float
    returned_share: Measured
    verdict: ValveVerdict
    could_also_be: tuple[ValveVerdict, ...]
    advice: str


ADVICE: Final = {
    ValveVerdict.TIGHT: "The valve holds.",
    ValveVerdict.WEEPS: "The valve lets part of the line back; clean its seat and test again.",
    ValveVerdict.STUCK_OPEN: "The line comes back: the valve is stuck open or missing.",
    ValveVerdict.MORE_THAN_LINE: (
        "More came back than the line holds: water runs in, the stone levels out with the insert, "
        "or a joined main drains back. Test again with the riser already empty."
    ),
    ValveVerdict.CANNOT_TELL: (
        "Cannot tell by level: even the whole line would hardly move it. Count the starts of the "
        "pump, or read inside the insert before the stone levels out."
    ),
}


def judge_back_flow(test: BackFlowTest) -> BackFlowResult:
    """Returned volume V_b = A dh against the line's own, and a verdict.

    Share <= 0.05 tight, <= 0.5 weeps, above it stuck open or absent (judgement, no source), above
    1.25 not the line alone. Readable only where V_line/A is at least three times the reading's
    error. `could_also_be` names the verdicts one sd to either side, where the reading is too
    coarse to part them. Raises ImpossibleAmount.
    """
    require_positive("area", test.area_m2)
    require_not_negative("rise of the level", test.rise_m)
    require_positive("level reading's error", test.level_error_m)
    require_positive("volume of the line", test.line_volume_m3)
    full_rise_m = test.line_volume_m3 / test.area_m2
    share = Measured(test.rise_m / full_rise_m, test.level_error_m / full_rise_m)
    is_readable = full_rise_m >= READABLE_FROM * test.level_error_m
    verdict = _name_share(share.value) if is_readable else ValveVerdict.CANNOT_TELL
    ends = (_name_share(share.value - share.sd), _name_share(share.value + share.sd))
    others = tuple(v for v in dict.fromkeys(ends) if v != verdict) if is_readable else ()
    return BackFlowResult(
        test, test.rise_m * test.area_m2, full_rise_m, share, verdict, others, ADVICE[verdict]
    )


def leak_back_flow(area_m2: float, rise_m: float, time_s: float, inflow_m3s: float = 0.0) -> float:
    """Steady leak through the valve, m3/s: q = A dh/dt - q_in, not below zero.

    Only while the line stays full (fed by a siphon or a main). Raises ImpossibleAmount.
    """
    require_positive("area", area_m2)
    require_not_negative("rise of the level", rise_m)
    require_positive("time", time_s)
    require_not_negative("inflow", inflow_m3s)
    return max(area_m2 * rise_m / time_s - inflow_m3s, 0.0)


def _name_share(share: float) -> ValveVerdict:
    if share <= TIGHT_UP_TO:
        return ValveVerdict.TIGHT
    if share <= WEEPS_UP_TO:
        return ValveVerdict.WEEPS
    return ValveVerdict.STUCK_OPEN if share <= MORE_THAN_THE_LINE else ValveVerdict.MORE_THAN_LINE
