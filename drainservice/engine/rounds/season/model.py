"""A season as arrays: what search and bound count with."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from drainservice.engine.rounds.season.cells import Cell, cut_into_cells
from drainservice.engine.rounds.season.facts import SeasonFacts, SeasonVisit
from drainservice.engine.rounds.season.risk import week_costs

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, np.dtype[np.float64]]
    Numbers = np.ndarray[Any, np.dtype[np.intp]]
    Truths = np.ndarray[Any, np.dtype[np.bool_]]


@dataclass(frozen=True, slots=True)
class SeasonModel:
    """n visits, W weeks, K cells.

    `visits`: numbers in SeasonFacts. `cost` (n, W): units, infinite where the visit may not go, the
    charge for a moved offer within. `out` (n): leaving it out, infinite for a promise. `work` (n):
    minutes with the driving between doors. `promised` (n): the week, else -1. `rim` (W): minutes,
    never below what promises alone take. `is_kept` (K, W): a promise brings us there anyhow.
    `extra` (K): in how many more weeks a cell may be driven to.
    """

    visits: tuple[int, ...]
    cost: "Array"
    out: "Array"
    work: "Array"
    promised: "Numbers"
    cells: tuple[Cell, ...]
    drive: "Array"
    rim: "Array"
    is_kept: "Truths"
    extra: "Numbers"


def make_model(facts: SeasonFacts, planned: Sequence[int]) -> SeasonModel:
    """The model of the visits at these places of `facts.visits`; none of them at fault."""
    import numpy as np

    visits = [facts.visits[number] for number in planned]
    weeks = len(facts.weeks)
    places = [visit.place for visit in visits]
    cells = cut_into_cells(places, facts.homes, facts.travel, facts.settings.cell_visits)
    work = np.array([visit.work_min for visit in visits], dtype=np.float64)
    for cell in cells:
        work[list(cell.members)] += cell.between_min
    drive = np.array([cell.drive_min for cell in cells], dtype=np.float64)
    promised = np.array([-1 if v.promised is None else v.promised for v in visits], dtype=np.intp)
    is_kept = np.zeros((len(cells), weeks), dtype=np.bool_)
    for number, cell in enumerate(cells):
        kept = promised[list(cell.members)]
        is_kept[number, kept[kept >= 0]] = True
    needed = (drive[:, None] * is_kept).sum(axis=0)
    np.add.at(needed, promised[promised >= 0], work[promised >= 0])
    rim = np.array([facts.rim_min(week) for week in range(weeks)])
    cost, out = _costs(facts, visits, week_costs(facts, planned))
    extra = np.maximum(facts.settings.cell_weeks - is_kept.sum(axis=1), 0)
    return SeasonModel(
        visits=tuple(planned),
        cost=cost,
        out=out,
        work=work,
        promised=promised,
        cells=cells,
        drive=drive,
        rim=np.maximum(rim, needed),
        is_kept=is_kept,
        extra=extra,
    )


def _costs(
    facts: SeasonFacts, visits: Sequence[SeasonVisit], risk: "Array"
) -> tuple["Array", "Array"]:
    import numpy as np

    weeks = len(facts.weeks)
    cost, out = risk[:, :weeks].copy(), risk[:, weeks].copy()
    closed = np.array([week.crew_min <= 0.0 for week in facts.weeks])
    for row, visit in enumerate(visits):
        if visit.promised is not None:
            cost[row, np.arange(weeks) != visit.promised] = np.inf
            out[row] = np.inf
            continue
        if visit.offered is not None:
            cost[row] += facts.settings.moved_units
            cost[row, visit.offered] -= facts.settings.moved_units
            out[row] += facts.settings.moved_units
        cost[row, closed] = np.inf
        cost[row, : max(visit.earliest, 0)] = np.inf
        if visit.last is not None:
            cost[row, visit.last + 1 :] = np.inf
    return cost, out
