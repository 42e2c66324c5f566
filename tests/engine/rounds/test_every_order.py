"""Few stops: the plan found is the cheapest of all, by brute force through the judge."""

import pytest

from drainservice.engine.rounds.check import assert_sound, count_cost
from drainservice.engine.rounds.facts import PlanInputs, Shift, Stop, Window
from drainservice.engine.rounds.search.every_order import find_cheapest
from drainservice.engine.rounds.search.figures import make_figures
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


def test_a_preferred_visit_is_made_once_though_twice_would_please_twice():
    """Both technicians are preferred by 20 units, and both live at the door."""
    day = Window(28_800, 61_200)
    stop = Stop(1, 0, 1800, (day,), worth=5, apart=((0, -20), (1, -20)))
    shifts = tuple(Shift(who, 0, 28_800, 61_200, 0, 0) for who in range(2))
    inputs = PlanInputs(((0,),), shifts, (stop,))
    plan = find_cheapest(make_figures(inputs))

    assert_sound(inputs, plan)
    assert count_cost(inputs, plan).total == -20 * 60
