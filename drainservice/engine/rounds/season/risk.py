"""What each week would cost a visit: the risk that its pump is dead when a storm comes."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from drainservice.engine.rounds.season.facts import GivenCosts, PumpRisk, SeasonFacts

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[np.float64]]

# What a dead pump costs in a storm that matters, in units by consequence: judgement.
DEAD_UNITS = {
    "yard": 200.0,
    "near_structure": 2000.0,
    "living_space": 10_000.0,
    "flooded_before": 10_000.0,
}


def risk_curves(
    risks: Sequence[PumpRisk], storm_chances: Sequence[float], weeks: int, left_out_units: float
) -> "Array":
    """Units of risk, shape (n, weeks + 1); the last column is leaving the visit out.

    With q_v the chance of a storm in week v, U(v) = 1 - exp(-rate (age + v)) the chance that the
    pump is dead by then and V what that costs, a visit in week w leaves the risk
    V [sum_{v<w} q_v U(v) + sum_{v>=w} q_v (1 - exp(-rate (v - w)))]: before the visit the old
    age counts, after it the pump is as if new. Left out: V sum q_v U(v) + `left_out_units`. The
    least of the weeks is taken off all, so that only what waiting or haste costs is left.
    """
    import numpy as np

    rate = np.array([risk.failure_per_week for risk in risks])[:, None]
    age = np.array([risk.age_weeks for risk in risks])[:, None]
    dead = np.array([risk.dead_units for risk in risks])
    chance = np.asarray(storm_chances, dtype=np.float64)
    later = np.arange(len(chance), dtype=np.float64)
    before = chance * -np.expm1(-rate * (age + later))
    raw = np.empty((len(risks), weeks + 1))
    for week in range(weeks):
        after = chance[week:] * -np.expm1(-rate * (later[week:] - week))
        raw[:, week] = dead * (before[:, :week].sum(axis=1) + after.sum(axis=1))
    raw[:, weeks] = dead * before.sum(axis=1) + left_out_units
    # Never below nothing: the least of the weeks may stand a rounding above itself.
    curves: Array = np.maximum(raw - raw[:, :weeks].min(axis=1, keepdims=True), 0.0)
    return curves


def week_costs(facts: SeasonFacts, planned: Sequence[int]) -> "Array":
    """The same for the visits of a season at these places: derived, or as they were given."""
    import numpy as np

    weeks = len(facts.weeks)
    costs = np.empty((len(planned), weeks + 1))
    derived, risks = [], []
    for row, number in enumerate(planned):
        given = facts.visits[number].costs
        if isinstance(given, GivenCosts):
            costs[row] = [*given.weeks, given.left_out]
        else:
            derived.append(row)
            risks.append(given)
    if risks:
        units = facts.settings.left_out_units
        costs[derived] = risk_curves(risks, facts.storm_chances, weeks, units)
    return costs
