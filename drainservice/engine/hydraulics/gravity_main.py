"""A main that flows by its own fall: Manning, full and part full."""

import math
from dataclasses import dataclass
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_not_negative,
    require_positive,
)
from drainservice.engine.hydraulics.roots import find_root

# Manning's n, from memory: PVC, and concrete.
N_PVC: Final = 0.010
N_CONCRETE: Final = 0.013
# The wetted angle at which a round pipe carries most: 302.41 degrees, depth 0.938 D.
FULLEST_ANGLE: Final = 5.278107


class MainOverfull(ValueError):
    """More water than the main carries under its own fall."""


@dataclass(frozen=True, slots=True)
class PartFull:
    """Uniform flow in a round pipe."""

    flow_m3s: float
    depth_m: float
    area_m2: float
    hydraulic_radius_m: float
    velocity_ms: float


def full_flow(inside_diameter_m: float, slope: float, manning_n: float) -> float:
    """Capacity of the full pipe, m3/s: Q = A R^(2/3) S^(1/2) / n with R = D/4.

    (In feet the same with 1.486.) Source: Manning; hydraulics handbooks. Raises ImpossibleAmount.
    """
    return _flow_at_angle(2 * math.pi, inside_diameter_m, slope, manning_n).flow_m3s


def flow_at_depth(
    depth_m: float, inside_diameter_m: float, slope: float, manning_n: float
) -> PartFull:
    """Uniform flow at that depth. With theta the wetted angle: depth D/2 (1 - cos(theta/2)),
    A = D^2/8 (theta - sin theta), R = D/4 (1 - sin theta/theta). Raises ImpossibleAmount.
    """
    require_positive("inside diameter", inside_diameter_m)
    if not 0 <= depth_m <= inside_diameter_m:
        raise ImpossibleAmount("The depth in the main must lie between its invert and its crown.")
    angle = 2 * math.acos(1 - 2 * depth_m / inside_diameter_m)
    return _flow_at_angle(angle, inside_diameter_m, slope, manning_n)


def depth_at_flow(
    flow_m3s: float, inside_diameter_m: float, slope: float, manning_n: float
) -> PartFull:
    """The (lower) uniform depth at that flow, up to 1.076 of full capacity at 0.938 D.

    Raises MainOverfull, ImpossibleAmount.
    """
    require_not_negative("flow in the main", flow_m3s)
    most = _flow_at_angle(FULLEST_ANGLE, inside_diameter_m, slope, manning_n)
    if flow_m3s > most.flow_m3s:
        raise MainOverfull(
            f"The main carries {most.flow_m3s * 1000:.2f} L/s by its fall, not "
            f"{flow_m3s * 1000:.2f}; it stands under pressure."
        )
    if flow_m3s == 0:
        return _flow_at_angle(0.0, inside_diameter_m, slope, manning_n)

    def excess_m3s(angle: float) -> float:
        return _flow_at_angle(angle, inside_diameter_m, slope, manning_n).flow_m3s - flow_m3s

    angle = (
        find_root(excess_m3s, 0.0, FULLEST_ANGLE)
        if excess_m3s(FULLEST_ANGLE) > 0
        else (FULLEST_ANGLE)
    )
    return _flow_at_angle(angle, inside_diameter_m, slope, manning_n)


def pressure_slope(
    flow_m3s: float, inside_diameter_m: float, slope: float, manning_n: float
) -> float:
    """Fall of the hydraulic grade line in the full main, m/m: S (Q/Q_full)^2."""
    require_not_negative("flow in the main", flow_m3s)
    return slope * (flow_m3s / full_flow(inside_diameter_m, slope, manning_n)) ** 2


def _flow_at_angle(
    angle: float, inside_diameter_m: float, slope: float, manning_n: float
) -> PartFull:
    require_positive("inside diameter", inside_diameter_m)
    require_positive("slope of the main", slope)
    require_positive("Manning's n", manning_n)
    depth_m = inside_diameter_m / 2 * (1 - math.cos(angle / 2))
    area_m2 = inside_diameter_m**2 / 8 * (angle - math.sin(angle))
    if angle == 0 or area_m2 <= 0:
        return PartFull(0.0, depth_m, 0.0, 0.0, 0.0)
    radius_m = inside_diameter_m / 4 * (1 - math.sin(angle) / angle)
    velocity_ms = radius_m ** (2 / 3) * math.sqrt(slope) / manning_n
    return PartFull(area_m2 * velocity_ms, depth_m, area_m2, radius_m, velocity_ms)
