"""The weeks of a season: bound, plan, bound again; judged before anybody sees it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from random import Random
from typing import TYPE_CHECKING

from drainservice.engine.rounds.season.bound import Priced, PricedCells, raise_bound
from drainservice.engine.rounds.season.check import assert_season_sound
from drainservice.engine.rounds.season.facts import SeasonFacts
from drainservice.engine.rounds.season.faults import find_set_aside, refuse_impossible_season
from drainservice.engine.rounds.season.model import SeasonModel, make_model
from drainservice.engine.rounds.season.rebuild import fill, rebuild
from drainservice.engine.rounds.season.result import (
    CellDrive,
    SeasonCost,
    SeasonEffort,
    SeasonPlan,
    SeasonProgress,
    SetAside,
    WeekLevel,
)
from drainservice.engine.rounds.season.shelf import LEFT_OUT, Shelf

if TYPE_CHECKING:
    from drainservice.engine.rounds.season.model import Array

# A step to a bound takes some ten milliseconds on 5,000 visits, a rebuild a third of one.
STEPS_ASK, STEPS_TELL = 5, 25
REBUILDS_ASK, REBUILDS_TELL = 25, 500


@dataclass(slots=True)
class Pace:
    """Counts what is done, tells it now and then, and asks whether to go on."""

    wanted: int
    should_stop: Callable[[], bool]
    told: Callable[[SeasonProgress], None]
    bound: float = 0.0
    steps: int = 0
    rebuilds: int = 0
    is_stopped: bool = False

    def after_step(self, cost: float, bound: float) -> bool:
        """A step to a bound was made; whether to stop."""
        self.bound = bound
        self.steps += 1
        if self.steps % STEPS_TELL == 0:
            self._tell(cost)
        if self.steps % STEPS_ASK == 0:
            self.is_stopped = self.should_stop()
        return self.is_stopped

    def after_rebuild(self, done: int, cost: float) -> bool:
        """So many rebuilds were made; whether to stop."""
        self.rebuilds = done
        if done % REBUILDS_TELL == 0:
            self._tell(cost)
        if done % REBUILDS_ASK == 0:
            self.is_stopped = self.should_stop()
        return self.is_stopped

    def _tell(self, cost: float) -> None:
        self.told(SeasonProgress(self.rebuilds, self.wanted, cost, self.bound))


def never() -> bool:
    """A run that goes on to its end."""
    return False


def unheard(progress: SeasonProgress) -> None:
    """A run whose progress nobody reads."""


def solve_season(
    facts: SeasonFacts,
    seed: int = 1,
    effort: SeasonEffort | None = None,
    begin_from: Mapping[int, int | None] | None = None,
    should_stop: Callable[[], bool] = never,
    told: Callable[[SeasonProgress], None] = unheard,
) -> SeasonPlan:
    """A week for each visit, or a reason why not; with a bound on what any plan would cost.

    The same facts, seed, effort and `begin_from` give the same plan. `begin_from`: week by key of a
    plan to begin at, which the new one is then never dearer than, where it holds. `should_stop` is
    asked every few milliseconds and ends the run with the best plan so far.

    Raises SeasonCannotBePlanned, PlaceCannotBe for a yard, SeasonPlanBroken if the plan fails the
    independent check.
    """
    refuse_impossible_season(facts)
    asked = SeasonEffort() if effort is None else effort
    set_aside = find_set_aside(facts)
    aside = {one.key for one in set_aside}
    planned = [number for number, visit in enumerate(facts.visits) if visit.key not in aside]
    model = make_model(facts, planned)
    pace = Pace(asked.rebuilds, should_stop, told)
    shelf, priced, done = _search(model, facts, seed, asked, begin_from or {}, pace)
    plan = _make_plan(facts, model, shelf, priced, set_aside, seed, done)
    assert_season_sound(facts, plan)
    return plan


def _search(
    model: SeasonModel,
    facts: SeasonFacts,
    seed: int,
    asked: SeasonEffort,
    begin_from: Mapping[int, int | None],
    pace: Pace,
) -> tuple[Shelf, Priced, SeasonEffort]:
    import numpy as np

    random, shelf = Random(seed), Shelf(model)
    begin = [begin_from.get(facts.visits[number].key) for number in model.visits]
    free = Priced(0.0, np.zeros(len(model.rim)))
    if not model.cells:
        return shelf, free, replace(asked, first_steps=0, rebuilds=0, last_steps=0)
    fill(shelf, free.prices, random)
    rough = shelf.cost
    cells = PricedCells(model)

    def climb(start: Priced, target: float, steps: int) -> Priced:
        def is_over(best: Priced) -> bool:
            return pace.after_step(target, best.bound)

        return raise_bound(cells, start, target, steps, is_over)

    priced = climb(free, rough, asked.first_steps)
    first = pace.steps
    _begin(shelf, priced.prices, random, begin)
    cools_over = asked.cools_over or asked.rebuilds
    scale = priced.bound / len(model.cells)
    if not pace.is_stopped:
        rebuild(shelf, priced.prices, scale, asked.rebuilds, cools_over, random, pace.after_rebuild)
    # Count the plan afresh: sums made step by step differ by rounding from those of another run.
    shelf.take(list(shelf.week))
    if not pace.is_stopped:
        priced = climb(priced, shelf.cost, asked.last_steps)
    return shelf, priced, SeasonEffort(first, pace.rebuilds, cools_over, pace.steps - first)


def _begin(shelf: Shelf, prices: "Array", random: Random, begin: list[int | None]) -> None:
    """Lay down the cheapest of: the rough plan, one at these prices, and the one to begin from."""
    rough, cost = list(shelf.week), shelf.cost
    fill(shelf, prices, random)
    if shelf.cost > cost:
        shelf.take(rough)
    if any(week is not None for week in begin):
        found, cost = list(shelf.week), shelf.cost
        shelf.take_what_holds(begin)
        if shelf.cost > cost:
            shelf.take(found)


def _make_plan(
    facts: SeasonFacts,
    model: SeasonModel,
    shelf: Shelf,
    priced: Priced,
    set_aside: tuple[SetAside, ...],
    seed: int,
    done: SeasonEffort,
) -> SeasonPlan:
    keys = [facts.visits[number].key for number in model.visits]
    loads = shelf.load.sum(axis=0).tolist()
    return SeasonPlan(
        weeks=tuple(
            (key, None if week == LEFT_OUT else week)
            for key, week in zip(keys, shelf.week, strict=True)
        ),
        set_aside=set_aside,
        cost=_cost_by_part(facts, model, shelf),
        bound=priced.bound,
        levels=tuple(
            WeekLevel(
                starts_on=week.starts_on,
                load_min=loads[number],
                rim_min=facts.rim_min(number),
                price=float(priced.prices[number]),
                planned=shelf.week.count(number),
            )
            for number, week in enumerate(facts.weeks)
        ),
        cells=tuple(
            CellDrive(tuple(keys[m] for m in cell.members), cell.drive_min, cell.between_min)
            for cell in model.cells
        ),
        seed=seed,
        effort=done,
    )


def _cost_by_part(facts: SeasonFacts, model: SeasonModel, shelf: Shelf) -> SeasonCost:
    risk = moved = left_out = 0.0
    for row, number in enumerate(model.visits):
        visit, week = facts.visits[number], shelf.week[row]
        is_moved = visit.promised is None and visit.offered not in (None, week)
        charge = facts.settings.moved_units if is_moved else 0.0
        moved += charge
        if week == LEFT_OUT:
            left_out += shelf.out_rows[row] - charge
        else:
            risk += shelf.cost_rows[row][week] - charge
    driving = sum(
        drive * int((load > 0.0).sum())
        for drive, load in zip(shelf.drives, shelf.load, strict=True)
    )
    return SeasonCost(risk, driving, moved, left_out)
