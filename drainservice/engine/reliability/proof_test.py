"""The proof-test interval that keeps a pump's mean share of time dead at the target."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from drainservice.engine.reliability.checked import inner_share, not_negative, positive, share
from drainservice.engine.reliability.posterior import Posterior
from drainservice.engine.reliability.unavailability import exposure_for_unavailability

if TYPE_CHECKING:
    from drainservice.engine.reliability.posterior import Array

LONGEST_A = 200.0
SHORTEST_A = 1e-4


@dataclass(frozen=True, slots=True)
class PartialTests:
    """Tests between the full ones that show a share `coverage` of failures, every `every_a` years.

    Coverage 0 means none.
    """

    coverage: float
    every_a: float

    def __post_init__(self) -> None:
        share("coverage of the partial test", self.coverage)
        positive("time between partial tests", self.every_a)


NO_PARTIAL_TESTS = PartialTests(0.0, 0.25)


def mean_dead_share(
    belief: Posterior, interval_a: float, partial: PartialTests = NO_PARTIAL_TESTS
) -> float:
    """Mean unavailability over the next interval of T years, averaged over the rate.

    Without partial tests E[1 - (1-e^{-lT})/(lT)]. With them, for T of at least T1,
    U = 1 - (1/T) E[(1-e^{-lT1})/l (1-e^{-qT})/(1-e^{-qT1})], q = (1-c) l: exact where T is a whole
    number of T1 and a smooth, rising line between, so that one interval answers one target.
    """
    positive("interval", interval_a)
    if partial.coverage == 0 or interval_a <= partial.every_a:
        return 1 - float(belief.weight @ _lived(belief.rate, interval_a)) / interval_a
    periods = _periods(belief.rate, interval_a / partial.every_a, partial)
    lived = _lived(belief.rate, partial.every_a) * periods
    return 1 - float(belief.weight @ lived) / interval_a


def _lived(rate: "Array", years: float) -> "Array":
    """Mean years alive within the first `years` after a full test, at each rate."""
    import numpy as np

    return -np.expm1(-rate * years) / rate


def _periods(rate: "Array", count: float, partial: PartialTests) -> "Array":
    """(1 - e^{-qT})/(1 - e^{-qT1}) for `count` partial periods, which is `count` where q is 0."""
    import numpy as np

    hidden = (1 - partial.coverage) * rate * partial.every_a
    small = hidden < 1e-12
    safe = np.where(small, 1.0, hidden)
    return np.where(small, count, np.expm1(-safe * count) / np.expm1(-safe))


def _lived_with(rate: "Array", years: float, partial: PartialTests) -> "Array":
    """The same with partial tests, exact for any `years`."""
    import numpy as np

    if partial.coverage == 0:
        return _lived(rate, years)
    whole = int(years / partial.every_a + 1e-9)
    rest = max(0.0, years - whole * partial.every_a)
    still_hidden = np.exp(-(1 - partial.coverage) * rate * partial.every_a * whole)
    lived = _lived(rate, partial.every_a) * _periods(rate, float(whole), partial)
    return lived + still_hidden * _lived(rate, rest)


def dead_share_between(
    belief: Posterior, from_a: float, to_a: float, partial: PartialTests = NO_PARTIAL_TESTS
) -> float:
    """Mean chance of being dead from `from_a` to `to_a` years after the last full test; exact."""
    length = positive("length of the season", to_a - from_a)
    start = not_negative("start of the season", from_a)
    lived = _lived_with(belief.rate, to_a, partial) - _lived_with(belief.rate, start, partial)
    return 1 - float(belief.weight @ lived) / length


def solve_interval_a(
    belief: Posterior, target: float, partial: PartialTests = NO_PARTIAL_TESTS
) -> float:
    """T in years with mean U(T) = target, by brentq; from SHORTEST_A to LONGEST_A.

    Where even LONGEST_A keeps the target it is returned: no test is needed in any life.
    """
    from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]

    inner_share("target", target)

    def over(interval_a: float) -> float:
        return mean_dead_share(belief, interval_a, partial) - target

    # By Jensen the mean of (1-e^{-x})/x lies above its value at the mean rate, so the solution for
    # the mean rate alone is a lower bound; partial tests only lengthen it.
    low = max(SHORTEST_A, min(LONGEST_A, exposure_for_unavailability(target) / belief.mean()))
    high = low
    while over(high) < 0:
        if high >= LONGEST_A:
            return LONGEST_A
        low, high = high, min(2 * high, LONGEST_A)
    return low if high <= low else float(brentq(over, low, high, xtol=1e-12, rtol=1e-12))


def interval_range_a(
    belief: Posterior, target: float, low: float = 0.1, high: float = 0.9
) -> tuple[float, float]:
    """Credible range of the interval in years: T = x(target)/rate at the rate's quantiles.

    The short end comes from the `high` quantile of the rate, the long end from the `low` one.
    """
    x = exposure_for_unavailability(target)
    return x / belief.quantile(high), x / belief.quantile(low)
