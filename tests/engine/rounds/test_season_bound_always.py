"""The bound's law: whatever the prices, no plan that keeps the rims is cheaper."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.season.bound import Priced, PricedCells, raise_bound
from drainservice.engine.rounds.season.model import make_model
from tests.engine.rounds.season_brute import choices_of_cell, rules_of, try_all
from tests.engine.rounds.season_makers import PLAIN, draw_small

FEW = settings(max_examples=60, deadline=None)
SMALL_CELLS = replace(PLAIN, cell_visits=4)
prices = st.lists(st.floats(0, 20), min_size=5, max_size=5).map(np.array)


def any_plan(facts, seed):
    """The cost of a plan that keeps every rule, put together blindly: each visit in a random
    allowed week if that still fits, else left out."""
    random = Random(seed)
    cells, rims, choices = rules_of(facts)
    cost = 0.0
    for cell in cells:
        is_open = set()
        for member in cell.members:
            week = random.choice(list(choices[member]))
            if week is not None:
                added = 0.0 if week in is_open else cell.drive_min
                needed = facts.visits[member].work_min + cell.between_min + added
                if needed > rims[week] or len(is_open | {week}) > facts.settings.cell_weeks:
                    week = None
                else:
                    rims[week] -= needed
                    is_open.add(week)
                    cost += added
            cost += choices[member][week]
    return cost


def priced(facts):
    return PricedCells(make_model(facts, range(len(facts.visits))))


@FEW
@given(st.integers(0, 400), st.integers(0, 10_000), prices)
def test_no_plan_is_cheaper_than_the_bound_at_any_prices(season, plan, mu):
    facts = draw_small(14, 5, season, settings=SMALL_CELLS)

    bound, _ = priced(facts).price(mu)

    assert bound <= any_plan(facts, plan) + 1e-6


@FEW
@given(st.integers(0, 400), prices, st.floats(1, 3))
def test_more_crew_never_raises_the_bound_at_the_same_prices(season, mu, factor):
    facts = draw_small(14, 5, season, settings=SMALL_CELLS)
    more = tuple(replace(w, crew_min=w.crew_min * factor) for w in facts.weeks)

    bound, _ = priced(facts).price(mu)
    then, _ = priced(replace(facts, weeks=more)).price(mu)

    assert then <= bound + 1e-6


@FEW
@given(st.integers(0, 400), prices)
def test_the_bound_is_what_each_neighbourhood_costs_by_trying_all_its_choices(season, mu):
    facts = draw_small(14, 5, season, settings=SMALL_CELLS, promised=0.2)
    # Nobody works in week 3, so nobody is promised for it.
    visits = [replace(v, promised=None if v.promised == 2 else v.promised) for v in facts.visits]
    weeks = [replace(w, crew_min=0.0) if n == 2 else w for n, w in enumerate(facts.weeks)]
    facts = replace(facts, visits=tuple(visits), weeks=tuple(weeks))
    cells, _, choices = rules_of(facts)
    each = [choices_of_cell(cell, choices, facts) for cell in cells]
    assume(all(each))
    counted = priced(facts)

    bound, _ = counted.price(mu)

    cheapest = [min(cost + np.dot(mu, load) for cost, load in one) for one in each]
    assert bound == pytest.approx(sum(cheapest) - mu @ counted.model.rim, rel=1e-9, abs=1e-6)


@FEW
@given(st.integers(0, 400), prices)
def test_the_load_told_is_the_slope_of_the_bound(season, mu):
    # The bound is the least of functions that are straight in the prices, so it bends down: no
    # step may lift it above the straight line through the load (a subgradient).
    facts = draw_small(14, 5, season, settings=SMALL_CELLS, promised=0.2)
    cells = priced(facts)
    bound, load = cells.price(mu)
    slope = load - cells.model.rim
    random = np.random.default_rng(season)

    for step in random.uniform(-2, 2, (5, 5)):
        other = np.maximum(mu + step, 0.0)
        assert cells.price(other)[0] <= bound + float(slope @ (other - mu)) + 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_without_crowding_the_bound_is_the_cheapest_plan_itself(seed):
    # With room for all, prices are 0 and each neighbourhood's best set is exact.
    facts = draw_small(9, 3, seed, tight=20.0, settings=replace(PLAIN, cell_visits=3))

    bound, _ = priced(facts).price(np.zeros(3))

    assert bound == pytest.approx(try_all(facts), rel=1e-9)


def test_climbing_never_ends_below_where_it_began():
    facts = draw_small(14, 5, 3, tight=0.5, settings=SMALL_CELLS)
    cells = priced(facts)
    start = Priced(cells.price(np.zeros(5))[0], np.zeros(5))
    seen = []

    found = raise_bound(cells, start, 4 * start.bound, 60, lambda best: seen.append(best.bound))

    assert found.bound > start.bound
    assert seen == sorted(seen)
    assert cells.price(found.prices)[0] == pytest.approx(found.bound, rel=1e-12)
