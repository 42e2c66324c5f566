"""All effects of a system's findings put together, for the models that use them."""

from collections.abc import Iterable
from math import prod

from drainservice.engine.asbuilt.finding import Effects, Finding
from drainservice.engine.failure_mode import FailureMode

FACTOR_CAP = 4.0


def combined_effects(findings: Iterable[Finding]) -> Effects:
    """One Effects for all findings: factors multiply, drain slopes add, coverage is the least.

    Products stop at 4, or at the largest single factor where that is more; judgement, no source.
    """
    all_effects = [finding.effects for finding in findings]
    factors: dict[FailureMode, list[float]] = {}
    coverage: dict[FailureMode, float] = {}
    for effects in all_effects:
        for mode, factor in effects.rate_factors:
            factors.setdefault(mode, []).append(factor)
        for mode, share in effects.proof_coverage:
            coverage[mode] = min(share, coverage.get(mode, 1.0))
    return Effects(
        rate_factors=tuple((mode, _capped(several)) for mode, several in factors.items()),
        proof_coverage=tuple(coverage.items()),
        drain_slope_per_a=sum(e.drain_slope_per_a for e in all_effects),
        sediment_factor=_capped([e.sediment_factor for e in all_effects]),
        soak_factor=prod(e.soak_factor for e in all_effects),
        leak_back_factor=_capped([e.leak_back_factor for e in all_effects]),
        starts_factor=_capped([e.starts_factor for e in all_effects]),
    )


def _capped(factors: list[float]) -> float:
    return min(prod(factors), max(FACTOR_CAP, max(factors, default=1.0)))
