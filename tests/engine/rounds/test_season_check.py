"""The judge of seasons notices each rule broken: sound plans are spoiled one value at a time."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.season.check import (
    SeasonPlanBroken,
    assert_season_sound,
    find_season_faults,
)
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import Fault, SeasonEffort, SetAside
from tests.engine.rounds.season_makers import PLAIN, make_season, make_visit

LITTLE = SeasonEffort(20, 50, None, 0)
VISITS = [
    make_visit(1, (0, 5, 9), at=(0.1, 0.1)),
    make_visit(2, (5, 0, 9), at=(0.1, 0.1), promised=1),
    make_visit(3, (5, 9, 0), at=(-0.1, -0.1), last=0),
    make_visit(4, (0, 200, 200), at=(-0.1, -0.1), offered=0),
]
SEASON = make_season(VISITS, crew=(300, 300, 0), settings=replace(PLAIN, cell_visits=2))


@pytest.fixture
def plan():
    return solve_season(SEASON, effort=LITTLE)


def spoil(plan, key, week):
    weeks = tuple((k, week if k == key else w) for k, w in plan.weeks)
    return replace(plan, weeks=weeks)


def test_a_plan_of_the_planner_is_sound(plan):
    assert find_season_faults(SEASON, plan) == []
    assert_season_sound(SEASON, plan)


@pytest.mark.parametrize(
    ("key", "week", "words"),
    [
        (2, 0, "Visit 2 is promised for week 2 and was moved."),
        (2, None, "Visit 2 is promised for week 2 and was moved."),
        (3, 1, "Visit 3 stands in week 2, outside of its own weeks."),
        (1, 2, "Visit 1 stands in week 3, in which nobody works."),
        (1, 7, "Visit 1 stands in week 8, which the season does not have."),
    ],
)
def test_a_visit_in_a_wrong_week_is_noticed(plan, key, week, words):
    with pytest.raises(SeasonPlanBroken, match="Visit"):
        assert_season_sound(SEASON, spoil(plan, key, week))
    assert words in find_season_faults(SEASON, spoil(plan, key, week))


def test_a_visit_told_twice_lost_or_unasked_for_is_noticed(plan):
    twice = replace(plan, weeks=(*plan.weeks, plan.weeks[0]))
    lost = replace(plan, weeks=plan.weeks[1:])
    more = replace(plan, weeks=(*plan.weeks, (99, 0)))

    assert "Visit 1 stands 2 times in the plan." in find_season_faults(SEASON, twice)
    lost_words = "Visit 1 is neither planned, left out nor set aside."
    assert lost_words in find_season_faults(SEASON, lost)
    assert "Visit 99 is planned, but nobody asked for it." in find_season_faults(SEASON, more)


def test_a_week_above_its_rim_is_noticed(plan):
    less = tuple(replace(w, crew_min=100.0 if w.crew_min else 0.0) for w in SEASON.weeks)

    faults = find_season_faults(replace(SEASON, weeks=less), plan)

    assert any("above its rim" in fault for fault in faults)


def test_a_neighbourhood_driven_to_too_often_is_noticed(plan):
    once = replace(SEASON, settings=replace(SEASON.settings, cell_weeks=1))

    faults = find_season_faults(once, spoil(plan, 1, 0))

    assert any("is driven to in 2 weeks, above 1" in fault for fault in faults)


@pytest.mark.parametrize("part", ["risk", "driving", "moved", "left_out"])
def test_a_wrong_part_of_the_cost_is_noticed(plan, part):
    cost = replace(plan.cost, **{part: getattr(plan.cost, part) + 0.01})

    [fault] = find_season_faults(SEASON, replace(plan, cost=cost))

    assert fault.startswith(f"The part {part} of the cost is")


def test_a_bound_above_the_plan_is_noticed(plan):
    [fault] = find_season_faults(SEASON, replace(plan, bound=plan.cost.total + 1.0))

    assert "stands above the plan's" in fault


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"drive_min": 3.0}, "minutes to drive to"),
        ({"between_min": 0.5}, "minutes between doors"),
        ({"keys": (1,)}, "do not hold each planned visit just once"),
    ],
)
def test_a_wrong_neighbourhood_is_noticed(plan, changed, words):
    cells = (replace(plan.cells[0], **changed), *plan.cells[1:])

    assert any(words in f for f in find_season_faults(SEASON, replace(plan, cells=cells)))


@pytest.mark.parametrize("changed", [{"load_min": 1.0}, {"rim_min": 1.0}, {"planned": 77}])
def test_a_wrong_level_is_noticed(plan, changed):
    levels = (replace(plan.levels[0], **changed), *plan.levels[1:])

    faults = find_season_faults(SEASON, replace(plan, levels=levels))

    assert any(fault.startswith("Week 1 ") for fault in faults)


def test_a_visit_set_aside_without_need_is_noticed(plan):
    aside = (SetAside(1, Fault.TOO_LONG, "Visit 1 takes too long."),)
    cells = tuple(replace(c, keys=tuple(k for k in c.keys if k != 1)) for c in plan.cells)
    spoiled = replace(plan, weeks=plan.weeks[1:], set_aside=aside, cells=cells)

    assert "Visit 1 was set aside without need." in find_season_faults(SEASON, spoiled)


def test_a_planner_that_errs_is_never_believed(monkeypatch):
    # The one guard between a slip of the search and a household: the plan is refused.
    from drainservice.engine.rounds.season import plan as season_plan

    def err(shelf, *rest):
        shelf.take([0] * len(shelf.week))

    monkeypatch.setattr(season_plan, "rebuild", err)

    with pytest.raises(SeasonPlanBroken, match="promised for week 2 and was moved"):
        solve_season(SEASON, effort=LITTLE)


def test_above_the_rim_only_promises_may_stand_nothing_beside_them():
    # 45 + 2 min each and one drive of 30.4 are 124.4 min, above 100; a promise alone would be 77.
    visits = [make_visit(1, (0, 50), promised=0), make_visit(2, (0, 50), left_out=500)]
    roomy = make_season(visits, crew=(300, 300))
    both = solve_season(roomy, effort=LITTLE)
    assert both.week_of() == {1: 0, 2: 0}
    tight = make_season(visits, crew=(100, 300))

    assert "Week 1 is filled 24.4 minutes above its rim." in find_season_faults(tight, both)
    tighter = make_season([visits[0], replace(visits[1], promised=0)], crew=(100, 300))
    assert not any("above its rim" in fault for fault in find_season_faults(tighter, both))
