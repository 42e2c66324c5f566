"""Let the firm's own tests replace the assumed failure rates."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from drainservice.engine.reliability.checked import positive
from drainservice.engine.reliability.prior import RatePrior

LEAST_TESTS = 30
LEAST_FAILURES = 5


@dataclass(frozen=True, slots=True)
class FleetTest:
    """One test of one pump of a class: `exposure` = nominal rate x years since last good."""

    passed: bool
    exposure: float


def log_marginal(tests: Sequence[FleetTest], shape: float, inverse_scale: float) -> float:
    """sum of ln (b/(b+m))^a over passes and ln(1 - (b/(b+m))^a) over failures."""
    total = 0.0
    for test in tests:
        log_pass = -shape * math.log1p(positive("exposure", test.exposure) / inverse_scale)
        total += log_pass if test.passed else math.log(max(-math.expm1(log_pass), 1e-300))
    return total


def refit(tests: Sequence[FleetTest], prior: RatePrior | None = None) -> RatePrior:
    """The gamma prior of a class refitted by marginal likelihood to all its tests.

    With fewer than 30 tests or 5 failures the prior is kept. Maximises `log_marginal` over ln a and
    ln(b/a) from the present prior; a within 0.3 to 20, mean theta within 0.05 to 20. Tests at one
    and the same exposure cannot tell a from b apart: then the shape stays near where it began.
    """
    from scipy.optimize import minimize  # type: ignore[import-untyped, unused-ignore]

    given = RatePrior() if prior is None else prior
    failures = sum(not t.passed for t in tests)
    if len(tests) < LEAST_TESTS or failures < LEAST_FAILURES:
        return given

    def cost(logs: Sequence[float]) -> float:
        shape = math.exp(logs[0])
        return -log_marginal(tests, shape, shape * math.exp(logs[1])) / len(tests)

    start = [math.log(given.shape), math.log(given.inverse_scale / given.shape)]
    bounds = [(math.log(0.3), math.log(20)), (math.log(0.05), math.log(20))]
    found = minimize(cost, start, method="L-BFGS-B", bounds=bounds)
    shape = math.exp(found.x[0])
    fitted = shape * math.exp(found.x[1])
    return replace(given, shape=shape, inverse_scale=fitted, tests=len(tests), failures=failures)
