"""Published soil tests: auger hole, percolation hole, trial pit."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.soakage.pit import Pit, refuse_impossible_void_ratio
from drainservice.engine.soakage.rate import find_rate_from_readings


class SoilTestIsImpossible(ValueError):
    """A hole, a depth or a time of a soil test that cannot be."""


def find_rate_by_auger_hole(
    seconds: Sequence[float], depths_m: Sequence[float], radius_m: float
) -> float:
    """Conductivity by the inversed auger-hole (Porchet) method, m/s.

    K = (r/2) ln[(h0 + r/2) / (ht + r/2)] / (t - t0), printed in the handbook as
    K = 1.15 r [log(h0 + r/2) - log(ht + r/2)] / (t - t0); 1.15 there is ln(10)/2 rounded.
    With more than two readings the slope is fitted by least squares.

    seconds, depths_m: shape (n,), n >= 2, depth of water above the bottom of the hole.
    Raises SoilTestIsImpossible and the errors of rate.find_rate_from_readings.
    Source: ILRI Publication 16, Drainage Principles and Applications, ch. 12 (from memory).
    """
    _refuse_unless_positive(radius_m, "radius of the hole")
    # A round hole of radius r full of water alone is a pit with n = 1 and A/x = r/2.
    hole = Pit(math.pi * radius_m**2, 2.0 * math.pi * radius_m, 1.0)
    return find_rate_from_readings(seconds, depths_m, hole).rate_ms


def find_rate_by_percolation_test(
    hole_depth_m: float,
    depth_to_water_start_m: float,
    depth_to_water_end_m: float,
    radius_m: float,
    seconds: float,
) -> float:
    """Infiltration rate from a percolation-test hole (hand form of Porchet), m/s.

    I = dH r / (dt (r + 2 Havg)), Havg the mean water depth, dH the fall in dt

    Depths to water are read down from the top of the hole.
    Raises SoilTestIsImpossible.
    Source: Riverside County LID BMP Design Handbook, appendix A (from memory, verified
    numerically: 0.37 in/h).
    """
    _refuse_unless_positive(radius_m, "radius of the hole")
    _refuse_unless_positive(seconds, "time between the two readings")
    start = hole_depth_m - depth_to_water_start_m
    end = hole_depth_m - depth_to_water_end_m
    if depth_to_water_start_m < 0.0 or end < 0.0:
        raise SoilTestIsImpossible(
            "The water must stand between the top and the bottom of the hole; measure again."
        )
    if start <= end:
        raise SoilTestIsImpossible(
            "The water did not fall between the two readings: wait longer, or the two depths were "
            "swapped (they are read down from the top of the hole)."
        )
    return (start - end) * radius_m / (seconds * (radius_m + start + end))


def find_area_at_half_depth(
    length_m: float, width_m: float, depth_m: float, counts_base: bool
) -> float:
    """Wetted area of a rectangular pit filled to half its depth, m2.

    a50 = 2 (L + W) D / 2, and L W more with the base. A trial pit counts its base, a finished
    soakaway does not, because the base silts up.
    Raises SoilTestIsImpossible. Source: BRE Digest 365 method sheet (5.25 m2 without the base).
    """
    for value, what in ((length_m, "length"), (width_m, "width"), (depth_m, "depth")):
        _refuse_unless_positive(value, f"{what} of the pit")
    base = length_m * width_m if counts_base else 0.0
    return base + (length_m + width_m) * depth_m


@dataclass(frozen=True, slots=True)
class TrialPit:
    """A rectangular trial pit; depth_m from its base to the inlet, void_ratio 1 when unfilled."""

    length_m: float
    width_m: float
    depth_m: float
    void_ratio: float = 1.0


def find_rate_by_trial_pit(pit: TrialPit, time_75_to_25_s: float) -> float:
    """Soil infiltration rate from a trial pit, m/s.

    f = V75-25 / (a50 t75-25), V75-25 = n L W D / 2, a50 with the base

    Raises SoilTestIsImpossible, PitCannotExist. Source: BRE Digest 365 method sheet.
    """
    refuse_impossible_void_ratio(pit.void_ratio)
    _refuse_unless_positive(time_75_to_25_s, "time from three quarters to one quarter full")
    area = find_area_at_half_depth(pit.length_m, pit.width_m, pit.depth_m, counts_base=True)
    volume = pit.void_ratio * pit.length_m * pit.width_m * pit.depth_m / 2.0
    return volume / (area * time_75_to_25_s)


def choose_slowest_rate(rates_ms: Sequence[float]) -> float:
    """The rate to design with when a trial pit was filled several times: the lowest, m/s.

    Source: BRE Digest 365 (three fillings, the lowest value counts; from memory).
    """
    if not rates_ms:
        raise SoilTestIsImpossible("Give at least one measured rate.")
    return min(rates_ms)


def find_half_empty_time(storage_m3: float, area_50_m2: float, rate_ms: float) -> float:
    """Time for a full soakaway to be half empty, t = 0.5 S / (a50 f), s.

    storage_m3: water stored when full; area_50_m2: walls to half depth without the base.
    Source: BRE Digest 365 method sheet (37 min); half empty within 24 h (from memory).
    """
    _refuse_unless_positive(storage_m3, "storage")
    _refuse_unless_positive(area_50_m2, "soaking area")
    _refuse_unless_positive(rate_ms, "soakage rate")
    return 0.5 * storage_m3 / (area_50_m2 * rate_ms)


def _refuse_unless_positive(value: float, what: str) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise SoilTestIsImpossible(f"The {what} must be a number above zero; measure it again.")
