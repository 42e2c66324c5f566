"""Rounds of a day or of several: from the plan as it stands, by the routing solver where there is
one, mended, searched exactly and rebuilt. Every plan passes the independent judge."""

from dataclasses import dataclass

from drainservice.engine.rounds.check import assert_sound, count_cost
from drainservice.engine.rounds.facts import DAY_S, Cost, Plan, PlanInputs
from drainservice.engine.rounds.search.draft import Draft, empty_draft
from drainservice.engine.rounds.search.effort import (
    Effort,
    Progress,
    ShouldStop,
    Told,
    never,
    unheard,
)
from drainservice.engine.rounds.search.even_out import even_out
from drainservice.engine.rounds.search.every_order import MOST_STOPS, find_cheapest
from drainservice.engine.rounds.search.figures import MISSING, Figures, make_figures
from drainservice.engine.rounds.search.local import Search, find_near
from drainservice.engine.rounds.search.mend import heal_round, mend_rounds, settle
from drainservice.engine.rounds.search.rebuild import WARMTH, WARMTH_AFTER, rebuild
from drainservice.engine.rounds.search.vrp import sketch_rounds, solver_version

WITHOUT = "without"


class PromiseHasNoPlace(ValueError):
    """A visit that must not be left out fits into no round; the text says which, and what to
    change. `keys` are the visits' keys."""

    def __init__(self, text: str, keys: tuple[int, ...]) -> None:
        super().__init__(text)
        self.keys = keys


@dataclass(frozen=True, slots=True)
class Solved:
    """A plan that passed the judge, and what it takes to find it again: the same inputs and seed,
    and `done` as the effort.

    `solver` is the routing solver and its version, or "without". `is_exact` says that every
    order was tried, so that no plan is cheaper.
    """

    plan: Plan
    cost: Cost
    seed: int
    done: Effort
    solver: str
    is_exact: bool


class _Once:
    """A wish to stop that is not taken back."""

    def __init__(self, should_stop: ShouldStop) -> None:
        self.should_stop, self.is_over = should_stop, False

    def __call__(self) -> bool:
        self.is_over = self.is_over or self.should_stop()
        return self.is_over


def solve_rounds(
    inputs: PlanInputs,
    *,
    seed: int = 0,
    iterations: Effort | None = None,
    should_stop: ShouldStop = never,
    told: Told = unheard,
) -> Solved:
    """The cheapest rounds found, sound by the judge; ended by counts, or by `should_stop`.

    Raises PromiseHasNoPlace where a visit that must not be left out fits nowhere.
    """
    f = make_figures(inputs)
    if len(inputs.stops) <= MOST_STOPS:
        plan = find_cheapest(f)
        return _judged(f, plan, seed, Effort(0, 0, 0, 0), WITHOUT, is_exact=True)
    wanted = iterations or Effort()
    stop = _Once(should_stop)
    draft = start_draft(f)
    told(Progress("start", 1, 1, _known(draft)))
    draft, solver_done, solver = _by_solver(f, draft, seed, wanted, stop, told)
    near = find_near(f)
    search = Search(draft, near, wanted.looks, stop)
    looks = search.run()
    told(Progress("search", looks, wanted.looks, _known(draft)))
    over = wanted.rebuilds if wanted.cools_over is None else wanted.cools_over
    rebuilt = rebuild(
        draft,
        near,
        seed=seed,
        count=wanted.rebuilds,
        over=max(1, over),
        warmth=WARMTH_AFTER if solver_done else WARMTH,
        should_stop=stop,
        told=lambda done, cost: told(
            Progress("rebuild", done, wanted.rebuilds, cost if cost < MISSING else None)
        ),
    )
    draft = rebuilt.draft
    if rebuilt.done:
        looks += Search(draft, near, wanted.looks - looks, stop).run()
    even_out(draft)
    done = Effort(solver_done, looks, rebuilt.done, over)
    return _judged(f, draft.as_plan(), seed, done, solver, is_exact=False)


def start_draft(f: Figures) -> Draft:
    """The plan as it stands, less what no longer fits, and whatever can be put in besides."""
    draft = empty_draft(f)
    for round_ in f.inputs.present:
        options = tuple(f.first_option[gate.stop] + gate.window for gate in round_.gates)
        allowed = tuple(option for option in options if option in f.own[round_.shift])
        draft.set_way(heal_round(f, round_.shift, allowed))
    return settle(draft)


def _by_solver(
    f: Figures, start: Draft, seed: int, wanted: Effort, stop: ShouldStop, told: Told
) -> tuple[Draft, int, str]:
    """The best mended sketch of the solver, or the start where that is better or there is no
    solver; the iterations done; and which solver."""
    solver = solver_version()
    if solver is None:
        return start, 0, WITHOUT
    if not wanted.solver or stop():
        return start, 0, solver
    sketched = sketch_rounds(
        f,
        start,
        seed=seed,
        count=wanted.solver,
        should_stop=stop,
        told=lambda done: told(Progress("solver", done, wanted.solver, _known(start))),
    )
    best = start
    for sketch in sketched.sketches:
        mended = mend_rounds(f, sketch, start)
        if mended.cost < best.cost:
            best = mended
    told(Progress("mend", len(sketched.sketches), len(sketched.sketches), _known(best)))
    return best, sketched.done, solver


def _known(draft: Draft) -> int | None:
    return draft.cost if draft.cost < MISSING else None


def _judged(
    f: Figures, plan: Plan, seed: int, done: Effort, solver: str, *, is_exact: bool
) -> Solved:
    """The plan, once no promise is missing and the judge is silent."""
    missing = [stop for stop in plan.left_out if f.skip[stop] >= MISSING]
    if missing:
        keys = tuple(f.inputs.stops[stop].key for stop in missing)
        raise PromiseHasNoPlace(_why_missing(f, missing), keys)
    assert_sound(f.inputs, plan)
    return Solved(plan, count_cost(f.inputs, plan), seed, done, solver, is_exact)


def _why_missing(f: Figures, missing: list[int]) -> str:
    """A sentence for each promise without a place, on at most three."""
    said = []
    for number in missing[:3]:
        stop = f.inputs.stops[number]
        days = sorted({window.from_s // DAY_S for window in stop.windows})
        when = " or ".join(f"day {day}" for day in days) or "no day"
        if not f.shifts_of[number]:
            said.append(
                f"Visit {stop.key} is promised for {when}, and no shift there may serve it: add a "
                "shift with its skills and technician, or agree another day with the household."
            )
        else:
            said.append(
                f"Visit {stop.key} is promised for {when}, and no round there has room for it "
                "beside the other promises: allow overtime, add a technician, or agree another "
                "window with the household."
            )
    if len(missing) > 3:
        said.append(f"{len(missing) - 3} more promises have no place.")
    return " ".join(said)
