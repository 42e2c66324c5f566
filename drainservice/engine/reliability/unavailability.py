"""Mean share of time a hidden failure leaves a pump dead between two tests."""

import math
from collections.abc import Sequence

from drainservice.engine.reliability.checked import inner_share, not_negative, positive, share

SMALL = 1e-8


def mean_unavailability(rate_per_a: float, interval_a: float) -> float:
    """U = 1 - (1 - e^{-lT})/(lT), rate l per year known exactly, interval T in years.

    Exact mathematics; for small lT the series lT/2 (1 - lT/3) avoids loss of digits.
    """
    x = not_negative("failure rate", rate_per_a) * positive("interval", interval_a)
    return _dead_share(x)


def _dead_share(x: float) -> float:
    return x / 2 * (1 - x / 3) if x < 1e-5 else 1 + math.expm1(-x) / x


def mean_unavailability_gamma(shape: float, inverse_scale_a: float, interval_a: float) -> float:
    """U averaged over a rate ~ Gamma(a, b years): 1 - b/((a-1)T) [1 - (b/(b+T))^{a-1}].

    a = 1: 1 - (b/T) ln((b+T)/b); a = 2: T/(b+T). Exact mathematics.
    """
    a = positive("shape", shape)
    ratio = positive("interval", interval_a) / positive("inverse scale", inverse_scale_a)
    log_growth = math.log1p(ratio)
    if abs(a - 1) < SMALL:
        return 1 - log_growth / ratio
    return 1 + math.expm1(-(a - 1) * log_growth) / ((a - 1) * ratio)


def mean_unavailability_between(rate_per_a: float, from_a: float, to_a: float) -> float:
    """Mean of 1 - e^{-ls} for s from `from_a` to `to_a` years after the last good test.

    1 - (e^{-l from} - e^{-l to})/(l (to - from)): the dead share over a season. Exact.
    """
    length = positive("length of the season", to_a - from_a)
    alive = math.exp(-rate_per_a * not_negative("start of the season", from_a))
    return 1 - alive * (1 - mean_unavailability(rate_per_a, length))


def mean_unavailability_over_seasons(
    rate_per_a: float, seasons: Sequence[tuple[float, float]]
) -> float:
    """The same over several seasons, each (from, to) years after the last good test.

    Weighted by their lengths: the dead share of a year with two wet seasons. Exact.
    """
    lengths = [positive("length of the season", end - start) for start, end in seasons]
    total = positive("length of all seasons", math.fsum(lengths))
    dead = [mean_unavailability_between(rate_per_a, start, end) for start, end in seasons]
    return math.fsum(share * part for share, part in zip(lengths, dead, strict=True)) / total


def mean_unavailability_with_partial_tests(
    rate_per_a: float, coverage: float, partial_every_a: float, interval_a: float
) -> float:
    """U with a partial test of coverage c every T1 years between full tests every T years.

    U = 1 - (1/T) (1-e^{-lT1})/l (1-e^{-qnT1})/(1-e^{-qT1}), q = (1-c) l, n the whole partial
    periods in T, plus what is left of T after them. Exact for any T, T1.
    """
    rate = positive("failure rate", rate_per_a)
    share("coverage of the partial test", coverage)
    t1 = positive("time between partial tests", partial_every_a)
    whole = int(positive("interval", interval_a) / t1 + SMALL)
    rest = max(0.0, interval_a - whole * t1)
    q = (1 - coverage) * rate
    periods = whole if q * t1 < 1e-12 else math.expm1(-q * whole * t1) / math.expm1(-q * t1)
    alive = -math.expm1(-rate * t1) / rate * periods
    alive += math.exp(-q * whole * t1) * -math.expm1(-rate * rest) / rate
    return 1 - alive / interval_a


def mean_unavailability_of_two(rate_per_a: float, interval_a: float) -> float:
    """Mean chance that two alike, independent pumps are both dead: E (1 - e^{-lt})^2.

    1 - 2 (1-e^{-x})/x + (1-e^{-2x})/(2x), x = lT. Exact; what strikes both at once is not in it.
    """
    x = positive("failure rate", rate_per_a) * positive("interval", interval_a)
    if x < 1e-3:
        return x * x / 3 - x**3 / 4 + 7 * x**4 / 60
    return 2 * _dead_share(x) - _dead_share(2 * x)


def half_rule(rate_per_a: float, interval_a: float) -> float:
    """The linear approximation U = lT/2; 7 % too high at lT = 0.2."""
    return rate_per_a * interval_a / 2


def partial_test_rule(
    rate_per_a: float, coverage: float, partial_every_a: float, interval_a: float
) -> float:
    """The linear approximation c l T1/2 + (1-c) l T/2, in the style of IEC 61508-6 B.3.2.5."""
    return (
        coverage * rate_per_a * partial_every_a / 2 + (1 - coverage) * rate_per_a * interval_a / 2
    )


def exposure_for_unavailability(target: float) -> float:
    """x = lT with 1 - (1 - e^{-x})/x = target; then T = x/l. Solved by brentq to 1e-12."""
    from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

    inner_share("target", target)
    # U(x) >= 1 - 1/x, so 2/(1-target) lies beyond the root; U(x) <= x/2 bounds it from below.
    return float(brentq(lambda x: _dead_share(x) - target, target, 2 / (1 - target), xtol=1e-13))


def interval_for_unavailability(rate_per_a: float, target: float) -> float:
    """Years between tests at which a known rate leaves the pump dead `target` of the time."""
    return exposure_for_unavailability(target) / positive("failure rate", rate_per_a)


def interval_for_unavailability_gamma(shape: float, inverse_scale_a: float, target: float) -> float:
    """Years between tests at which a gamma rate gives mean U = target; a = 2: b U/(1-U)."""
    from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

    inner_share("target", target)
    b = positive("inverse scale", inverse_scale_a)

    def over(log_t: float) -> float:
        return mean_unavailability_gamma(shape, b, math.exp(log_t)) - target

    low = math.log(b) - 30.0
    high = math.log(b) + 5.0
    while over(high) < 0:
        high += 20.0
    return math.exp(brentq(over, low, high, xtol=1e-13))
