"""A season's plan under work: neighbourhoods are cleared, put back, and can be brought back."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from random import Random
from typing import TYPE_CHECKING

from drainservice.engine.rounds.season.model import SeasonModel
from drainservice.engine.rounds.season.sets import best_set

if TYPE_CHECKING:
    from drainservice.engine.rounds.season.model import Array

LEFT_OUT = -1
ROUNDING_MIN = 1e-7


@dataclass(frozen=True, slots=True)
class Saved:
    """A cell as it stood."""

    cell: int
    weeks: list[int]
    load: "Array"
    cost: float


class Shelf:
    """A week for each visit (-1: left out), the room in each week, what each cell costs.

    `load` (K, W): minutes of each cell in each week, its drive included. Of each cell, `free` are
    the visits that are not promised; only these ever move. While it is cleared, `taken` are their
    places that were taken out and `stays` the weeks in which others keep it open.
    """

    def __init__(self, model: SeasonModel) -> None:
        """Begin with what is promised, all else left out."""
        import numpy as np

        self.model = model
        self.cost_rows: list[list[float]] = model.cost.tolist()
        self.out_rows: list[float] = model.out.tolist()
        self.work_rows: list[float] = model.work.tolist()
        self.drives: list[float] = model.drive.tolist()
        self.kept: list[list[int]] = [np.flatnonzero(row).tolist() for row in model.is_kept]
        self.most = [
            extra + len(kept) for extra, kept in zip(model.extra.tolist(), self.kept, strict=True)
        ]
        self.stays = [list(kept) for kept in self.kept]
        self.taken: list[list[int]] = [[] for _ in model.cells]
        promised: list[int] = model.promised.tolist()
        self.members = [list(cell.members) for cell in model.cells]
        self.free = [[m for m in members if promised[m] < 0] for members in self.members]
        self.costs = [np.ascontiguousarray(model.cost[free].T) for free in self.free]
        self.outs = [model.out[free] for free in self.free]
        self.works = [model.work[free] for free in self.free]
        self.least = [float(works.min()) if len(works) else 0.0 for works in self.works]
        self.take(promised)

    def take(self, weeks: Sequence[int]) -> None:
        """Make this the plan: a week or -1 for each visit of the model."""
        import numpy as np

        self.week = list(weeks)
        self.load = np.zeros((len(self.members), len(self.model.rim)))
        self.cell_cost = [0.0] * len(self.members)
        for cell, members in enumerate(self.members):
            there = {self.week[member] for member in members} | set(self.kept[cell])
            for week in there - {LEFT_OUT}:
                self.load[cell, week] = self.drives[cell]
            for member in members:
                if self.week[member] != LEFT_OUT:
                    self.load[cell, self.week[member]] += self.work_rows[member]
            self._count(cell)
        self.room: list[float] = (self.model.rim - self.load.sum(axis=0)).tolist()
        self.cost = sum(self.cell_cost)

    def take_what_holds(self, weeks: Sequence[int | None]) -> None:
        """Make this the plan as far as it holds: visits whose week is shut or full stay out."""
        self.take(self.model.promised.tolist())
        for cell, members in enumerate(self.free):
            is_open = set(self.kept[cell])
            for member in members:
                week = weeks[member]
                if week is None or not 0 <= week < len(self.room):
                    continue
                is_new = week not in is_open
                needed = self.work_rows[member] + (self.drives[cell] if is_new else 0.0)
                # A plan that was full to the brim must still fit: sums differ by rounding.
                fits = needed <= self.room[week] + ROUNDING_MIN
                if (
                    fits
                    and self.cost_rows[member][week] < inf
                    and len(is_open) + is_new <= self.most[cell]
                ):
                    is_open.add(week)
                    self.room[week] -= needed
                    self.week[member] = week
        self.take(self.week)

    def clear(self, cell: int, leaves: Sequence[int] | None = None) -> None:
        """Take out visits of a cell: those at these places among its free ones, or all of them."""
        free, load, week_of = self.free[cell], self.load[cell], self.week
        for week in load.nonzero()[0].tolist():
            self.room[week] += float(load[week])
        load[:] = 0.0
        places = range(len(free)) if leaves is None else leaves
        for place in places:
            week_of[free[place]] = LEFT_OUT
        self.taken[cell] = list(places)
        kept = self.kept[cell]
        if leaves is not None:
            kept = sorted({*kept, *(week_of[member] for member in free)} - {LEFT_OUT})
        self.stays[cell] = kept
        if not kept:
            return
        load[kept] = self.drives[cell]
        for member in self.members[cell]:
            if week_of[member] != LEFT_OUT:
                load[week_of[member]] += self.work_rows[member]
        for week in kept:
            self.room[week] -= float(load[week])

    def put_back(self, cell: int, prices: "Array", random: Random | None = None) -> None:
        """Choose the cell's weeks among those with room, then give each visit its week."""
        taken = self.taken[cell]
        if taken:
            whole = len(taken) == len(self.free[cell])
            costs, works = self.costs[cell], self.works[cell]
            outs = self.outs[cell]
            if not whole:
                costs, works, outs = costs[:, taken], works[taken], outs[taken]
            dear = costs + prices[:, None] * works
            least = self.least[cell] if whole else float(works.min())
            chosen = self._choose_weeks(cell, dear, outs, least, prices)
            if chosen:
                self._assign(cell, chosen, dear, outs, works, random)
        self._count(cell)

    def remember(self, cells: Sequence[int]) -> list[Saved]:
        """What is needed to bring these cells back."""
        return [
            Saved(
                cell,
                [self.week[member] for member in self.free[cell]],
                self.load[cell].copy(),
                self.cell_cost[cell],
            )
            for cell in cells
        ]

    def bring_back(self, saved: Sequence[Saved]) -> None:
        """Undo the cells; the caller restores room and cost of the whole."""
        for one in saved:
            for member, week in zip(self.free[one.cell], one.weeks, strict=True):
                self.week[member] = week
            self.load[one.cell] = one.load
            self.cell_cost[one.cell] = one.cost

    def _count(self, cell: int) -> None:
        weeks, cost = set(self.kept[cell]), 0.0
        for member in self.members[cell]:
            week = self.week[member]
            if week == LEFT_OUT:
                cost += self.out_rows[member]
            else:
                weeks.add(week)
                cost += self.cost_rows[member][week]
        self.cell_cost[cell] = cost + self.drives[cell] * len(weeks)

    def _choose_weeks(
        self, cell: int, dear: "Array", outs: "Array", least: float, prices: "Array"
    ) -> list[int]:
        """Weeks with a promise there and room, and the best set of others that can be opened."""
        import numpy as np

        drive, base, stays = self.drives[cell], outs, self.stays[cell]
        chosen = [week for week in stays if self.room[week] >= least]
        extra = self.most[cell] - len(stays)
        if extra <= 0:
            return chosen
        for week in chosen:
            base = np.minimum(base, dear[week])
        fits = np.array(self.room) >= drive + least
        fits[stays] = False
        weeks = np.flatnonzero(fits)
        gain = np.maximum(base - dear[weeks], 0.0)
        priced = drive * (1.0 + prices[weeks])
        # A week that gains less than its drive when alone gains no more beside others.
        worth = np.flatnonzero(np.einsum("wj->w", gain) > priced)
        found = best_set(gain[worth], priced[worth], extra)
        added: list[int] = weeks[worth[list(found)]].tolist()
        return chosen + added

    def _assign(
        self,
        cell: int,
        chosen: list[int],
        dear: "Array",
        outs: "Array",
        works: "Array",
        random: Random | None,
    ) -> None:
        """Visits in order of regret per minute, each into its cheapest chosen week with room."""
        import numpy as np

        drive, room, load, free = self.drives[cell], self.room, self.load[cell], self.free[cell]
        taken = self.taken[cell]
        offers = np.concatenate((dear[chosen], outs[None, :]))
        ranked = offers.argsort(axis=0, kind="stable").T.tolist()
        cheapest = np.sort(offers, axis=0)
        regret = (cheapest[1] - cheapest[0]) / works
        if random is not None:
            regret *= [random.random() for _ in taken]
        is_open = set(self.stays[cell])
        weeks = [*chosen, LEFT_OUT]
        for place in np.argsort(-regret, kind="stable").tolist():
            member = free[taken[place]]
            for choice in ranked[place]:
                week = weeks[choice]
                if week == LEFT_OUT or self.cost_rows[member][week] == inf:
                    break
                needed = self.work_rows[member] + (0.0 if week in is_open else drive)
                if needed <= room[week]:
                    is_open.add(week)
                    room[week] -= needed
                    load[week] += needed
                    self.week[member] = week
                    break
