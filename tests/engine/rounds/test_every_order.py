"""Few stops: the plan found is the cheapest of all, by brute force through the judge."""

import pytest

from drainservice.engine.rounds.check import assert_sound, count_cost
from drainservice.engine.rounds.every_order import find_cheapest
from drainservice.engine.rounds.figures import make_figures
from tests.engine.rounds.drawn_plans import cheapest_by_brute_force, draw_plan


@pytest.mark.parametrize("seed", range(40))
def test_no_plan_of_four_stops_is_cheaper(seed):
    inputs = draw_plan(seed, stops=4)
    plan = find_cheapest(make_figures(inputs))

    assert_sound(inputs, plan)
    assert count_cost(inputs, plan).total == cheapest_by_brute_force(inputs)


@pytest.mark.parametrize("seed", range(100, 108))
def test_no_plan_of_two_days_is_cheaper(seed):
    inputs = draw_plan(seed, days=2, stops=4)
    plan = find_cheapest(make_figures(inputs))

    assert_sound(inputs, plan)
    assert count_cost(inputs, plan).total == cheapest_by_brute_force(inputs)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(200, 206))
def test_no_plan_of_six_stops_is_cheaper(seed):
    inputs = draw_plan(seed, stops=6, scale=0.5)
    plan = find_cheapest(make_figures(inputs))

    assert_sound(inputs, plan)
    assert count_cost(inputs, plan).total == cheapest_by_brute_force(inputs)
