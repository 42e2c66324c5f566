"""Chance per year that a pump dies unseen and a storm comes before anyone looks."""

import math
from collections.abc import Sequence

from drainservice.engine.reliability.checked import not_negative, positive, share
from drainservice.engine.reliability.unavailability import mean_unavailability

MONTHS = 12


class MonthSharesDoNotFit(ValueError):
    """Twelve shares of the year's storms are needed, none negative, adding up to 1."""


class StretchesDoNotFollow(ValueError):
    """The stretches of storm demand must follow each other and have a length."""


Stretch = tuple[float, float]


def flood_chance(rate_per_a: float, storms_per_a: float, interval_a: float) -> float:
    """F = (1/T)[1 - (D e^{-lT} - l e^{-DT})/(D - l)] per year, storms at a constant rate D.

    P(failure then storm before T)/T for two exponentials; exact, D = l included.
    """
    stretch = (positive("interval", interval_a), not_negative("storms a year", storms_per_a))
    return flood_chance_over(rate_per_a, [stretch])


def flood_chance_over(rate_per_a: float, stretches: Sequence[Stretch]) -> float:
    """F = (1/T) int_0^T l e^{-ls} [1 - exp(-int_s^T D)] ds for storms at piecewise constant rates.

    `stretches` are (years, storms a year) from the last test on; T is the sum of the years. Exact:
    each stretch of length h starting at t0, with R storms expected after it, adds
    e^{-l t0} [(1 - e^{-lh}) - e^{-R} l h e^{-lh} phi((D-l)h)], phi(x) = (1 - e^{-x})/x.
    """
    rate = positive("failure rate", rate_per_a)
    if not stretches or any(h <= 0 or d < 0 for h, d in stretches):
        raise StretchesDoNotFollow(
            "Give at least one stretch of storm demand, each with a length above zero in years "
            "and zero or more storms a year."
        )
    storms_left = sum(h * d for h, d in stretches)
    start, chance = 0.0, 0.0
    for length, storms_per_a in stretches:
        storms_left -= length * storms_per_a
        fails = -math.expm1(-rate * length)
        spared = rate * length * _mean_decay(rate * length, storms_per_a * length)
        chance += math.exp(-rate * start) * (fails - math.exp(-max(0.0, storms_left)) * spared)
        start += length
    return chance / start


def _mean_decay(x: float, y: float) -> float:
    """Mean of e^{-x u - y (1-u)} over u from 0 to 1: (e^{-x} - e^{-y})/(y - x)."""
    gap = abs(y - x)
    low = min(x, y)
    return math.exp(-low) * (-math.expm1(-gap) / gap if gap > 1e-9 else 1 - gap / 2)


def product_rule(rate_per_a: float, storms_per_a: float, interval_a: float) -> float:
    """D U: storms a year times mean dead share; good only where D T is far below 1."""
    return storms_per_a * mean_unavailability(rate_per_a, interval_a)


def monthly_stretches(
    storms_per_a: float, month_shares: Sequence[float], from_month: float, interval_a: float
) -> list[Stretch]:
    """Storm demand month by month for `interval_a` years from `from_month` (0 = 1 January).

    `from_month` may be broken (5.5 = mid June). Months count as a twelfth of a year.
    """
    shares = checked_month_shares(month_shares)
    left = positive("interval", interval_a) * MONTHS
    month, into = int(from_month % MONTHS), from_month % 1
    stretches: list[Stretch] = []
    while left > 1e-9:
        step = min(1 - into, left)
        stretches.append((step / MONTHS, storms_per_a * shares[month % MONTHS] * MONTHS))
        left, month, into = left - step, month + 1, 0.0
    return stretches


def checked_month_shares(month_shares: Sequence[float]) -> tuple[float, ...]:
    """The twelve shares, when they are such; raises MonthSharesDoNotFit."""
    shares = tuple(month_shares)
    is_sound = len(shares) == MONTHS and min(shares) >= 0 and abs(sum(shares) - 1) < 1e-6
    if not is_sound:
        raise MonthSharesDoNotFit(
            f"The months' shares of storms are {shares}; give twelve numbers of zero or more "
            "that add up to 1."
        )
    return shares


def outage_floor(storms_per_a: float, outage_chance: float) -> float:
    """Chance per year that a harmful storm meets a dead outlet: 1 - e^{-D p_out}.

    No test lowers it; a battery or a generator does. p_out 0.02-0.10 for thunderstorms, near 0.5 at
    a hurricane's landfall: judgement, no source.
    """
    storms = not_negative("storms a year", storms_per_a)
    return -math.expm1(-storms * share("chance of an outage in a storm", outage_chance))


def with_floor(chance: float, floor: float) -> float:
    """Chance that at least one of two independent misfortunes happens in a year."""
    return 1 - (1 - chance) * (1 - floor)
