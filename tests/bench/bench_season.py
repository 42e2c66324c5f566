"""How near the best a season's plan comes, and in what time: 800 and 5,000 visits in 16 weeks.

Run by hand: python -m tests.bench.bench_season
Gaps are proven: the plan's cost over a bound that no plan can beat. The seasons are drawn.
"""

from dataclasses import replace
from random import Random
from time import process_time

from drainservice.engine.rounds.season.bound import PricedCells
from drainservice.engine.rounds.season.check import find_season_faults
from drainservice.engine.rounds.season.model import make_model
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import SeasonEffort
from tests.engine.rounds.season_makers import draw_season

# Visits, load, seeds, rebuilds, goal of the gap (percent; None: over-full, no goal), goal CPU s.
ROWS = (
    (800, 0.88, (1, 2), 50_000, 3.0, 20.0),
    (800, 0.99, (1, 2), 50_000, None, 20.0),
    (5000, 0.88, (1,), 60_000, 4.5, 25.0),
    (5000, 0.99, (1,), 60_000, None, 25.0),
)
MOVED_GOAL_PERCENT = 5.0


def show_row(count, load, seed, rebuilds, gap_goal, cpu_goal_s):
    """One season planned, its gap and time beside the goals."""
    facts = draw_season(count, load=load, seed=seed)
    began = process_time()
    plan = solve_season(facts, seed, SeasonEffort(rebuilds=rebuilds))
    cpu_s = process_time() - began
    gap = 100 * plan.gap
    print(
        f"{count} visits, load {load}, season {seed}: bound {plan.bound:,.0f}, plan "
        f"{plan.cost.total:,.0f}, gap {gap:.2f} %, {len(plan.left_out)} left out, {cpu_s:.1f} CPU s"
    )
    if gap_goal is not None:
        print(f"  gap goal over measured: {gap_goal / gap:.1f}")
    print(f"  time goal over measured: {cpu_goal_s / cpu_s:.1f}")
    assert find_season_faults(facts, plan) == []
    return facts, plan


def show_bound_step(facts):
    """One pricing of all neighbourhoods against the same by each set in turn."""
    model = make_model(facts, range(len(facts.visits)))
    cells = PricedCells(model)
    prices = model.rim * 0.0 + 0.5
    cells.price(prices)
    began = process_time()
    for _ in range(20):
        cells.price(prices)
    step_s = (process_time() - began) / 20
    print(f"one step of the bound, {len(model.cells)} neighbourhoods: {step_s * 1e3:.1f} ms")


def show_second_look(facts, plan):
    """Offers moved by a calm second plan: 30 % offered, risks 15 % other, one week shorter."""
    random, week_of = Random(4), plan.week_of()
    visits = tuple(
        replace(
            visit,
            offered=week_of[visit.key] if random.random() < 0.3 else None,
            costs=replace(
                visit.costs, dead_units=visit.costs.dead_units * random.uniform(0.85, 1.15)
            ),
        )
        for visit in facts.visits
    )
    weeks = list(facts.weeks)
    weeks[9] = replace(weeks[9], crew_min=weeks[9].crew_min * 0.85)
    again = replace(facts, visits=visits, weeks=tuple(weeks))
    offered = [visit for visit in visits if visit.offered is not None]
    for units in (0.0, 25.0, 100.0):
        charged = replace(again, settings=replace(facts.settings, moved_units=units))
        then = solve_season(charged, 2, SeasonEffort(rebuilds=30_000))
        moved = sum(then.week_of()[visit.key] != visit.offered for visit in offered)
        percent = 100 * moved / len(offered)
        print(f"a second look at {units:g} units: {moved} of {len(offered)} offers moved")
    print(f"  moved goal over measured: {MOVED_GOAL_PERCENT / max(percent, 0.01):.1f}")


def main():
    """Print what was measured."""
    made = [show_row(row[0], row[1], seed, *row[3:]) for row in ROWS for seed in row[2]]
    show_bound_step(made[0][0])
    show_bound_step(made[-1][0])
    show_second_look(*made[0])


if __name__ == "__main__":
    main()
