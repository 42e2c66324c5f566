"""Plans of a season by clearing a few neighbourhoods and putting them back at shaken prices."""

from collections.abc import Callable
from math import log
from random import Random
from typing import TYPE_CHECKING

from drainservice.engine.rounds.season_shelf import Shelf

if TYPE_CHECKING:
    from drainservice.engine.rounds.season_model import Array

# Found by trying, on drawn seasons of 800 and 5,000 visits. Neighbourhoods meet only in the weeks
# they share, so those cleared together share one; now and then any, for some may be in no week.
MOST_CLEARED = 3
FROM_ANY_SHARE = 0.1
SHAKE = (0.7, 1.3)
HEAT = 0.025


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
    for done in range(rebuilds):
        heat = HEAT * scale * max(0.0, 1 - done / cools_over) ** 2
        limit = shelf.cost - heat * log(1.0 - random.random())
        _try_one(shelf, prices, limit, random)
        if shelf.cost < best_cost - 1e-9:
            best, best_cost = list(shelf.week), shelf.cost
        if is_over(done + 1, best_cost):
            break
    shelf.take(best)


def _try_one(shelf: Shelf, prices: "Array", limit: float, random: Random) -> None:
    """Clear and put back a few neighbourhoods; bring them back if that ends dearer than `limit`."""
    import numpy as np

    chosen = _choose(shelf, random)
    saved, room, before = shelf.save(chosen), list(shelf.room), shelf.cost
    shaken = prices * np.array([random.uniform(*SHAKE) for _ in shelf.room])
    for cell in chosen:
        shelf.clear(cell)
    for cell in chosen:
        shelf.put_back(cell, shaken)
    shelf.cost += sum(shelf.cell_cost[cell] for cell in chosen) - sum(one.cost for one in saved)
    if shelf.cost > limit:
        shelf.bring_back(saved)
        shelf.room, shelf.cost = room, before


def _choose(shelf: Shelf, random: Random) -> list[int]:
    """Cells in random order that share a random week, or any."""
    count = random.randint(1, MOST_CLEARED)
    week = random.randrange(len(shelf.room))
    cells = []
    if random.random() >= FROM_ANY_SHARE:
        cells = shelf.load[:, week].nonzero()[0].tolist()
    if not cells:
        cells = list(range(len(shelf.members)))
    return random.sample(cells, min(count, len(cells)))
