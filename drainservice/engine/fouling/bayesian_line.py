"""A straight line through any number of readings, none included, with known noise."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

# No pit lasts so long; a crossing beyond it is never.
FARTHEST_YEARS = 1e6


class ReadingsAreMuddled(ValueError):
    """Readings without a time or an error of their own, or not numbers."""


class PriorIsImpossible(ValueError):
    """A prior whose spread is not above zero."""


class ChanceIsImpossible(ValueError):
    """A chance that does not lie between 0 and 1."""


@dataclass(frozen=True, slots=True)
class LinePrior:
    """What is believed of intercept and slope before any reading: mean and sd, independent."""

    intercept_mean: float
    intercept_sd: float
    slope_mean: float
    slope_sd: float

    def __post_init__(self) -> None:
        for sd in (self.intercept_sd, self.slope_sd):
            if not (math.isfinite(sd) and sd > 0.0):
                raise PriorIsImpossible("A spread must be a number above zero.")
        if not (math.isfinite(self.intercept_mean) and math.isfinite(self.slope_mean)):
            raise PriorIsImpossible("The expected start and the expected slope must be numbers.")


@dataclass(frozen=True, slots=True)
class Line:
    """Intercept and slope as one normal distribution: means, sds, covariance."""

    intercept: float
    slope: float
    intercept_sd: float
    slope_sd: float
    covariance: float

    def find_value(self, years: float) -> float:
        """Expected value of the line at a time."""
        return self.intercept + self.slope * years

    def find_sd(self, years: float) -> float:
        """Standard deviation of the line itself at a time (noise of a reading not included)."""
        variance = self.intercept_sd**2 + years * (2.0 * self.covariance + years * self.slope_sd**2)
        return math.sqrt(max(variance, 0.0))

    def find_chance_above(self, limit: float, years: float) -> float:
        """Chance that the line stands at or above the limit at a time."""
        z = (self.find_value(years) - limit) / self.find_sd(years)
        return 0.5 * math.erfc(-z / math.sqrt(2.0))


def fit_line(
    years: Sequence[float],
    values: Sequence[float],
    noise_sds: Sequence[float],
    prior: LinePrior,
) -> Line:
    """Posterior of intercept a and slope b for y_i = a + b t_i + e_i, e_i ~ N(0, s_i^2).

    precision  P = diag(1/s_a^2, 1/s_b^2) + sum_i [1, t_i; t_i, t_i^2] / s_i^2
    mean       P^-1 (prior precision * prior mean + sum_i [1; t_i] y_i / s_i^2)

    years, values, noise_sds: shape (n,), n >= 0, in any order; with n = 0 the prior comes back.
    Raises ReadingsAreMuddled, PriorIsImpossible.
    Source: conjugate normal linear model with known noise (closed form, any textbook).
    """
    if not len(years) == len(values) == len(noise_sds):
        raise ReadingsAreMuddled("Each reading needs its time and its error; one is missing.")
    if not all(math.isfinite(x) for x in (*years, *values)):
        raise ReadingsAreMuddled("A reading or its time is missing; leave out what was not read.")
    if not all(math.isfinite(s) and s > 0.0 for s in noise_sds):
        raise ReadingsAreMuddled("The error of a reading must be a number above zero.")
    weights = [1.0 / s**2 for s in noise_sds]
    p_aa = 1.0 / prior.intercept_sd**2 + math.fsum(weights)
    p_ab = math.fsum(w * t for w, t in zip(weights, years, strict=True))
    p_bb = 1.0 / prior.slope_sd**2 + math.fsum(
        w * t * t for w, t in zip(weights, years, strict=True)
    )
    r_a = prior.intercept_mean / prior.intercept_sd**2 + math.fsum(
        w * y for w, y in zip(weights, values, strict=True)
    )
    r_b = prior.slope_mean / prior.slope_sd**2 + math.fsum(
        w * t * y for w, t, y in zip(weights, years, values, strict=True)
    )
    det = p_aa * p_bb - p_ab**2
    return Line(
        intercept=(p_bb * r_a - p_ab * r_b) / det,
        slope=(p_aa * r_b - p_ab * r_a) / det,
        intercept_sd=math.sqrt(p_bb / det),
        slope_sd=math.sqrt(p_aa / det),
        covariance=-p_ab / det,
    )


def find_crossing(line: Line, limit: float, chance: float, from_years: float = 0.0) -> float:
    """First time from from_years on at which the line stands above the limit with that chance.

    Root of a + b t - L - z sqrt(s_a^2 + 2 c t + s_b^2 t^2), with Phi(z) = chance.
    For lines that rise, "stands above" and "has crossed" are the same. Returns from_years where
    the chance is reached there already, and inf where it never is (a chance above Phi(b / s_b),
    that of the line rising at all, is reached only where the start alone reaches it).
    Raises ChanceIsImpossible. Source: normal distribution of the line; bisection.
    """
    if not 0.0 < chance < 1.0:
        raise ChanceIsImpossible("A chance must lie between 0 and 1, such as 0.10.")
    from statistics import NormalDist

    z = NormalDist().inv_cdf(chance)
    if _find_margin(line, limit, z, from_years) >= 0.0:
        return from_years
    end = _find_time_above(line, limit, z, from_years)
    return end if math.isinf(end) else _bisect(line, limit, z, from_years, end)


def _find_margin(line: Line, limit: float, z: float, years: float) -> float:
    """How far the line, lowered by z of its standard deviations, stands above the limit."""
    return line.find_value(years) - limit - z * line.find_sd(years)


def _find_time_above(line: Line, limit: float, z: float, from_years: float) -> float:
    """A time at which the margin is not negative, with one root before it; inf if there is none.

    The margin bends one way only (downward for z > 0), so that it has one root at most on its
    way up to its far end, or to its top where it has one.
    """
    if line.slope - z * line.slope_sd > 0.0:
        step = 1.0
        while step < FARTHEST_YEARS:
            if _find_margin(line, limit, z, from_years + step) >= 0.0:
                return from_years + step
            step *= 2.0
        return math.inf
    if z <= 0.0 or abs(line.slope) >= z * line.slope_sd:
        return math.inf
    middle = -line.covariance / line.slope_sd**2
    least_sd = line.find_sd(middle)
    reach = math.sqrt((z * line.slope_sd) ** 2 - line.slope**2)
    top = middle + line.slope * least_sd / (line.slope_sd * reach)
    is_reached = top > from_years and _find_margin(line, limit, z, top) >= 0.0
    return top if is_reached else math.inf


def _bisect(line: Line, limit: float, z: float, below: float, above: float) -> float:
    """The root of the margin between a time below the limit and one above it."""
    while above - below > 1e-12 * max(1.0, abs(above)):
        middle = 0.5 * (below + above)
        if _find_margin(line, limit, z, middle) < 0.0:
            below = middle
        else:
            above = middle
    return above
