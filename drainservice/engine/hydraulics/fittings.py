"""Head lost in fittings and valves, after Crane's loss coefficients K = n f_T."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from drainservice.engine.hydraulics.amounts import ImpossibleAmount, require_positive
from drainservice.engine.hydraulics.friction import turbulent_friction_factor
from drainservice.engine.hydraulics.water import DENSITY_KGM3
from drainservice.engine.units import FOOT_M

# Clean commercial steel, on which Crane's f_T rests whatever the pipe is made of.
CRANE_ROUGHNESS_M: Final = 0.00015 * FOOT_M
# Inside diameters of schedule 40 pipe (ASME B36.10 / ASTM D1785), inches; from memory.
SCHEDULE_40_BORE_IN: Final = {
    "1": 1.049,
    "1-1/4": 1.380,
    "1-1/2": 1.610,
    "2": 2.067,
    "2-1/2": 2.469,
    "3": 3.068,
    "4": 4.026,
    "6": 6.065,
}


class FittingKind(StrEnum):
    """What a line is put together with."""

    ELBOW_90 = "elbow_90"
    ELBOW_45 = "elbow_45"
    LONG_ELBOW_90 = "long_elbow_90"
    TEE_RUN = "tee_run"
    TEE_BRANCH = "tee_branch"
    SWING_CHECK = "swing_check"
    SWING_CHECK_CLEARWAY = "swing_check_clearway"
    LIFT_CHECK = "lift_check"
    ANGLE_LIFT_CHECK = "angle_lift_check"
    GATE_VALVE = "gate_valve"
    BALL_VALVE = "ball_valve"
    GLOBE_VALVE = "globe_valve"
    UNION = "union"
    ENTRY = "entry"
    EXIT = "exit"


# Equivalent lengths in diameters, n in K = n f_T. Source: Crane TP-410, from memory; the long
# elbow is a bend of 1.5 diameters.
CRANE_DIAMETERS: Final = {
    FittingKind.ELBOW_90: 30.0,
    FittingKind.ELBOW_45: 16.0,
    FittingKind.LONG_ELBOW_90: 14.0,
    FittingKind.TEE_RUN: 20.0,
    FittingKind.TEE_BRANCH: 60.0,
    FittingKind.SWING_CHECK: 100.0,
    FittingKind.SWING_CHECK_CLEARWAY: 50.0,
    FittingKind.LIFT_CHECK: 600.0,
    FittingKind.ANGLE_LIFT_CHECK: 55.0,
    FittingKind.GATE_VALVE: 8.0,
    FittingKind.BALL_VALVE: 3.0,
    FittingKind.GLOBE_VALVE: 340.0,
}
# K that does not depend on the pipe. Source: Crane TP-410, from memory; the union is judgement.
FIXED_K: Final = {FittingKind.ENTRY: 0.5, FittingKind.EXIT: 1.0, FittingKind.UNION: 0.04}
# Speed that holds a valve fully open: v = c beta^2 / sqrt(density), m/s and kg/m3.
# Source: Crane TP-410M, as carried by the `fluids` library.
LIFTING_CONSTANT: Final = {
    FittingKind.SWING_CHECK: 45.0,
    FittingKind.SWING_CHECK_CLEARWAY: 75.0,
    FittingKind.LIFT_CHECK: 50.0,
    FittingKind.ANGLE_LIFT_CHECK: 170.0,
}


class NotACheckValve(ValueError):
    """A minimum speed was asked for something that has no flap or disc to lift."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """So many fittings of one kind; `seat_share` is seat diameter over pipe diameter."""

    kind: FittingKind
    count: int = 1
    seat_share: float = 1.0


def crane_friction_factor(inside_diameter_m: float) -> float:
    """Crane's f_T: the Darcy factor of fully rough flow in clean steel pipe of that bore.

    Equation: 0.25 / log10(3.7 D / 0.00015 ft)^2. Source: Crane TP-410. Raises ImpossibleAmount.
    """
    require_positive("inside diameter", inside_diameter_m)
    return turbulent_friction_factor(CRANE_ROUGHNESS_M / inside_diameter_m)


def fitting_k(fitting: Fitting, inside_diameter_m: float) -> float:
    """Loss coefficient of all `count` fittings together, on the pipe's own velocity.

    Equation: K = n f_T; with a seat narrower than the pipe (share b)
    K = (n f_T + b [0.5 (1 - b^2) + (1 - b^2)^2]) / b^4. Source: Crane TP-410. Raises
    ImpossibleAmount.
    """
    if fitting.count < 0 or not 0 < fitting.seat_share <= 1:
        raise ImpossibleAmount(
            f"{fitting.count} x {fitting.kind} with a seat of {fitting.seat_share:g} of the pipe "
            "cannot be; count from 0 up, and a seat above 0 and up to 1."
        )
    if fitting.kind in FIXED_K:
        return fitting.count * FIXED_K[fitting.kind]
    full_k = CRANE_DIAMETERS[fitting.kind] * crane_friction_factor(inside_diameter_m)
    b = fitting.seat_share
    return fitting.count * (full_k + b * (0.5 * (1 - b**2) + (1 - b**2) ** 2)) / b**4


def equivalent_length(k: float, inside_diameter_m: float, friction_factor: float) -> float:
    """Straight pipe that loses as much, m: L = K D / f. Raises ImpossibleAmount."""
    require_positive("inside diameter", inside_diameter_m)
    require_positive("friction factor", friction_factor)
    return k * inside_diameter_m / friction_factor


def enlargement_k(small_diameter_m: float, large_diameter_m: float) -> float:
    """Sudden enlargement, on the velocity in the smaller pipe: K = (1 - b^2)^2.

    Source: Borda and Carnot; Crane TP-410. Raises ImpossibleAmount.
    """
    return (1 - _narrowing(small_diameter_m, large_diameter_m) ** 2) ** 2


def contraction_k(small_diameter_m: float, large_diameter_m: float) -> float:
    """Sudden contraction, on the velocity in the smaller pipe: K = 0.5 (1 - b^2).

    Source: Crane TP-410. Raises ImpossibleAmount.
    """
    return 0.5 * (1 - _narrowing(small_diameter_m, large_diameter_m) ** 2)


def lifting_velocity(
    kind: FittingKind, density_kgm3: float = DENSITY_KGM3, seat_share: float = 1.0
) -> float:
    """Least velocity in the pipe, m/s, that holds the check valve fully open; below it chatters.

    Equation: v = c / sqrt(rho), times b^2 for lift valves. Source: Crane TP-410M; the constants
    by `LIFTING_CONSTANT`. Raises NotACheckValve, ImpossibleAmount.
    """
    require_positive("density", density_kgm3)
    require_positive("seat share", seat_share)
    if kind not in LIFTING_CONSTANT:
        raise NotACheckValve(f"A {kind} has nothing to lift; name the kind of check valve.")
    is_lift = kind in (FittingKind.LIFT_CHECK, FittingKind.ANGLE_LIFT_CHECK)
    lifted = seat_share**2 if is_lift else 1.0
    return LIFTING_CONSTANT[kind] * lifted / math.sqrt(density_kgm3)


def _narrowing(small_diameter_m: float, large_diameter_m: float) -> float:
    require_positive("smaller diameter", small_diameter_m)
    require_positive("larger diameter", large_diameter_m)
    if small_diameter_m > large_diameter_m:
        raise ImpossibleAmount("The smaller pipe is wider than the larger one; swap the two.")
    return small_diameter_m / large_diameter_m
