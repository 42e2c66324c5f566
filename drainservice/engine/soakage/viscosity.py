"""Readings brought to 20 C, because cold water soaks more slowly than warm."""

import math

REFERENCE_C = 20.0
# Supercooled water and steam are left out although the formula covers -20 C to 110 C.
COLDEST_C = 0.0
WARMEST_C = 60.0
# (a, b): viscosity = sum a (T / 300 K)^b, in 1e-6 Pa s.
TERMS = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))


class WaterTemperatureIsImpossible(ValueError):
    """Water in a pit lies between freezing and 60 C."""


def find_water_viscosity(temperature_c: float) -> float:
    """Dynamic viscosity of liquid water at 0.1 MPa, Pa s.

    mu = 1e-6 sum a_i (T / 300 K)^b_i, T in kelvin

    Raises WaterTemperatureIsImpossible outside 0 to 60 C.
    Source: IAPWS SR6-08(2011), liquid water at 0.1 MPa (Patek et al. 2009), eq. for viscosity
    (from memory; checked against handbook values at seven temperatures).
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise WaterTemperatureIsImpossible(
            "The water temperature must lie between freezing and 60 C (140 F); measure it again, "
            "and look whether Fahrenheit and Celsius were swapped."
        )
    share = (temperature_c + 273.15) / 300.0
    return 1e-6 * math.fsum(a * share**b for a, b in TERMS)


def reduce_time_to_20c(time_s: float, temperature_c: float) -> float:
    """A drain time as it would be with water of 20 C, t20 = t mu(20) / mu(T), s.

    Soakage goes with the inverse of viscosity (hydraulic conductivity K = k rho g / mu; the
    density changes by less than 1 % and is left out).
    """
    return time_s * find_water_viscosity(REFERENCE_C) / find_water_viscosity(temperature_c)


def reduce_rate_to_20c(rate_ms: float, temperature_c: float) -> float:
    """A soakage rate as it would be with water of 20 C, f20 = f mu(T) / mu(20), m/s."""
    return rate_ms * find_water_viscosity(temperature_c) / find_water_viscosity(REFERENCE_C)
