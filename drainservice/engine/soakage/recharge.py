"""Recharge of a volume of rain through the bottom of a store."""

import math


class RechargeIsImpossible(ValueError):
    """A depth, an area, a volume or a rate that cannot be."""


def find_recharge_volume(rain_m: float, area_m2: float) -> float:
    """Water to be taken in from a depth of rain on an area, Rv = F A, m3.

    Source: Massachusetts Stormwater Handbook (0.6 in on 0.75 acre = 1,633.5 ft3).
    """
    _refuse_unless_positive(area_m2, "drained area")
    if not (math.isfinite(rain_m) and rain_m >= 0.0):
        raise RechargeIsImpossible("A depth of rain cannot be negative; look at it again.")
    return rain_m * area_m2


def find_exfiltration(bottom_area_m2: float, rate_ms: float) -> float:
    """Flow out through the bottom, Q = K A, m3/s. Source: Massachusetts Stormwater Handbook."""
    _refuse_unless_positive(bottom_area_m2, "area of the bottom")
    _refuse_unless_positive(rate_ms, "soakage rate")
    return bottom_area_m2 * rate_ms


def find_drawdown_time(volume_m3: float, bottom_area_m2: float, rate_ms: float) -> float:
    """Time for a volume to leave through the bottom, T = Rv / (K A), s.

    Source: Massachusetts Stormwater Handbook, drawdown within 72 h.
    """
    if not (math.isfinite(volume_m3) and volume_m3 >= 0.0):
        raise RechargeIsImpossible("A volume cannot be negative; look at it again.")
    return volume_m3 / find_exfiltration(bottom_area_m2, rate_ms)


def _refuse_unless_positive(value: float, what: str) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise RechargeIsImpossible(f"The {what} must be a number above zero; measure it again.")
