"""Plans of a season by clearing a few neighbourhoods and putting them back at shaken prices."""

from collections.abc import Callable
from math import log
from random import Random
from typing import TYPE_CHECKING

from drainservice.engine.rounds.season.shelf import Shelf

if TYPE_CHECKING:
    from drainservice.engine.rounds.season.model import Array

# All found by trying, on drawn seasons of 12 to 5,000 visits. Neighbourhoods meet only in the weeks
# they share, so those cleared together share one; now and then any, for some may be in no week.
MOST_WHOLE, MOST_IN_PART = 3, 5
IN_PART_SHARE, LEAVING_SHARE = 0.5, 0.4
FROM_ANY_SHARE = 0.1
CALM, WILD = (0.7, 1.3), (0.0, 2.0)
WILD_SHARE, SHUT_SHARE = 0.3, 0.2
HEAT, FEW_CELLS = 0.025, 30
SHUT_PRICE = 1e9


def fill(shelf: Shelf, prices: "Array", random: Random) -> None:
    """Clear all and put every neighbourhood back once, in a random order."""
    cells = list(range(len(shelf.members)))
    for cell in cells:
        shelf.clear(cell)
    random.shuffle(cells)
    for cell in cells:
        shelf.put_back(cell, prices)
    shelf.cost = sum(shelf.cell_cost)


def rebuild(
    shelf: Shelf,
    prices: "Array",
    scale: float,
    rebuilds: int,
    cools_over: int,
    random: Random,
    is_over: Callable[[int, float], bool],
) -> None:
    """Search from the plan on the shelf and leave the best one found there.

    Annealing: worse plans are kept by chance, the less the colder; `scale` is what a neighbourhood
    costs, in units; cold after `cools_over`. `is_over` is told rebuilds and best cost after each.
    """
    best, best_cost = list(shelf.week), shelf.cost
    # Among few neighbourhoods there are few ways round an obstacle; it is climbed, then.
    hottest = HEAT * scale * (1 + FEW_CELLS / len(shelf.members))
    for done in range(rebuilds):
        heat = hottest * max(0.0, 1 - done / cools_over) ** 2
        limit = shelf.cost - heat * log(1.0 - random.random())
        _try_one(shelf, prices, limit, random)
        if shelf.cost < best_cost - 1e-9:
            best, best_cost = list(shelf.week), shelf.cost
        if is_over(done + 1, best_cost):
            break
    shelf.take(best)


def _try_one(shelf: Shelf, prices: "Array", limit: float, random: Random) -> None:
    """Clear a few neighbourhoods, or parts of them, and put them back; undo it above `limit`."""
    in_part = random.random() < IN_PART_SHARE
    chosen = _choose(shelf, MOST_IN_PART if in_part else MOST_WHOLE, random)
    saved, room, before = shelf.remember(chosen), list(shelf.room), shelf.cost
    for cell in chosen:
        shelf.clear(cell, _some(len(shelf.free[cell]), random) if in_part else None)
    shaken, order = _shake(prices, random)
    for cell in chosen:
        shelf.put_back(cell, shaken, order)
    shelf.cost += sum(shelf.cell_cost[cell] for cell in chosen) - sum(one.cost for one in saved)
    if shelf.cost > limit:
        shelf.bring_back(saved)
        shelf.room, shelf.cost = room, before


def _shake(prices: "Array", random: Random) -> tuple["Array", Random | None]:
    """Prices a little off; at times far off, some weeks shut and visits in any order."""
    import numpy as np

    is_wild = random.random() < WILD_SHARE
    low, high = WILD if is_wild else CALM
    factors = [random.uniform(low, high) for _ in prices]
    shaken = prices * np.array(factors)
    if not is_wild:
        return shaken, None
    shut = [random.random() < SHUT_SHARE for _ in prices]
    return np.where(shut, SHUT_PRICE, shaken), random


def _some(count: int, random: Random) -> list[int]:
    return [place for place in range(count) if random.random() < LEAVING_SHARE]


def _choose(shelf: Shelf, most: int, random: Random) -> list[int]:
    """Cells in random order that share a random week, or any."""
    count = random.randint(1, most)
    week = random.randrange(len(shelf.room))
    cells = []
    if random.random() >= FROM_ANY_SHARE:
        cells = shelf.load[:, week].nonzero()[0].tolist()
    if not cells:
        cells = list(range(len(shelf.members)))
    return random.sample(cells, min(count, len(cells)))
