"""Lives known only to lie between two looks: curves and fits from interval-censored data."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

Interval = tuple[float, float | None]
Look = tuple[float, bool]


class NothingToFit(ValueError):
    """The looks hold no failure, or nothing else, so no life can be fitted."""


class IntervalRunsBackwards(ValueError):
    """A life's interval ends before it starts, or starts before zero."""


@dataclass(frozen=True, slots=True)
class Mass:
    """Share of lives ending in (after, until]; until None is beyond the last look."""

    after: float
    until: float | None
    share: float


@dataclass(frozen=True, slots=True)
class ExponentialFit:
    """Mean life in the looks' unit of time, and the log-likelihood."""

    mean: float
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class WeibullFit:
    """F(t) = 1 - exp(-(t/scale)^shape), scale in the looks' unit, and the log-likelihood."""

    shape: float
    scale: float
    log_likelihood: float


def masses_between_looks(
    intervals: Sequence[Interval], tolerance: float = 1e-9, most_steps: int = 100_000
) -> list[Mass]:
    """The non-parametric maximum likelihood of lives in (left, right], right None: not failed.

    Turnbull (1976): mass sits only on innermost intervals; self-consistency steps
    s_j <- mean_i a_ij s_j / sum_k a_ik s_k until none moves by more than `tolerance`.
    """
    import numpy as np

    pairs = [(left, math.inf if right is None else right) for left, right in intervals]
    if not pairs:
        raise NothingToFit("No looks are given; give at least one pair of ages.")
    for left, right in pairs:
        if not 0 <= left < right:
            raise IntervalRunsBackwards(
                f"A life cannot end in ({left}, {right}]; give the age last seen good, then the "
                "age found failed."
            )
    inner = _innermost(pairs)
    lefts = np.array([p[0] for p in pairs])[:, None]
    rights = np.array([p[1] for p in pairs])[:, None]
    holds = (lefts <= np.array([q[0] for q in inner])) & (np.array([q[1] for q in inner]) <= rights)
    share = np.full(len(inner), 1 / len(inner))
    for _ in range(most_steps):
        expected = holds * share
        moved = (expected / expected.sum(axis=1, keepdims=True)).mean(axis=0)
        step = float(np.abs(moved - share).max())
        share = moved
        if step < tolerance:
            break
    return [
        Mass(after, None if math.isinf(until) else until, float(s))
        for (after, until), s in zip(inner, share, strict=True)
        if s > 1e-6
    ]


