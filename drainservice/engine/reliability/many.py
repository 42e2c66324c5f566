"""Intervals of a whole fleet in one pass, equal to `proof_test` one by one."""

from typing import TYPE_CHECKING

from drainservice.engine.reliability.posterior import GRID_HIGH, GRID_LOW, GRID_POINTS
from drainservice.engine.reliability.prior import RatePrior
from drainservice.engine.reliability.proof_test import LONGEST_A, SHORTEST_A

if TYPE_CHECKING:
    from drainservice.engine.reliability.posterior import Array

# Every eighth point of the grid of 401. The trapezoid rule on ln theta errs as exp(-pi^2/step) for
# this integrand: step 0.31 leaves 2e-14, so the coarser grid gives the same answer.
STRIDE = 8
BLOCK = 512
STEPS = 40


class FleetDoesNotLineUp(ValueError):
    """The columns of the fleet have different lengths or impossible values."""


def solve_intervals_a(
    nominal_per_a: "Array",
    passed_exposure: "Array",
    failed_exposures: "Array",
    target: "Array",
    prior: RatePrior | None = None,
) -> "Array":
    """T in years with mean U(T) = target, for n systems at once.

    `nominal_per_a`, `passed_exposure` (sum over passed tests), `target`: shape (n,);
    `failed_exposures`: shape (n, k), one column per failure, padded with 0 where there are fewer.
    Exposure is nominal rate x years, dimensionless. Every passed test is taken as sure; histories
    with doubted answers go one by one. Newton on U(T), which rises and bends down, in blocks.
    Raises FleetDoesNotLineUp.
    """
    import numpy as np

    given = RatePrior() if prior is None else prior
    columns = [np.asarray(c, dtype=np.float64) for c in (nominal_per_a, passed_exposure, target)]
    failed = np.asarray(failed_exposures, dtype=np.float64)
    _check(columns, failed)
    theta = np.geomspace(GRID_LOW, GRID_HIGH, GRID_POINTS)[::STRIDE].copy()
    log_prior = given.shape * np.log(theta) - given.inverse_scale * theta
    count = len(columns[0])
    out = np.empty(count)
    for start in range(0, count, BLOCK):
        part = slice(start, start + BLOCK)
        weight = _weights(theta, log_prior, columns[1][part], failed[part])
        out[part] = _solve(theta, weight, columns[2][part]) / columns[0][part]
    np.clip(out, SHORTEST_A, LONGEST_A, out=out)
    return out


def _check(columns: "list[Array]", failed: "Array") -> None:
    nominal, passed, target = columns
    lines_up = nominal.shape == passed.shape == target.shape == failed.shape[:1]
    if not lines_up or failed.ndim != 2:
        raise FleetDoesNotLineUp(
            "Give one nominal rate, one sum of passed exposures and one target per system, and a "
            "table of failed exposures with one row per system."
        )
    is_sound = (nominal > 0).all() and (passed >= 0).all() and (failed >= 0).all()
    if not (is_sound and ((target > 0) & (target < 1)).all()):
        raise FleetDoesNotLineUp(
            "Rates must be above zero, exposures zero or more, targets between 0 and 1."
        )


def _weights(theta: "Array", log_prior: "Array", passed: "Array", failed: "Array") -> "Array":
    import numpy as np

    weight: Array = np.exp(log_prior - log_prior.max() - passed[:, None] * theta)
    for column in failed.T:
        has = np.flatnonzero(column)
        weight[has] *= -np.expm1(-column[has, None] * theta)
    weight /= weight.sum(axis=1, keepdims=True)
    return weight


def _solve(theta: "Array", weight: "Array", target: "Array") -> "Array":
    """x = nominal x T with E U = target, by Newton from below; U is concave, so it climbs."""
    import numpy as np

    # The mean of theta alone gives U <= mean x/2, so this lies at or below the root; the start is
    # the root for a gamma of shape 2. From above the tangent falls short, from below it climbs.
    low = 2 * target / (weight @ theta)
    x: Array = low / (1 - target)
    active = np.arange(len(target))
    for _ in range(STEPS):
        w = weight[active]
        scaled = x[active, None] * theta
        gone = -np.expm1(-scaled)
        mean_alive = np.einsum("ij,ij->i", w, gone / scaled)
        slope = mean_alive - 1 + np.einsum("ij,ij->i", w, gone)
        step = x[active] * (target[active] - 1 + mean_alive) / slope
        x[active] = np.maximum(x[active] + step, low[active])
        # Newton squares the error: a step of 1e-6 leaves about 1e-12.
        active = active[np.abs(step) > 1e-6 * x[active]]
        if not len(active):
            break
    return x
