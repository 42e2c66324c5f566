"""Theil-Sen line and Mann-Kendall count: a trend that one odd reading cannot bend."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

# Up to here the exact chance of S is counted out when no two values are equal.
LARGEST_EXACT = 30


class TooFewReadings(ValueError):
    """Fewer readings, or fewer different times, than a trend needs."""


class ReadingIsNotANumber(ValueError):
    """A reading or its time is missing."""


class ConfidenceIsImpossible(ValueError):
    """A confidence that does not lie between 0.5 and 1."""


@dataclass(frozen=True, slots=True)
class TheilSenLine:
    """Median slope with its interval, and all pairwise slopes in rising order."""

    slope: float
    intercept: float
    slope_low: float
    slope_high: float
    pairwise_slopes: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MannKendall:
    """S (pairs that rise less pairs that fall), its variance, z, and the two-sided chances.

    chance_normal: of so large an |S| without a trend, by the normal approximation with continuity.
    chance_exact: the same counted out (equal to chance_normal where values tie or n > 30).
    """

    s: int
    variance: float
    z: float
    chance_normal: float
    chance_exact: float


def fit_theil_sen(x: Sequence[float], y: Sequence[float], confidence: float = 0.90) -> TheilSenLine:
    """Median of all pairwise slopes, intercept median(y) - slope median(x), and an interval.

    The interval takes the slopes of rank (N -+ z sigma) / 2 among the N pairwise ones, with
    sigma^2 = [n(n-1)(2n+5) - sum over ties of t(t-1)(2t+5)] / 18 and z the two-sided normal
    quantile of the confidence. Pairs at equal x are left out.

    x, y: shape (n,), n >= 2, at least two different x. Any units.
    Raises TooFewReadings, ReadingIsNotANumber, ConfidenceIsImpossible.
    Source: Sen (1968); Helsel and Hirsch, USGS TWRI 4-A3, section 10.1.
    """
    _refuse_missing((*x, *y))
    if len(x) != len(y):
        raise ReadingIsNotANumber("Each reading needs its time; one of them is missing.")
    if not 0.5 < confidence < 1.0:
        raise ConfidenceIsImpossible("The confidence must lie between 0.5 and 1, such as 0.90.")
    points = list(zip(x, y, strict=True))
    slopes = sorted(
        (y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in combinations(points, 2) if x1 != x2
    )
    if not slopes:
        raise TooFewReadings("A slope needs readings on at least two different days.")
    from statistics import NormalDist

    n = len(points)
    ties = _count_ties(x) + _count_ties(y)
    sigma = math.sqrt(max(n * (n - 1) * (2 * n + 5) - ties, 0) / 18.0)
    reach = NormalDist().inv_cdf(0.5 + confidence / 2.0) * sigma
    lowest = max(round((len(slopes) - reach) / 2.0) - 1, 0)
    highest = min(round((len(slopes) + reach) / 2.0), len(slopes) - 1)
    slope = find_median(slopes)
    intercept = find_median(y) - slope * find_median(x)
    return TheilSenLine(slope, intercept, slopes[lowest], slopes[highest], tuple(slopes))


def count_mann_kendall(y: Sequence[float]) -> MannKendall:
    """Mann-Kendall test of a series in order of time.

    S = sum over pairs of sign(y_j - y_i), j after i
    var S = [n(n-1)(2n+5) - sum over ties of t(t-1)(2t+5)] / 18;  z = (S - sign S) / sqrt(var S)

    y: shape (n,), n >= 2. Raises TooFewReadings, ReadingIsNotANumber.
    Source: Gilbert, Statistical Methods for Environmental Pollution Monitoring (1987), 16.4.
    """
    _refuse_missing(y)
    n = len(y)
    if n < 2:
        raise TooFewReadings("A trend needs at least two readings.")
    s = sum((later > earlier) - (later < earlier) for earlier, later in combinations(y, 2))
    ties = _count_ties(y)
    variance = (n * (n - 1) * (2 * n + 5) - ties) / 18.0
    z = 0.0 if s == 0 else (s - math.copysign(1.0, s)) / math.sqrt(variance)
    normal = math.erfc(abs(z) / math.sqrt(2.0))
    exact = normal if ties or n > LARGEST_EXACT else _count_exact_chance(n, s)
    return MannKendall(s, variance, z, normal, exact)


def find_median(values: Sequence[float]) -> float:
    """Middle value, or the mean of the two middle ones."""
    ranked = sorted(values)
    half = len(ranked) // 2
    return ranked[half] if len(ranked) % 2 else 0.5 * (ranked[half - 1] + ranked[half])


def _count_exact_chance(n: int, s: int) -> float:
    """Two-sided chance of |S| or more among all n! orders, by counting pairs out of order."""
    orders = [1]
    for k in range(2, n + 1):
        wider = [0] * (len(orders) + k - 1)
        for out_of_order, count in enumerate(orders):
            for more in range(k):
                wider[out_of_order + more] += count
        orders = wider
    pairs = n * (n - 1) // 2
    extreme = sum(c for out, c in enumerate(orders) if abs(pairs - 2 * out) >= abs(s))
    return extreme / math.factorial(n)


def _count_ties(values: Sequence[float]) -> int:
    """Sum of t(t-1)(2t+5) over groups of t equal values."""
    return sum(t * (t - 1) * (2 * t + 5) for t in Counter(values).values())


def _refuse_missing(values: Sequence[float]) -> None:
    if not all(math.isfinite(value) for value in values):
        raise ReadingIsNotANumber("A reading is missing; leave out what was not read.")