def _innermost(pairs: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    # A left end sorts behind a right end of the same age, for (left, right] is open on the left.
    ends = sorted({(r, 0) for _, r in pairs} | {(left, 1) for left, _ in pairs})
    return [
        (a, b) for (a, is_left), (b, next_is_left) in pairwise(ends) if is_left and not next_is_left
    ]


def share_failed_by(looks: Sequence[Look]) -> Callable[[float], float]:
    """The share failed by an age, from one look per unit (age, found failed): isotonic regression.

    The non-parametric maximum likelihood for current-status data, by pooling neighbours.
    """
    if not looks:
        raise NothingToFit("No looks are given; give at least one age with what was found.")
    blocks: list[tuple[float, float, int]] = []
    by_age: dict[float, list[bool]] = {}
    for age, failed in looks:
        by_age.setdefault(age, []).append(bool(failed))
    for age in sorted(by_age):
        blocks.append((age, float(sum(by_age[age])), len(by_age[age])))
        while len(blocks) > 1 and blocks[-2][1] * blocks[-1][2] >= blocks[-1][1] * blocks[-2][2]:
            _, failed_count, count = blocks.pop()
            start, before, many = blocks.pop()
            blocks.append((start, before + failed_count, many + count))

    def at(age: float) -> float:
        below = [failed / count for start, failed, count in blocks if start <= age]
        return below[-1] if below else 0.0

    return at


def fit_exponential(looks: Sequence[Look]) -> ExponentialFit:
    """Maximum likelihood of a constant rate from one look per unit (age, found failed).

    Good: e^{-lt}; found failed: 1 - e^{-lt}. As `fit_exponential_between_looks` on (0, age] and
    (age, None).
    """
    return fit_exponential_between_looks(_intervals_of(looks))


def fit_weibull(looks: Sequence[Look]) -> WeibullFit:
    """Maximum likelihood of a Weibull life from one look per unit (age, found failed)."""
    return fit_weibull_between_looks(_intervals_of(looks))


def fit_exponential_between_looks(intervals: Sequence[Interval]) -> ExponentialFit:
    """Maximum likelihood of a constant rate from lives in (left, right], right None: not failed.

    sum of ln[e^{-l left} - e^{-l right}]. Solved in ln(rate) on ages scaled by their mean.
    """
    from scipy.optimize import minimize_scalar  # type: ignore[import-untyped, unused-ignore]

    scaled, unit = _scaled(intervals)

    def cost(log_rate: float) -> float:
        rate = math.exp(log_rate)
        return -_log_likelihood([(rate * left, rate * right) for left, right in scaled])

    found = minimize_scalar(cost, bounds=(-25, 10), method="bounded", options={"xatol": 1e-10})
    return ExponentialFit(unit / math.exp(found.x), -float(found.fun))


def fit_weibull_between_looks(intervals: Sequence[Interval]) -> WeibullFit:
    """Maximum likelihood of a Weibull life from lives in (left, right], right None: not failed.

    Solved in ln(shape), ln(scale) on ages scaled by their mean, from the exponential fit.
    """
    from scipy.optimize import minimize  # type: ignore[import-untyped, unused-ignore]

    scaled, unit = _scaled(intervals)
    start = math.log(fit_exponential_between_looks(intervals).mean / unit)

    def cost(logs: Sequence[float]) -> float:
        shape, log_scale = math.exp(min(logs[0], 4.0)), logs[1]

        def hazard(age: float) -> float:
            if age == 0.0 or math.isinf(age):
                return age
            return math.exp(min(shape * (math.log(age) - log_scale), 600.0))

        return -_log_likelihood([(hazard(left), hazard(right)) for left, right in scaled])

    options = {"xatol": 1e-9, "fatol": 1e-12, "maxiter": 4000}
    found = minimize(cost, [0.0, start], method="Nelder-Mead", options=options)
    return WeibullFit(math.exp(found.x[0]), unit * math.exp(found.x[1]), -float(found.fun))


def _log_likelihood(hazards: Sequence[tuple[float, float]]) -> float:
    """sum of ln(e^{-H(left)} - e^{-H(right)}), H the cumulative hazards at both ends."""
    return sum(-left + math.log(max(-math.expm1(left - right), 1e-300)) for left, right in hazards)


def _intervals_of(looks: Sequence[Look]) -> list[Interval]:
    if any(age <= 0 for age, _ in looks):
        raise IntervalRunsBackwards("An age is zero or less; give the time since installation.")
    return [(0.0, age) if failed else (age, None) for age, failed in looks]


def _scaled(intervals: Sequence[Interval]) -> tuple[list[tuple[float, float]], float]:
    pairs = [(left, math.inf if right is None else right) for left, right in intervals]
    failed = sum(math.isfinite(right) for _, right in pairs)
    if not failed or all(left == 0.0 for left, _ in pairs):
        raise NothingToFit(
            "A life needs looks of both kinds, some found failed and some still good; "
            f"there are {failed} failed of {len(pairs)}."
        )
    for left, right in pairs:
        if not 0 <= left < right:
            raise IntervalRunsBackwards(
                f"A life cannot end in ({left}, {right}]; give the age last seen good, then the "
                "age found failed."
            )
    ends = [end for pair in pairs for end in pair if 0 < end < math.inf]
    unit = sum(ends) / len(ends)
    return [(left / unit, right / unit) for left, right in pairs], unit
