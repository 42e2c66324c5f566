"""Several pits on one main: the grade line along it, and all their duties solved together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_depth,
    require_not_negative,
    require_positive,
)
from drainservice.engine.hydraulics.branches import WYE_DEGREES, converging_branch
from drainservice.engine.hydraulics.curves import PumpCurve
from drainservice.engine.hydraulics.duty_point import (
    DutyPoint,
    PumpCannotReachTheLift,
    balance,
)
from drainservice.engine.hydraulics.friction import pipe_velocity, velocity_head
from drainservice.engine.hydraulics.gravity_main import (
    N_PVC,
    depth_at_flow,
    full_flow,
    pressure_slope,
)
from drainservice.engine.hydraulics.line import Section, line_loss
from drainservice.engine.hydraulics.shared_main import JointState

MOST_ROUNDS: Final = 400
# Full steps so long, then ever shorter ones: where the main is just full the level jumps.
FULL_ROUNDS: Final = 40
SETTLED_SHARE: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Main:
    """A main of one bore and slope down to its end; `base_flow_m3s` comes from above all pits."""

    inside_diameter_m: float
    slope: float
    manning_n: float = N_PVC
    base_flow_m3s: float = 0.0
    tailwater_m: float = 0.0


@dataclass(frozen=True, slots=True)
class PitOnMain:
    """One pit whose line joins the main `to_end_m` above its end; levels above its own floor.

    `invert_above_floor_m` is the main's invert at this joint. No pumps: the pit rests.
    """

    name: str
    pumps: tuple[PumpCurve, ...]
    sections: tuple[Section, ...]
    water_above_floor_m: float
    to_end_m: float
    invert_above_floor_m: float
    high_point_above_floor_m: float = 0.0
    weep_hole_m: float = 0.0
    branch_angle_degrees: float = WYE_DEGREES


@dataclass(frozen=True, slots=True)
class DutyOnMain:
    """A pit's duty while the others run, alone, and how the main stands at its joint.

    `duty` is empty (None) where the pit rests, or where the main, filled by the others, stands
    higher than its pump lifts (`is_shut_out`).
    """

    name: str
    duty: DutyPoint | None
    alone: DutyPoint | None
    joint: JointState
    is_shut_out: bool

    @property
    def lost_share(self) -> float:
        """Part of its flow alone that the others take from it."""
        if self.alone is None:
            return 0.0
        return 1.0 - (0.0 if self.duty is None else self.duty.flow_m3s) / self.alone.flow_m3s


def duties_on_main(main: Main, pits: Sequence[PitOnMain]) -> tuple[DutyOnMain, ...]:
    """The duties of all pits with pumps running at once, in the order given.

    Each pit in turn is balanced against the grade line that the others leave it, until nothing
    moves by more than 1e-9. The grade line is marched up from the main's end: a full reach rises
    at S (Q/Q_full)^2, a part-full one stands at Manning's depth or is drowned from below. Source:
    hydraulics handbooks; Crane TP-410 for the joint. Raises PumpCannotReachTheLift where a pump
    cannot reach its lift even alone, ImpossibleAmount, NegativeDepth.
    """
    _require_sound(main, pits)
    flows = [0.0] * len(pits)
    alone = [_balance(main, pits, [0.0] * len(pits), i) for i in range(len(pits))]
    together: list[DutyPoint | None] = list(alone)
    for turn in range(MOST_ROUNDS):
        share = 1.0 if turn < FULL_ROUNDS else 20.0 / (turn - FULL_ROUNDS + 21)
        moved = 0.0
        for i, pit in enumerate(pits):
            together[i] = _try_balance(main, pits, flows, i) if pit.pumps else None
            point = together[i]
            aim = 0.0 if point is None else point.flow_m3s
            moved = max(moved, abs(aim - flows[i]) / max(aim, flows[i], 1e-9))
            flows[i] += share * (aim - flows[i])
        if moved <= SETTLED_SHARE:
            break
    return tuple(
        DutyOnMain(
            name=pit.name,
            duty=together[i],
            alone=alone[i],
            joint=joint_on_main(main, pits, flows, i),
            is_shut_out=bool(pit.pumps) and together[i] is None,
        )
        for i, pit in enumerate(pits)
    )


def joint_on_main(
    main: Main, pits: Sequence[PitOnMain], flows_m3s: Sequence[float], which: int
) -> JointState:
    """How the main stands at the joint of pit number `which`, with each pit's flow given.

    Raises ImpossibleAmount.
    """
    pit, bore_m = pits[which], main.inside_diameter_m
    shape = (bore_m, main.slope, main.manning_n)
    stations = sorted({p.to_end_m for p in pits if p.to_end_m <= pit.to_end_m})
    depth_m, below_m = main.tailwater_m, 0.0
    for to_end_m in stations:
        # A reach carries what joins at its upper end and above.
        flow = main.base_flow_m3s + sum(
            q for q, p in zip(flows_m3s, pits, strict=True) if p.to_end_m >= to_end_m
        )
        depth_m = _depth_above(depth_m, flow, to_end_m - below_m, shape)
        below_m = to_end_m
    joined_m3s = main.base_flow_m3s + sum(
        q for q, p in zip(flows_m3s, pits, strict=True) if p.to_end_m >= pit.to_end_m
    )
    level_m = pit.invert_above_floor_m + depth_m
    velocity_ms = pipe_velocity(joined_m3s, bore_m)
    own_m3s = flows_m3s[which]
    if depth_m < bore_m or joined_m3s == 0 or not pit.sections:
        return JointState(level_m, depth_m > bore_m, velocity_ms, 0.0, 0.0)
    branch = converging_branch(
        max(joined_m3s - own_m3s, 0.0),
        own_m3s,
        bore_m,
        pit.sections[-1].inside_diameter_m,
        pit.branch_angle_degrees,
    )
    loss_m = velocity_head(velocity_ms) + branch.branch_loss_m
    return JointState(level_m, True, velocity_ms, branch.branch_k, loss_m)


def _depth_above(
    depth_m: float, flow_m3s: float, length_m: float, shape: tuple[float, float, float]
) -> float:
    """Grade line above the invert at the upper end of a reach, from that at its lower end."""
    bore_m, slope, _ = shape
    gain_m = (pressure_slope(flow_m3s, *shape) - slope) * length_m
    if flow_m3s > full_flow(*shape):
        return max(depth_m, bore_m) + gain_m
    open_m = depth_at_flow(flow_m3s, *shape).depth_m
    drowned_m = depth_m + gain_m if depth_m >= bore_m else depth_m - slope * length_m
    return max(open_m, drowned_m)


def _balance(
    main: Main, pits: Sequence[PitOnMain], flows_m3s: Sequence[float], which: int
) -> DutyPoint | None:
    """Duty of one pit against the flows of the others; None for a pit without pumps."""
    pit = pits[which]
    if not pit.pumps:
        return None
    flows = list(flows_m3s)

    def system_head_at(flow_m3s: float) -> float:
        flows[which] = flow_m3s
        joint = joint_on_main(main, pits, flows, which)
        against_m = max(joint.level_above_floor_m, pit.high_point_above_floor_m)
        losses_m = line_loss(pit.sections, flow_m3s) + joint.entry_loss_m
        return against_m - pit.water_above_floor_m + losses_m

    return balance(pit.pumps, system_head_at, pit.weep_hole_m)


def _try_balance(
    main: Main, pits: Sequence[PitOnMain], flows_m3s: Sequence[float], which: int
) -> DutyPoint | None:
    try:
        return _balance(main, pits, flows_m3s, which)
    except PumpCannotReachTheLift:
        return None


def resting(pit: PitOnMain) -> PitOnMain:
    """The same pit with its pumps at rest."""
    return replace(pit, pumps=())


def _require_sound(main: Main, pits: Sequence[PitOnMain]) -> None:
    require_positive("slope of the main", main.slope)
    require_not_negative("flow in the main", main.base_flow_m3s)
    require_not_negative("tailwater", main.tailwater_m)
    if not pits:
        raise ImpossibleAmount("No pit is named; enter those that share the main.")
    for pit in pits:
        require_depth("water level", pit.water_above_floor_m)
        require_not_negative("distance to the main's end", pit.to_end_m)
        if pit.pumps and not pit.sections:
            raise ImpossibleAmount("A line that joins a main has a last section; enter its bore.")
