"""Small seasons against the cheapest plan there is: by trying all, and by HiGHS (highspy)."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import SeasonEffort
from tests.engine.rounds.season_brute import solve_exactly, try_all
from tests.engine.rounds.season_makers import PLAIN, draw_small

EFFORT = SeasonEffort(rebuilds=6_000)
CELLS_OF_3 = replace(PLAIN, cell_visits=3)
CELLS_OF_4 = replace(PLAIN, cell_visits=4)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, 1, 3])
def test_twelve_visits_in_four_weeks_stand_within_5_percent_of_the_cheapest_of_all(seed):
    facts = draw_small(12, 4, seed, tight=0.95, settings=CELLS_OF_3)

    plan = solve_season(facts, effort=EFFORT)

    best = try_all(facts)
    assert plan.bound <= best + 1e-6
    assert best - 1e-6 <= plan.cost.total <= 1.05 * best


@pytest.mark.slow
def test_the_two_judges_of_small_seasons_agree():
    facts = draw_small(12, 4, 9, settings=CELLS_OF_3)

    assert solve_exactly(facts) == pytest.approx(try_all(facts), rel=1e-5)


def test_more_crew_never_makes_the_cheapest_plan_dearer():
    facts = draw_small(9, 3, 2, tight=0.5, settings=CELLS_OF_3)
    costs = []
    for factor in (1.0, 1.2, 1.5, 3.0):
        weeks = tuple(replace(w, crew_min=w.crew_min * factor) for w in facts.weeks)
        costs.append(try_all(replace(facts, weeks=weeks)))

    assert costs == sorted(costs, reverse=True)
    assert costs[0] > costs[-1]


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 3])
def test_thirty_visits_in_six_weeks_lie_within_5_percent_of_the_optimum(seed):
    facts = draw_small(30, 6, seed, tight=0.95, settings=CELLS_OF_4)

    plan = solve_season(facts, effort=SeasonEffort(rebuilds=20_000))

    best = solve_exactly(facts)
    assert plan.bound <= best + 1e-3
    assert best - 1e-3 <= plan.cost.total <= 1.05 * best
