"""Age and use: pumps that wear, counted from the day they were installed."""

import math

from drainservice.engine.failure_mode import FailureMode
from drainservice.engine.reliability.checked import not_negative, positive
from drainservice.engine.reliability.rates import NOMINAL

# Judgement, no source.
PUMP_SHAPE = 2.0
PUMP_SCALE_A = 12.0
OLD_AFTER_A = 8.0
STARTS_OF_A_LIFE = 1e5
MANY_STARTS = 2.0


def weibull_hazard(age_a: float, shape: float, scale_a: float) -> float:
    """Cumulative hazard H(A) = (A/eta)^beta, age and eta in years."""
    return float((not_negative("age", age_a) / positive("scale", scale_a)) ** shape)


def failure_chance_over(age_a: float, interval_a: float, shape: float, scale_a: float) -> float:
    """Chance that a pump alive at age A fails within T: 1 - exp(H(A) - H(A+T))."""
    return -math.expm1(
        weibull_hazard(age_a, shape, scale_a) - weibull_hazard(age_a + interval_a, shape, scale_a)
    )


def mean_unavailability_ageing(
    age_a: float, interval_a: float, shape: float, scale_a: float
) -> float:
    """U = (1/T) int_0^T [1 - exp(H(A) - H(A+t))] dt, alive at age A; years.

    Gauss-Legendre of 64 points; exact to machine precision for shapes of 1 and more. New unit:
    about (T/eta)^beta/(beta+1).
    """
    from scipy.special import roots_legendre  # type: ignore[import-untyped, unused-ignore]

    half = positive("interval", interval_a) / 2
    nodes, weights = roots_legendre(64)
    dead = [
        failure_chance_over(age_a, half * (1 + node), positive("shape", shape), scale_a)
        for node in nodes
    ]
    return float(sum(w * d for w, d in zip(weights, dead, strict=True))) / 2


def new_unit_rule(interval_a: float, shape: float, scale_a: float) -> float:
    """The approximation (T/eta)^beta/(beta+1) for a new unit."""
    return weibull_hazard(interval_a, shape, scale_a) / (shape + 1)


def exposure_of_pump(
    from_age_a: float, to_age_a: float, rate_per_a: float, scale_a: float = PUMP_SCALE_A
) -> float:
    """Expected failures of the pump itself between two ages, at theta 1.

    Up to two thirds of `scale_a` (8 of 12 years) the rate is constant; from then on
    H = (A/eta)^beta, beta 2, eta = scale_a, times the factors the rate carries (rate over the
    nominal 0.06). Judgement, no source.
    """
    old_after_a = OLD_AFTER_A * positive("scale of ageing", scale_a) / PUMP_SCALE_A
    young = min(to_age_a, old_after_a) - min(from_age_a, old_after_a)
    worn = weibull_hazard(max(to_age_a, old_after_a), PUMP_SHAPE, scale_a) - weibull_hazard(
        max(from_age_a, old_after_a), PUMP_SHAPE, scale_a
    )
    return rate_per_a * (young + worn / NOMINAL[FailureMode.PUMP].rate_per_a)


def wear_from_use(
    starts: float,
    hours: float,
    life_hours: float,
    life_starts: float = STARTS_OF_A_LIFE,
) -> float:
    """Share of a life used: starts/life_starts + hours/life_hours; 1e5 starts is judgement."""
    used_starts = not_negative("starts", starts) / positive("starts in a life", life_starts)
    return used_starts + not_negative("hours", hours) / positive("hours in a life", life_hours)


def starts_are_too_many(counted: float, expected: float) -> bool:
    """True above twice the starts the rain explains: leaking valve, stuck float, groundwater."""
    return expected > 0 and counted / expected > MANY_STARTS


def replacement_is_wise(chance_over_interval: float, target: float) -> bool:
    """True when the failure chance over the next interval exceeds twice the target; judgement."""
    return chance_over_interval > 2 * target
