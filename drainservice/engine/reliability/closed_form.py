"""Exact answers for histories of passed and failed tests, to judge the grid by."""

import math
from collections.abc import Sequence
from itertools import combinations

from drainservice.engine.reliability.checked import positive


def rate_mean_after(
    passes_a: Sequence[float], failures_a: Sequence[float], shape: float, inverse_scale_a: float
) -> float:
    """Mean rate per year after passes and found failures, each with its years since last good.

    Passes only: Gamma(a, b + sum d). k failures: prod(1 - e^{-l d_i}) opened into 2^k signed
    terms, E = a sum s_j B_j^-(a+1) / sum s_j B_j^-a. Loses digits as failures grow many or early.
    """
    a = positive("shape", shape)
    terms = _signed_terms(passes_a, failures_a, positive("inverse scale", inverse_scale_a))
    over = math.fsum(sign * b ** -(a + 1) for sign, b in terms)
    return a * over / math.fsum(sign * b**-a for sign, b in terms)


def dead_share_after(
    passes_a: Sequence[float],
    failures_a: Sequence[float],
    shape: float,
    inverse_scale_a: float,
    interval_a: float,
) -> float:
    """Mean unavailability over the next interval under the same posterior, for shape a not 1.

    E e^{-ls} is sum s_j (B_j + s)^-a over sum s_j B_j^-a; its mean over s from 0 to T is closed.
    """
    a = shape
    terms = _signed_terms(passes_a, failures_a, inverse_scale_a)
    alive = math.fsum(
        sign * (b ** (1 - a) - (b + interval_a) ** (1 - a)) / (a - 1) for sign, b in terms
    )
    return 1 - alive / interval_a / math.fsum(sign * b**-a for sign, b in terms)


def _signed_terms(
    passes_a: Sequence[float], failures_a: Sequence[float], b: float
) -> list[tuple[float, float]]:
    start = b + math.fsum(passes_a)
    return [
        ((-1.0) ** k, start + math.fsum(chosen))
        for k in range(len(failures_a) + 1)
        for chosen in combinations(failures_a, k)
    ]
