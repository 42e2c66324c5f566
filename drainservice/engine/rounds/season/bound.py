"""How cheap any plan of the season could be: a price on each week's minutes proves it.

With a price mu_w >= 0 for each minute of a week instead of its rim, every neighbourhood stands
alone and its best set of weeks is found exactly. What that costs, less the price of all the crew's
minutes, is below the cost of every plan that keeps the rims (Lagrangian relaxation), whatever the
prices; the search only looks for prices at which it stands high.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drainservice.engine.rounds.season.model import SeasonModel
from drainservice.engine.rounds.season.sets import best_sets

if TYPE_CHECKING:
    from drainservice.engine.rounds.season.model import Array, Numbers

STEPS = 250
FIRST_PULL = 1.0
IDLE_STEPS = 6
WEAKER = 0.7


@dataclass(frozen=True, slots=True)
class Priced:
    """The prices tried last that stood highest: `bound` in units, `prices` in units a minute."""

    bound: float
    prices: "Array"


class PricedCells:
    """The season cut into neighbourhoods, padded to one width, ready to be priced again and again.

    Arrays are (week, place in the cell, cell); places without a visit gain nothing anywhere.
    """

    def __init__(self, model: SeasonModel) -> None:
        import numpy as np

        self.model = model
        self.weeks, cells = len(model.rim), len(model.cells)
        width = max((len(cell.members) for cell in model.cells), default=0)
        self.member: Numbers = np.full((width, cells), -1, dtype=np.intp)
        for number, cell in enumerate(model.cells):
            free = [m for m in cell.members if model.promised[m] < 0]
            self.member[: len(free), number] = free
        self.is_free = self.member >= 0
        self.cost = np.where(self.is_free, model.cost.T[:, self.member], np.inf)
        self.out = np.where(self.is_free, model.out[self.member], 0.0)
        self.work = np.where(self.is_free, model.work[self.member], 0.0)
        fixed = np.flatnonzero(model.promised >= 0)
        weeks = model.promised[fixed]
        self.kept_load = (model.drive[:, None] * model.is_kept).sum(axis=0)
        np.add.at(self.kept_load, weeks, model.work[fixed])
        self.kept_cost = float(model.cost[fixed, weeks].sum())
        self.kept_cost += float((model.drive[:, None] * model.is_kept).sum())

    def price(self, prices: "Array") -> tuple[float, "Array"]:
        """The bound at these prices, and the minutes each week would then be filled with."""
        import numpy as np

        model = self.model
        dear = self.cost + prices[:, None, None] * self.work
        kept = np.where(model.is_kept.T[:, None, :], dear, np.inf)
        base = np.minimum(self.out, kept.min(axis=0))
        gain = np.maximum(base - dear, 0.0)
        drive = model.drive * (1.0 + prices[:, None])
        value, sets = best_sets(gain, drive, model.extra)
        bound = self.kept_cost + float(base.sum() - value.sum())
        bound += float(prices @ (self.kept_load - model.rim))
        return bound, self._load(gain, kept, sets)

    def _load(self, gain: "Array", kept: "Array", sets: "Numbers") -> "Array":
        import numpy as np

        load: Array = self.kept_load.copy()
        cells = np.arange(len(self.model.cells))
        used = sets >= 0
        np.add.at(load, sets[used], np.broadcast_to(self.model.drive[:, None], sets.shape)[used])
        # In the chosen weeks each visit takes the one that gains most, else a kept week, else none.
        of_sets = np.where(
            used.T[:, None, :], gain[sets.T, :, cells[None, :]].transpose(0, 2, 1), 0
        )
        pick = of_sets.argmax(axis=0)
        gained = of_sets.max(axis=0) > 0.0
        week = sets.T[pick, cells[None, :]]
        cheapest = kept.min(axis=0)
        goes = np.where(gained, week, np.where(cheapest < self.out, kept.argmin(axis=0), -1))
        goes = np.where(self.is_free, goes, -1)
        np.add.at(load, goes[goes >= 0], self.work[goes >= 0])
        return load


def raise_bound(
    cells: PricedCells,
    start: Priced,
    target: float,
    steps: int,
    is_over: Callable[[Priced], bool],
) -> Priced:
    """Climb by subgradients towards `target`, a plan's cost; back to the best after idle steps."""
    import numpy as np

    best, prices, pull, idle = start, start.prices, FIRST_PULL, 0
    for _ in range(steps):
        bound, load = cells.price(prices)
        if bound > best.bound:
            best, idle = Priced(bound, prices), 0
        else:
            idle += 1
        slope = load - cells.model.rim
        # A week that is free of charge and below its rim has nothing to give.
        slope = np.where((prices <= 0.0) & (slope < 0.0), 0.0, slope)
        steep = float(slope @ slope)
        if is_over(best) or steep <= 0.0 or best.bound >= target:
            break
        if idle >= IDLE_STEPS:
            prices, pull, idle = best.prices, pull * WEAKER, 0
            continue
        step = pull * (target - bound) / steep
        prices = np.maximum(prices + step * slope, 0.0)
    return best
