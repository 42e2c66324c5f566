"""A lateral that ends in a shared main: how high the water stands where they join."""

from dataclasses import dataclass

from drainservice.engine.hydraulics.amounts import require_not_negative
from drainservice.engine.hydraulics.branches import WYE_DEGREES, converging_branch
from drainservice.engine.hydraulics.friction import pipe_velocity, velocity_head
from drainservice.engine.hydraulics.gravity_main import (
    N_PVC,
    depth_at_flow,
    full_flow,
    pressure_slope,
)


@dataclass(frozen=True, slots=True)
class Daylight:
    """The line ends in the open: nothing stands against it but its own outlet's level."""


@dataclass(frozen=True, slots=True)
class SharedMain:
    """The main that a line joins, from the joint to the main's end.

    `invert_above_floor_m` is the main's invert at the joint above the floor of our pit,
    `other_flow_m3s` what it already carries, `tailwater_m` the water over its end's invert.
    """

    inside_diameter_m: float
    slope: float
    length_m: float
    invert_above_floor_m: float
    other_flow_m3s: float = 0.0
    manning_n: float = N_PVC
    tailwater_m: float = 0.0
    branch_angle_degrees: float = WYE_DEGREES


@dataclass(frozen=True, slots=True)
class JointState:
    """Level of the hydraulic grade line at the joint, and what entering costs on top."""

    level_above_floor_m: float
    is_surcharged: bool
    main_velocity_ms: float
    branch_k: float
    entry_loss_m: float


def state_at_joint(
    main: SharedMain, branch_flow_m3s: float, branch_diameter_m: float
) -> JointState:
    """How the main stands at the joint while the lateral adds its flow.

    Part full: invert plus Manning's depth, and the lateral falls in freely. Full: the grade line
    rises from the end (crown or tailwater) at S (Q/Q_full)^2, and the lateral also pays the
    main's velocity head and K_branch v^2/2g (`converging_branch`). The main counts as full from
    its full capacity on: the few percent more that a pipe carries just below its crown are not
    stable. Source: hydraulics handbooks; Crane TP-410. Raises ImpossibleAmount.
    """
    require_not_negative("flow in the branch", branch_flow_m3s)
    require_not_negative("flow in the main", main.other_flow_m3s)
    require_not_negative("length of the main", main.length_m)
    require_not_negative("tailwater", main.tailwater_m)
    joined_m3s = main.other_flow_m3s + branch_flow_m3s
    bore_m, shape = main.inside_diameter_m, (main.inside_diameter_m, main.slope, main.manning_n)
    end_invert_m = main.invert_above_floor_m - main.slope * main.length_m
    rise_m = pressure_slope(joined_m3s, *shape) * main.length_m
    crown_m = main.invert_above_floor_m + bore_m
    if joined_m3s > full_flow(*shape):
        level_m = end_invert_m + max(bore_m, main.tailwater_m) + rise_m
    else:
        open_m = main.invert_above_floor_m + depth_at_flow(joined_m3s, *shape).depth_m
        drowned_m = end_invert_m + main.tailwater_m
        level_m = max(open_m, drowned_m + rise_m if main.tailwater_m >= bore_m else drowned_m)
    velocity_ms = pipe_velocity(joined_m3s, bore_m)
    if level_m < crown_m or joined_m3s == 0:
        return JointState(level_m, level_m > crown_m, velocity_ms, 0.0, 0.0)
    branch = converging_branch(
        main.other_flow_m3s, branch_flow_m3s, bore_m, branch_diameter_m, main.branch_angle_degrees
    )
    loss_m = velocity_head(velocity_ms) + branch.branch_loss_m
    return JointState(level_m, True, velocity_ms, branch.branch_k, loss_m)
