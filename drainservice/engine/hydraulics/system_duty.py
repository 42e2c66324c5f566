"""The duty of a whole system as built, averaged over the band that a drawdown test runs through."""

import math
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_depth,
    require_not_negative,
)
from drainservice.engine.hydraulics.curves import PumpCurve
from drainservice.engine.hydraulics.duty_point import DutyPoint, balance
from drainservice.engine.hydraulics.fittings import (
    LIFTING_CONSTANT,
    lifting_velocity,
)
from drainservice.engine.hydraulics.line import Section, SectionLoss, line_loss, lose_in_section
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.shared_main import (
    Daylight,
    JointState,
    SharedMain,
    state_at_joint,
)

DAYLIGHT: Final = Daylight()
# Three-point Gauss-Legendre on 0..1: places and weights.
GAUSS: Final = ((0.5 - math.sqrt(0.15), 5 / 18), (0.5, 8 / 18), (0.5 + math.sqrt(0.15), 5 / 18))
# A new pump may be 8 to 9 % off its sheet (ISO 9906 / HI 14.6 grade 2, from memory): two sd.
CURVE_SD_SHARE: Final = 0.04
LIFT_SD_M: Final = 0.05  # judgement, no source: a tape from the rim


@dataclass(frozen=True, slots=True)
class DutyInput:
    """Everything the duty depends on; every level in metres above the floor of the pit.

    `sections` run in order from pump to outlet, or to the main they join. The high point is where
    the line stands highest: beyond it the water runs by itself (0 where it only rises).
    """

    pumps: tuple[PumpCurve, ...]
    sections: tuple[Section, ...]
    outlet_above_floor_m: float
    on_above_floor_m: float
    off_above_floor_m: float
    high_point_above_floor_m: float = 0.0
    weep_hole_m: float = 0.0
    joint: Daylight | SharedMain = DAYLIGHT
    curve_sd_share: float = CURVE_SD_SHARE
    lift_sd_m: float = LIFT_SD_M


@dataclass(frozen=True, slots=True)
class DutyResult:
    """The duty to compare a drawdown test with, and where the head goes at mid band.

    `flow` leaves the pit (what the fall of the level shows); `pump_flow_m3s` also holds what the
    weep hole gives back. `losses` stand in the order of the sections.
    """

    flow: Measured
    pump_flow_m3s: float
    at_on: DutyPoint
    at_off: DutyPoint
    at_middle: DutyPoint
    losses: tuple[SectionLoss, ...]
    joint: JointState
    is_valve_fully_open: bool
    is_beyond_curve: bool


def average_duty(given: DutyInput) -> DutyResult:
    """Mean flow over the band from on to off level, with its sd.

    The band empties in time int A dh / Q(h), so the mean is harmonic:
    Q = (h_on - h_off) / int dh / Q(h), by three Gauss points (the flow is nearly straight over a
    band). sd: hypot(curve share * Q, dQ/dlift * u_lift), first order. Raises
    PumpCannotReachTheLift (at the off level, where the lift is greatest), NoPump, NegativeDepth,
    ImpossibleAmount.
    """
    _require_levels(given)
    at_off = duty_at(given, given.off_above_floor_m)
    at_on = duty_at(given, given.on_above_floor_m)
    middle_m = (given.on_above_floor_m + given.off_above_floor_m) / 2
    at_middle = duty_at(given, middle_m)
    flow_m3s, pump_flow_m3s = _mean_flows(given)
    per_metre = (at_on.flow_m3s - at_off.flow_m3s) / (
        given.on_above_floor_m - given.off_above_floor_m
    )
    sd_m3s = math.hypot(given.curve_sd_share * flow_m3s, per_metre * given.lift_sd_m)
    return DutyResult(
        flow=Measured(flow_m3s, sd_m3s),
        pump_flow_m3s=pump_flow_m3s,
        at_on=at_on,
        at_off=at_off,
        at_middle=at_middle,
        losses=tuple(lose_in_section(s, at_middle.flow_m3s) for s in given.sections),
        joint=_state_of_joint(given, at_middle.flow_m3s),
        is_valve_fully_open=is_valve_fully_open(given.sections, at_middle.flow_m3s),
        is_beyond_curve=at_on.is_beyond_curve,
    )


def duty_at(given: DutyInput, water_above_floor_m: float) -> DutyPoint:
    """Duty at one water level in the pit.

    System head = max(outlet, high point, grade line at the joint) - water level + line losses +
    entry into a full main. Raises as `average_duty`.
    """
    require_depth("water level", water_above_floor_m)

    def system_head_at(flow_m3s: float) -> float:
        joint = _state_of_joint(given, flow_m3s)
        against_m = max(
            given.outlet_above_floor_m, given.high_point_above_floor_m, joint.level_above_floor_m
        )
        losses_m = line_loss(given.sections, flow_m3s) + joint.entry_loss_m
        return against_m - water_above_floor_m + losses_m

    return balance(given.pumps, system_head_at, given.weep_hole_m)


def is_valve_fully_open(sections: tuple[Section, ...], flow_m3s: float) -> bool:
    """True unless a check valve in the line sees too little speed to stay fully open."""
    return all(
        lose_in_section(section, flow_m3s).velocity_ms
        >= lifting_velocity(fitting.kind, seat_share=fitting.seat_share)
        for section in sections
        for fitting in section.fittings
        if fitting.kind in LIFTING_CONSTANT
    )


def _mean_flows(given: DutyInput) -> tuple[float, float]:
    """Mean over the time of emptying of the flow into the line, and of the pumps' own."""
    band_m = given.on_above_floor_m - given.off_above_floor_m
    points = [(duty_at(given, given.off_above_floor_m + x * band_m), w) for x, w in GAUSS]
    time_share = sum(w / point.flow_m3s for point, w in points)
    pumped = sum(w * sum(point.pump_flows_m3s) / point.flow_m3s for point, w in points)
    return 1 / time_share, pumped / time_share


def _state_of_joint(given: DutyInput, flow_m3s: float) -> JointState:
    if isinstance(given.joint, Daylight):
        return JointState(given.outlet_above_floor_m, False, 0.0, 0.0, 0.0)
    if not given.sections:
        raise ImpossibleAmount("A line that joins a main has a last section; enter its bore.")
    return state_at_joint(given.joint, flow_m3s, given.sections[-1].inside_diameter_m)


def _require_levels(given: DutyInput) -> None:
    require_depth("off level", given.off_above_floor_m)
    require_depth("on level", given.on_above_floor_m)
    require_not_negative("share of the curve's sd", given.curve_sd_share)
    require_not_negative("sd of the lift", given.lift_sd_m)
    if given.on_above_floor_m <= given.off_above_floor_m:
        raise ImpossibleAmount("The pump's on level must stand above its off level; swap the two.")
