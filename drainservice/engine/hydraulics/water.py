"""Water itself: its density, its viscosity, and the power it takes to lift it."""

import math
from typing import Final

from drainservice.engine.hydraulics.amounts import (
    ImpossibleAmount,
    require_not_negative,
    require_positive,
)
from drainservice.engine.units import GRAVITY_MS2

# At 20 degrees Celsius; handbook values, from memory.
DENSITY_KGM3: Final = 998.2
VISCOSITY_M2S: Final = 1.004e-6


def water_density(temperature_c: float) -> float:
    """Density of clean water, kg/m3, for 0 to 40 degrees Celsius.

    Equation: 999.974950 [1 - (T - 3.983035)^2 (T + 301.797) / (522528.9 (T + 69.34881))].
    Source: Tanaka and others, Metrologia 38 (2001) 301; from memory.
    Raises ImpossibleAmount outside 0 to 100 degrees.
    """
    _require_liquid(temperature_c)
    below = (temperature_c - 3.983035) ** 2 * (temperature_c + 301.797)
    return 999.974950 * (1 - below / (522528.9 * (temperature_c + 69.34881)))


def water_viscosity(temperature_c: float) -> float:
    """Kinematic viscosity of clean water, m2/s, good to about 2 %.

    Equation: mu = 2.414e-5 * 10^(247.8 / (T_K - 140)) Pa s, divided by the density.
    Source: Vogel's equation for water as handbooks carry it; from memory.
    Raises ImpossibleAmount outside 0 to 100 degrees.
    """
    dynamic_pas = 2.414e-5 * math.pow(10.0, 247.8 / (temperature_c + 273.15 - 140))
    return dynamic_pas / water_density(temperature_c)


def brake_power(
    flow_m3s: float, head_m: float, efficiency: float, density_kgm3: float = DENSITY_KGM3
) -> float:
    """Power at the pump's shaft, W: P = rho g Q H / efficiency. Source: hydraulics handbooks.

    Efficiency above 0 and up to 1. Raises ImpossibleAmount.
    """
    require_not_negative("flow", flow_m3s)
    require_not_negative("head", head_m)
    require_positive("efficiency", efficiency)
    require_positive("density", density_kgm3)
    if efficiency > 1:
        raise ImpossibleAmount("An efficiency is at most 1; enter 70 % as 0.70.")
    return density_kgm3 * GRAVITY_MS2 * flow_m3s * head_m / efficiency


def _require_liquid(temperature_c: float) -> None:
    if not 0 <= temperature_c <= 100:
        raise ImpossibleAmount(
            f"Water at {temperature_c:g} degrees Celsius does not flow; measure it again."
        )
