"""How much better or worse than nominal this one system is, after all its tests."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from drainservice.engine.reliability.checked import inner_share, not_negative, positive, share
from drainservice.engine.reliability.prior import RatePrior

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[np.float64]]

GRID_POINTS = 401
GRID_LOW, GRID_HIGH = 1e-5, 60.0


class HistoryCannotBe(ValueError):
    """The tests contradict each other so far that no failure rate explains them."""


@dataclass(frozen=True, slots=True)
class Sight:
    """One test as evidence: `exposure` is nominal failures expected (rate x years, dimensionless)
    among what this test can show since it was last surely shown good; `sensitivity` s the chance
    that a failure it can show is in truth reported. `doubted` are the exposures, rising, at which
    passes of that sensitivity were reported before this test since the last sure one."""

    passed: bool
    exposure: float
    sensitivity: float = 1.0
    doubted: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """theta on a log grid of 401 points with weights that sum to 1; rate = theta x nominal."""

    theta: "Array"
    weight: "Array"
    nominal_per_a: float

    @property
    def rate(self) -> "Array":
        """Failure rate per year on the grid."""
        return self.theta * self.nominal_per_a

    def mean(self) -> float:
        """Mean failure rate per year."""
        return float(self.weight @ self.rate)

    def quantile(self, probability: float) -> float:
        """Rate per year below which it lies with this probability (to 1e-5 of it)."""
        return self.nominal_per_a * self.theta_quantile(probability)

    def theta_quantile(self, probability: float) -> float:
        """theta below which it lies with this probability, from the grid's running sum."""
        import numpy as np

        inner_share("probability", probability)
        # A grid point stands for half a step to either side; the last term is the trapezoid rule's
        # own end correction (Euler-Maclaurin). Within a step the density runs straight.
        below = np.cumsum(self.weight) - self.weight / 2 - np.gradient(self.weight) / 12
        at = min(max(int(np.searchsorted(below, probability)) - 1, 0), len(below) - 2)
        density, next_density = self.weight[at], self.weight[at + 1]
        rest = max(0.0, probability - float(below[at]))
        root = np.sqrt(max(0.0, density**2 + 2 * (next_density - density) * rest))
        step = min(1.0, 2 * rest / (density + root)) if rest > 0 else 0.0
        return float(self.theta[at] * (self.theta[at + 1] / self.theta[at]) ** step)

    def dead_after(self, years: float) -> float:
        """Chance of being dead so long after a good test: 1 - E e^{-lt}."""
        import numpy as np

        return float(self.weight @ -np.expm1(-self.rate * not_negative("time", years)))

    def with_nominal(self, nominal_per_a: float) -> "Posterior":
        """The same system with its build changed from now on: theta stays, the rate changes."""
        return Posterior(self.theta, self.weight, positive("nominal rate", nominal_per_a))


def posterior_after(
    sights: Sequence[Sight], nominal_per_a: float, prior: RatePrior | None = None
) -> Posterior:
    """Posterior of theta on the grid: prior Gamma(a, b) times the likelihood of every test.

    With m = theta x exposure and sensitivity s: pass e^{-m} + (1-s)(1-e^{-m}), found failed
    s (1 - e^{-m}). After doubted passes at m_1 .. m_k, a_i = e^{-m_i}, a_0 = 1: failure found
    sum_i (a_i - a_{i+1}) (1-s)^{k-i} + a_k - e^{-m}; the last of them still open likewise with a_k
    alone. The grid is even in ln theta (401 points from 1e-5 to 60), so weights carry d theta =
    theta d(ln theta). Agrees with the closed forms to 1e-8.
    Raises HistoryCannotBe when every theta has likelihood zero.
    """
    import numpy as np

    given = RatePrior() if prior is None else prior
    theta, log_weight = _prior_on_grid(given.shape, given.inverse_scale)
    log_weight = log_weight - theta * _sure_exposure(sights)
    for sight in sights:
        _check(sight)
        if not _is_sure_pass(sight):
            log_weight = log_weight + np.log(_likelihood(theta, sight))
    top = log_weight.max()
    if not np.isfinite(top):
        raise HistoryCannotBe(
            "No failure rate explains these tests; look for a test entered twice or a wrong date."
        )
    weight = np.exp(log_weight - top)
    return Posterior(theta, weight / weight.sum(), positive("nominal rate", nominal_per_a))


def _is_sure_pass(sight: Sight) -> bool:
    return sight.passed and sight.sensitivity >= 1


def _sure_exposure(sights: Sequence[Sight]) -> float:
    return sum(s.exposure for s in sights if _is_sure_pass(s))


def _likelihood(theta: "Array", sight: Sight) -> "Array":
    """Chance of what was seen, at each theta; a constant factor of a failure is left out."""
    import numpy as np

    exposure = max(sight.exposure, 1e-12)
    if not sight.doubted and not sight.passed:
        return -np.expm1(-theta * exposure)
    marks = [0.0, *sight.doubted, *([exposure] if sight.passed else [])]
    alive = [np.exp(-theta * mark) for mark in marks]
    last = len(marks) - 1
    seen = alive[last] - (0.0 if sight.passed else np.exp(-theta * exposure))
    for i in range(last):
        seen = seen + (alive[i] - alive[i + 1]) * (1 - sight.sensitivity) ** (last - i)
    chance: Array = np.maximum(seen, 1e-300)
    return chance


def _check(sight: Sight) -> None:
    not_negative("exposure of a test", sight.exposure)
    share("sensitivity of a test", sight.sensitivity)
    marks = [0.0, *sight.doubted, sight.exposure]
    if any(later < earlier for earlier, later in pairwise(marks)):
        raise HistoryCannotBe("Doubted passes must come in order of time, before their test.")
    if not sight.passed and sight.sensitivity == 0:
        raise HistoryCannotBe("A test that cannot see failures reports one; correct its kind.")


@cache
def _prior_on_grid(shape: float, inverse_scale: float) -> "tuple[Array, Array]":
    import numpy as np

    theta = np.geomspace(GRID_LOW, GRID_HIGH, GRID_POINTS)
    return theta, shape * np.log(theta) - inverse_scale * theta


def posterior_from_durations(
    history: Sequence[tuple[str, float]], shape: float, inverse_scale_a: float
) -> Posterior:
    """The plain case: rate ~ Gamma(a, b years), history of ("pass" or "fail", years since good).

    Works at nominal rate a/b with theta ~ Gamma(a, a), which is the same belief.
    """
    nominal = positive("shape", shape) / positive("inverse scale", inverse_scale_a)
    sights = [Sight(_is_pass(word), nominal * years) for word, years in history]
    return posterior_after(sights, nominal, RatePrior(shape=shape, inverse_scale=shape))


def _is_pass(word: str) -> bool:
    if word not in ("pass", "fail"):
        raise HistoryCannotBe(f"A test says '{word}'; write pass or fail.")
    return word == "pass"
