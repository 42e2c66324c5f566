"""Flood chance averaged over what is believed of one pump's rate."""

from collections.abc import Sequence

from drainservice.engine.reliability.floods import Stretch
from drainservice.engine.reliability.posterior import Posterior


def mean_flood_chance(belief: Posterior, stretches: Sequence[Stretch]) -> float:
    """`floods.flood_chance_over` per year at every rate of the grid, weighted by the belief."""
    import numpy as np

    rate = belief.rate
    storms_left = sum(h * d for h, d in stretches)
    start = 0.0
    chance = np.zeros_like(rate)
    for length, storms_per_a in stretches:
        storms_left -= length * storms_per_a
        x, y = rate * length, storms_per_a * length
        gap = np.maximum(np.abs(y - x), 1e-12)
        spared = x * np.exp(-np.minimum(x, y)) * -np.expm1(-gap) / gap
        chance += np.exp(-rate * start) * (-np.expm1(-x) - np.exp(-max(0.0, storms_left)) * spared)
        start += length
    return float(belief.weight @ chance) / start
