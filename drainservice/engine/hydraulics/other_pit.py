"""A leaking valve shows in the other pit: the main runs back while a neighbour pumps."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from drainservice.engine.hydraulics.amounts import require_not_negative
from drainservice.engine.hydraulics.line import line_loss
from drainservice.engine.hydraulics.main_line import (
    Main,
    PitOnMain,
    duties_on_main,
    resting,
)
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.roots import find_root
from drainservice.engine.hydraulics.weep_hole import SHARP_EDGE_CD
from drainservice.engine.units import GPM_M3S, GRAVITY_MS2

# Judgement, no source: two standard deviations part a difference from the readings' errors.
SURE_SD: Final = 2.0
# Judgement, no source: readings that could not have shown half a gallon a minute show nothing.
SMALLEST_LEAK_M3S: Final = 0.25 * GPM_M3S


class NeighbourVerdict(StrEnum):
    """What a resting pit's level says while another pit on its main pumps."""

    VALVE_HOLDS = "valve_holds"
    VALVE_LEAKS = "valve_leaks"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class BackFromMain:
    """Water that the main presses back into a resting pit: flow, m3/s, and the head behind it."""

    flow_m3s: float
    head_m: float
    is_reached: bool


def back_from_main(
    main: Main, running: Sequence[PitOnMain], rests: PitOnMain, opening_m2: float
) -> BackFromMain:
    """Flow back through a leaking valve while the others pump, m3/s.

    Root of: grade line at its joint - its water = q^2/(2 g (Cd a)^2) + loss of its line at q. None
    where the grade line does not stand above its line's high point or its water. The leak is small
    beside the main's flow and is left out of it. Source: orifice equation, Cd 0.61 (HEC-22).
    Raises as `duties_on_main`.
    """
    require_not_negative("opening of the leak", opening_m2)
    found = duties_on_main(main, [*running, resting(rests)])
    level_m = found[-1].joint.level_above_floor_m
    head_m = level_m - rests.water_above_floor_m
    is_reached = found[-1].joint.is_surcharged and level_m > rests.high_point_above_floor_m
    if head_m <= 0 or opening_m2 == 0 or not is_reached:
        return BackFromMain(0.0, max(head_m, 0.0), is_reached and head_m > 0)
    free_m3s = SHARP_EDGE_CD * opening_m2 * math.sqrt(2 * GRAVITY_MS2 * head_m)

    def lacking_m(flow_m3s: float) -> float:
        return head_m * ((flow_m3s / free_m3s) ** 2 - 1) + line_loss(rests.sections, flow_m3s)

    return BackFromMain(find_root(lacking_m, 0.0, free_m3s), head_m, True)


def judge_resting_pit(
    area_m2: float, rate_while_other_runs_ms: Measured, rate_while_all_rest_ms: Measured
) -> tuple[NeighbourVerdict, Measured]:
    """The verdict, and the flow back (m3/s): A (dh/dt with the other running - dh/dt at rest).

    Rain raises both rates, a leak only the first. Source: mass balance; two sd is judgement.
    """
    more_ms = rate_while_other_runs_ms.value - rate_while_all_rest_ms.value
    sd_ms = math.hypot(rate_while_other_runs_ms.sd, rate_while_all_rest_ms.sd)
    flow = Measured(area_m2 * more_ms, area_m2 * sd_ms)
    if more_ms > SURE_SD * sd_ms and more_ms > 0:
        return NeighbourVerdict.VALVE_LEAKS, flow
    is_quiet = flow.sd <= SMALLEST_LEAK_M3S
    return (NeighbourVerdict.VALVE_HOLDS if is_quiet else NeighbourVerdict.CANNOT_TELL), flow
