"""A lateral that joins a main under pressure: what wye or tee costs each of the two."""

import math
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_not_negative,
    require_positive,
)
from drainservice.engine.hydraulics.friction import pipe_velocity, velocity_head

WYE_DEGREES: Final = 45.0
TEE_DEGREES: Final = 90.0
# Crane's rounded F by angle (TP-410, converging flow); between them 2 cos(angle), which they are.
BRANCH_F: Final = {30.0: 1.74, 45.0: 1.41, 60.0: 1.0, 90.0: 0.0}
# A run past a branch steeper than this follows the tee's own formula.
STEEP_DEGREES: Final = 75.0


@dataclass(frozen=True, slots=True)
class BranchLoss:
    """Loss coefficients on the velocity of the joined flow, and the heads they cost."""

    branch_k: float
    run_k: float
    joined_velocity_ms: float
    branch_loss_m: float
    run_loss_m: float


def converging_branch(
    run_flow_m3s: float,
    branch_flow_m3s: float,
    main_diameter_m: float,
    branch_diameter_m: float,
    angle_degrees: float,
) -> BranchLoss:
    """Loss where a branch joins a full main of one bore; both K are on the joined velocity.

    Equation, with q = branch/joined flow and b = branch/main diameter:
    K_branch = C [1 + (q/b^2)^2 - 2 (1-q)^2 - F q^2/b^2]; K_run = 1.55 q - q^2 at a tee, else
    1 - (1-q)^2 - F q^2/b^2. C = 1 for b^2 <= 0.35, else 0.9 (1-q) for q <= 0.4, else 0.55.
    A negative K is right: the run drags the branch along. Source: Crane TP-410 (2009 on), chapter
    2, converging flow. Raises ImpossibleAmount.
    """
    require_not_negative("flow in the main", run_flow_m3s)
    require_not_negative("flow in the branch", branch_flow_m3s)
    require_positive("joined flow", run_flow_m3s + branch_flow_m3s)
    require_positive("bore of the branch", branch_diameter_m)
    if not 0 < angle_degrees <= 90:
        raise ImpossibleAmount("A branch joins at an angle above 0 and up to 90 degrees.")
    joined_m3s = run_flow_m3s + branch_flow_m3s
    velocity_ms = pipe_velocity(joined_m3s, main_diameter_m)
    share = branch_flow_m3s / joined_m3s
    bore_ratio = (branch_diameter_m / main_diameter_m) ** 2
    branch_k = _branch_k(share, bore_ratio, angle_degrees)
    run_k = _run_k(share, bore_ratio, angle_degrees)
    speed_head_m = velocity_head(velocity_ms)
    return BranchLoss(branch_k, run_k, velocity_ms, branch_k * speed_head_m, run_k * speed_head_m)


def _branch_k(share: float, bore_ratio: float, angle_degrees: float) -> float:
    pull = _pull(angle_degrees)
    inside = 1 + (share / bore_ratio) ** 2 - 2 * (1 - share) ** 2 - pull / bore_ratio * share**2
    if bore_ratio <= 0.35:
        return inside
    return (0.9 * (1 - share) if share <= 0.4 else 0.55) * inside


def _run_k(share: float, bore_ratio: float, angle_degrees: float) -> float:
    if angle_degrees >= STEEP_DEGREES:
        return 1.55 * share - share**2
    return 1 - (1 - share) ** 2 - _pull(angle_degrees) / bore_ratio * share**2


def _pull(angle_degrees: float) -> float:
    return BRANCH_F.get(angle_degrees, 2 * math.cos(math.radians(angle_degrees)))
