"""How much water a rain brings: roofs, paved ground and soil."""

import math
from collections.abc import Sequence

from drainservice.engine.units import INCH_M

# Share of the rain a roof hands to its downspouts; handbooks give 0.85 to 0.95.
ROOF_COEFFICIENT = 0.90
# Initial abstraction over potential retention in the curve number method (NRCS TR-55, 1986).
ABSTRACTION_SHARE = 0.2


class RunoffInputImpossible(ValueError):
    """A rain, area, coefficient or curve number that cannot exist."""


def roof_runoff_m3(roof_area_m2: float, rain_m: float, coefficient: float = 1.0) -> float:
    """Volume off a roof: V = C A P (0.6234 gal per square foot and inch at C = 1).

    Area in m2, rain in m, coefficient from 0 to 1; volume in m3.
    Source: geometry; the coefficient (0.85 to 0.95 for roofs) is handbook custom.
    Raises RunoffInputImpossible.
    """
    _need_not_negative("The roof area", roof_area_m2)
    _need_not_negative("The rain", rain_m)
    _need_share(coefficient)
    return coefficient * roof_area_m2 * rain_m


def rational_flow_m3s(coefficient: float, intensity_ms: float, area_m2: float) -> float:
    """Peak flow by the rational method: Q = C i A.

    Intensity in m/s, area in m2, flow in m3/s. In consistent units the factor is exactly one;
    the customary Q[ft3/s] = C i[in/h] A[acre] leaves out a factor of 1.00833.
    Source: the rational method as in any drainage manual. Raises RunoffInputImpossible.
    """
    _need_share(coefficient)
    _need_not_negative("The rain intensity", intensity_ms)
    _need_not_negative("The area", area_m2)
    return coefficient * intensity_ms * area_m2


def potential_retention_m(curve_number: float) -> float:
    """S = 1000/CN - 10 in inches, given in m. Source: NRCS TR-55 (1986), equation 2-4."""
    if not 0.0 < curve_number <= 100.0:
        raise RunoffInputImpossible(
            f"A curve number lies above 0 and at most at 100, not {curve_number:g}."
        )
    return (1000.0 / curve_number - 10.0) * INCH_M


def curve_number_runoff_m(
    rain_m: float, curve_number: float, abstraction_share: float = ABSTRACTION_SHARE
) -> float:
    """Runoff depth by curve number: Q = (P - 0.2 S)^2 / (P + 0.8 S), zero up to P = 0.2 S.

    Rain and runoff in m over the whole area; CN 98 is a roof or pavement.
    Source: NRCS TR-55 (1986), equations 2-1 to 2-4. Raises RunoffInputImpossible.
    """
    _need_not_negative("The rain", rain_m)
    _need_share(abstraction_share)
    retention_m = potential_retention_m(curve_number)
    excess_m = rain_m - abstraction_share * retention_m
    if excess_m <= 0.0:
        return 0.0
    return excess_m**2 / (excess_m + retention_m)


def weighted_curve_number(areas_m2: Sequence[float], curve_numbers: Sequence[float]) -> float:
    """Curve number of ground of several kinds, weighted by area.

    Source: NRCS TR-55 (1986), worksheet 2. Raises RunoffInputImpossible.
    """
    if len(areas_m2) != len(curve_numbers) or not areas_m2:
        raise RunoffInputImpossible("Give as many curve numbers as areas, and at least one.")
    for area_m2 in areas_m2:
        _need_not_negative("An area", area_m2)
    total_m2 = sum(areas_m2)
    if total_m2 <= 0.0:
        raise RunoffInputImpossible("At least one area must be larger than nothing.")
    return sum(a * n for a, n in zip(areas_m2, curve_numbers, strict=True)) / total_m2


def _need_not_negative(what: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0.0):
        raise RunoffInputImpossible(f"{what} is a number not below zero, not {value!r}.")


def _need_share(coefficient: float) -> None:
    if not 0.0 <= coefficient <= 1.0:
        raise RunoffInputImpossible(
            f"A runoff coefficient lies between 0 and 1, not at {coefficient!r}."
        )
