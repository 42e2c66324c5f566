"""Laws of a season's plan: whatever is entered, it is refused by name or planned soundly."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.season.check import count_season_cost, find_season_faults
from drainservice.engine.rounds.season.facts import (
    GivenCosts,
    PumpRisk,
    SeasonSettings,
    SeasonVisit,
)
from drainservice.engine.rounds.season.faults import SeasonCannotBePlanned
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.reason import find_reasons
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.engine.rounds.season.words import say_reason
from tests.engine.rounds.season_makers import draw_small, make_season

LITTLE = SeasonEffort(15, 40, None, 5)
FEW = settings(max_examples=60, deadline=None)
numbers = st.floats() | st.floats(0, 400) | st.sampled_from([1e9, 1e300, 1e308])
weeks = st.integers(-2, 6)
places = st.builds(Place, st.floats(37.5, 38.5), st.floats(-97.5, -96.5))
costs = st.builds(GivenCosts, st.tuples(*[st.floats(0, 400)] * 4), st.floats(0, 900)) | st.builds(
    PumpRisk, st.floats(0, 0.3), st.floats(0, 99), st.sampled_from([200.0, 2000.0])
)
ordinary = {
    "place": places,
    "work_min": st.floats(1, 120),
    "costs": costs,
    "earliest": st.integers(0, 2),
    "last": st.none() | st.integers(1, 4),
    "promised": st.none() | st.integers(0, 3),
    "offered": st.none() | st.integers(0, 3),
}
odd = {
    "place": st.builds(Place, numbers, numbers) | places,
    "work_min": numbers,
    "costs": st.builds(GivenCosts, st.lists(numbers, max_size=5).map(tuple), numbers) | costs,
    "earliest": weeks,
    "last": st.none() | weeks,
    "promised": st.none() | weeks,
    "offered": st.none() | weeks,
}
crews = st.tuples(*[st.sampled_from([0.0, 60.0, 150.0, 400.0])] * 4)
given_settings = st.builds(
    SeasonSettings,
    reserve_share=st.floats(0, 0.5),
    cell_visits=st.integers(1, 5),
    cell_weeks=st.integers(1, 3),
)


@st.composite
def seasons(draw, fields):
    count = draw(st.integers(0, 9))
    visits = [draw(st.builds(SeasonVisit, key=st.just(key), **fields)) for key in range(count)]
    return make_season(visits, draw(crews), draw(given_settings))


@FEW
@given(seasons(ordinary))
def test_every_plan_is_sound_and_none_below_its_bound(facts):
    try:
        plan = solve_season(facts, effort=LITTLE)
    except SeasonCannotBePlanned:
        assert not any(facts.rim_min(week) > 0 for week in range(4))
        return

    assert find_season_faults(facts, plan) == []
    assert plan.bound <= count_season_cost(facts, plan).total + 1e-6
    for reason in find_reasons(facts, plan):
        assert say_reason(reason, facts).endswith(".")


@FEW
@given(seasons(odd))
def test_whatever_is_entered_each_visit_is_planned_left_out_or_set_aside_with_words(facts):
    try:
        plan = solve_season(facts, effort=LITTLE)
    except SeasonCannotBePlanned:
        assert not any(facts.rim_min(week) > 0 for week in range(4))
        return

    keys = [key for key, _ in plan.weeks] + [one.key for one in plan.set_aside]
    assert sorted(keys) == [visit.key for visit in facts.visits]
    assert all(one.words.endswith((".", "swapped?")) for one in plan.set_aside)


@FEW
@given(st.integers(0, 500), st.integers(0, 99))
def test_promises_hold_in_any_season_and_with_any_seed(season, seed):
    facts = draw_small(14, 4, season, tight=0.4, promised=0.4)

    week_of = solve_season(facts, seed, LITTLE).week_of()

    assert all(week_of[v.key] == v.promised for v in facts.visits if v.promised is not None)


@FEW
@given(st.integers(0, 500))
def test_the_order_in_which_visits_are_given_changes_nothing_that_is_proven(season):
    facts = draw_small(12, 4, season)
    turned = replace(facts, visits=facts.visits[::-1])

    plan, other = solve_season(facts, 1, LITTLE), solve_season(turned, 1, LITTLE)

    assert plan.bound <= other.cost.total + 1e-6
    assert other.bound <= plan.cost.total + 1e-6
    assert plan.cost.driving >= 0
    assert {c.keys for c in plan.cells} == {tuple(sorted(c.keys)) for c in other.cells}


@FEW
@given(st.integers(0, 500))
def test_a_plan_can_be_begun_from_itself_without_getting_dearer(season):
    facts = draw_small(14, 4, season, tight=0.6, promised=0.2)
    plan = solve_season(facts, 1, LITTLE)

    then = solve_season(facts, 2, LITTLE, begin_from=plan.week_of())

    assert then.cost.total <= plan.cost.total + 1e-6
