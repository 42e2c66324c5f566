"""Textbook gamma and beta updates, and priors from bounds an expert gives."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.reliability.checked import inner_share, not_negative, positive


class BoundsDoNotFit(ValueError):
    """Two quantiles that no such distribution has."""


@dataclass(frozen=True, slots=True)
class GammaRate:
    """A failure rate ~ Gamma(shape, inverse_scale); inverse_scale in time units, rate in 1/time."""

    shape: float
    inverse_scale: float

    def mean(self) -> float:
        """shape / inverse_scale."""
        return self.shape / self.inverse_scale

    def quantile(self, probability: float) -> float:
        """Rate below which it lies with this probability."""
        from scipy.special import gammaincinv  # type: ignore[import-untyped, unused-ignore]

        inner_share("probability", probability)
        return float(gammaincinv(self.shape, probability)) / self.inverse_scale

    def mission_chance(self, duration: float) -> float:
        """Chance of no failure over a duration, averaged over the rate: (b/(b+t))^a."""
        return math.exp(-self.shape * math.log1p(duration / self.inverse_scale))

    def after(self, failures: float, exposure: float) -> "GammaRate":
        """Posterior after `failures` in `exposure`: Gamma(a + failures, b + exposure)."""
        return GammaRate(
            self.shape + not_negative("failures", failures),
            self.inverse_scale + not_negative("exposure", exposure),
        )


@dataclass(frozen=True, slots=True)
class BetaChance:
    """A failure chance per demand ~ Beta(a, b)."""

    a: float
    b: float

    def mean(self) -> float:
        """a/(a+b)."""
        return self.a / (self.a + self.b)

    def quantile(self, probability: float) -> float:
        """Chance below which it lies with this probability."""
        from scipy.special import betaincinv  # type: ignore[import-untyped, unused-ignore]

        return float(betaincinv(self.a, self.b, inner_share("probability", probability)))

    def after(self, failures: float, demands: float) -> "BetaChance":
        """Posterior after `failures` in `demands`."""
        if not 0 <= failures <= demands:
            raise BoundsDoNotFit(
                f"{failures} failures in {demands} demands: failures must be from 0 to the demands."
            )
        return BetaChance(self.a + failures, self.b + demands - failures)


def gamma_from_quantiles(
    low: float, high: float, low_probability: float = 0.05, high_probability: float = 0.95
) -> GammaRate:
    """The gamma whose two quantiles are `low` and `high`; the shape by brentq on their ratio.

    Raises BoundsDoNotFit unless 0 < low < high and the probabilities rise.
    """
    from scipy.optimize import brentq  # type: ignore[import-untyped, unused-ignore]
    from scipy.special import gammaincinv  # type: ignore[import-untyped, unused-ignore]

    _check_bounds(low, high, low_probability, high_probability)

    def excess(log_shape: float) -> float:
        shape = math.exp(log_shape)
        bottom = gammaincinv(shape, low_probability)
        if bottom <= 0:
            return 700.0
        return math.log(gammaincinv(shape, high_probability) / bottom) - math.log(high / low)

    shape = math.exp(brentq(excess, math.log(1e-2), math.log(1e6), xtol=1e-13))
    return GammaRate(shape, float(gammaincinv(shape, high_probability)) / high)


def gamma_from_mtbf(median_mtbf: float, low_mtbf: float, low_chance: float = 0.05) -> GammaRate:
    """Prior from a median time between failures and one it falls below with `low_chance`.

    NIST/SEMATECH e-Handbook 8.3.1.5: the rate's median is 1/median_mtbf and its 1 - low_chance
    quantile is 1/low_mtbf.
    """
    return gamma_from_quantiles(1 / median_mtbf, 1 / low_mtbf, 0.5, 1 - low_chance)


def beta_from_quantiles(
    low: float, high: float, low_probability: float = 0.05, high_probability: float = 0.95
) -> BetaChance:
    """The beta whose two quantiles are `low` and `high`, both below 1.

    Solved in ln a, ln b from the gamma that fits them, which is its limit for small chances.
    """
    from scipy.optimize import root  # type: ignore[import-untyped, unused-ignore]
    from scipy.special import betaincinv  # type: ignore[import-untyped, unused-ignore]

    _check_bounds(low, high, low_probability, high_probability)
    inner_share("upper bound of a chance", high)
    start = gamma_from_quantiles(low, high, low_probability, high_probability)

    def misfit(logs: Sequence[float]) -> list[float]:
        a, b = math.exp(logs[0]), math.exp(logs[1])
        return [
            math.log(betaincinv(a, b, low_probability) / low),
            math.log(betaincinv(a, b, high_probability) / high),
        ]

    found = root(misfit, [math.log(start.shape), math.log(start.inverse_scale)], tol=1e-12)
    if max(abs(m) for m in misfit(found.x)) > 1e-6:
        raise BoundsDoNotFit(f"No beta has its bounds at {low} and {high}; widen or narrow them.")
    return BetaChance(math.exp(found.x[0]), math.exp(found.x[1]))


def gamma_from_mean(mean: float, quantile: float, probability: float = 0.95) -> GammaRate:
    """The gamma of that mean whose `probability` quantile is `quantile`, the less spread of two.

    An upper quantile over the mean first rises with spread and then falls; the answer lies on the
    rising side. Raises BoundsDoNotFit where no shape reaches it.
    """
    from scipy.optimize import brentq, minimize_scalar  # type: ignore[import-untyped, unused-ignore]
    from scipy.special import gammaincinv  # type: ignore[import-untyped, unused-ignore]

    want = positive("quantile", quantile) / positive("mean", mean)

    def ratio(log_shape: float) -> float:
        shape = math.exp(log_shape)
        return float(gammaincinv(shape, probability)) / shape

    narrow = math.log(1e6)
    sign = 1.0 if want > 1 else -1.0
    far = minimize_scalar(lambda x: -sign * ratio(x), bounds=(-6.0, narrow), method="bounded").x
    if (ratio(far) - want) * (ratio(narrow) - want) > 0:
        raise BoundsDoNotFit(
            f"No gamma of mean {mean} has {quantile} at chance {probability}; give a bound nearer "
            "to the mean, or on its other side."
        )
    shape = math.exp(brentq(lambda x: ratio(x) - want, far, narrow, xtol=1e-13))
    return GammaRate(shape, shape / mean)


def rate_from_lives(failed_at: Sequence[float], still_good_at: Sequence[float]) -> GammaRate:
    """Posterior with the prior 1/lambda: Gamma(failures, all time under way)."""
    exposure = sum(failed_at) + sum(still_good_at)
    return GammaRate(positive("count of failures", len(failed_at)), positive("exposure", exposure))


def _check_bounds(low: float, high: float, low_p: float, high_p: float) -> None:
    if not (0 < low < high and 0 < low_p < high_p < 1):
        raise BoundsDoNotFit(
            f"Bounds {low} and {high} at chances {low_p} and {high_p}: give two numbers above "
            "zero, the lower first, with rising chances."
        )
