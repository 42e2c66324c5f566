"""What a dispatcher reads of a season: how good, what is left, what more crew would do, and why."""

from dataclasses import replace
from datetime import date

import pytest

from drainservice.engine.rounds.season import words as words
from drainservice.engine.rounds.season.crew import CrewWeeksCannotBe, what_if_crew
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.reason import find_reasons
from drainservice.engine.rounds.season.result import SeasonCost, SeasonEffort, SeasonPlan, WeekLevel
from tests.engine.rounds.season_makers import PLAIN, draw_season, make_season, make_visit

LITTLE = SeasonEffort(40, 300, None, 20)
APART = replace(PLAIN, cell_visits=1)
MAY = date(2027, 5, 14)


def plan_of(cost, bound, left_out=0):
    weeks = tuple((key, None) for key in range(left_out))
    return SeasonPlan(weeks, (), SeasonCost(risk=cost), bound, (), (), 1, LITTLE)


@pytest.mark.parametrize(
    ("cost", "bound", "said"),
    [
        # Rounded up: what is said must hold.
        (102.0, 100.0, "Within 2 % of the best that any plan could be."),
        (102.1, 100.0, "Within 3 % of the best that any plan could be."),
        (100.4, 100.0, "Within 1 % of the best that any plan could be."),
        (100.0, 100.0, "No plan could be better."),
        (0.0, 0.0, "No plan could be better."),
        (5.0, 0.0, "How good this plan is could not be proven."),
    ],
)
def test_the_gap_is_said_as_a_promise_that_holds(cost, bound, said):
    assert words.say_gap(plan_of(cost, bound)) == said


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (0, "Every visit has a week."),
        (1, "This one will not fit."),
        (150, "These 150 will not fit."),
    ],
)
def test_what_will_not_fit_is_counted(count, said):
    assert words.say_fit(plan_of(1.0, 1.0, count)) == said


def test_an_hour_is_sixty_times_the_price_of_a_minute():
    # 0.6333 units a minute x 60 = 38 units.
    level = WeekLevel(MAY, 2000.0, 2000.0, price=0.63333, planned=30)

    said = "An hour more in the week of 14 May saves 38 units of risk."
    assert words.say_price(level) == said
    assert words.say_price(replace(level, price=0.0)) == ""


def test_a_level_is_said_in_hours_and_above_the_rim_what_to_do():
    level = WeekLevel(MAY, load_min=1440.0, rim_min=1200.0, price=0.0, planned=30)

    assert words.say_level(replace(level, load_min=900.0)) == "Week of 14 May: 15 of 20 h filled."
    closed = replace(level, load_min=0.0, rim_min=0.0)
    assert words.say_level(closed) == "Week of 14 May: nobody works."
    assert words.say_level(level) == (
        "Week of 14 May: 24 of 20 h filled. 4.0 h over, all of it promised: move a promise or add "
        "crew."
    )


def test_one_more_technician_is_counted_by_planning_again():
    # Each visit is 45 + 2 min and its own drive of 30.4: 77.4 min. Room for one a week; with 80 min
    # more in the second week for two there.
    visits = [make_visit(key, (0, 0), left_out=200) for key in range(4)]
    facts = make_season(visits, crew=(80, 80), settings=APART)
    plan = solve_season(facts, effort=LITTLE)
    assert len(plan.left_out) == 2

    then = what_if_crew(facts, plan, 1, 1, added_min=80, effort=LITTLE)

    assert then.placed == 1
    # One is not left out (200), and one drive more is made (30.4).
    assert then.saved_units == pytest.approx(200 - 30.4, abs=0.05)
    assert words.say_what_if(then) == (
        "One more technician in the week of 22 February would place 1 of them and save 170 units."
    )
    both = replace(then, first_on=facts.weeks[0].starts_on, placed=0, saved_units=0.0)
    assert words.say_what_if(both, technicians=2) == (
        "2 more technicians in the weeks of 15 February to 22 February would change nothing."
    )


def test_more_crew_never_ends_dearer_since_it_begins_from_the_plan():
    facts = draw_season(80, load=1.1)
    plan = solve_season(facts, effort=LITTLE)

    then = what_if_crew(facts, plan, 0, 15, added_min=1.0, effort=replace(LITTLE, rebuilds=1))

    assert then.saved_units >= -1e-6


@pytest.mark.parametrize(
    ("first", "last", "added"), [(0, 2, 60), (1, 0, 60), (0, 1, 0), (2, 2, 60)]
)
def test_more_crew_where_there_is_no_week_is_refused(first, last, added):
    facts = make_season([make_visit(1)])
    plan = solve_season(facts, effort=LITTLE)

    with pytest.raises(CrewWeeksCannotBe, match="choose other weeks"):
        what_if_crew(facts, plan, first, last, added)


def test_more_crew_does_not_open_a_closed_week():
    facts = make_season([make_visit(1, (0, 0))], crew=(0, 600))
    plan = solve_season(facts, effort=LITTLE)

    assert what_if_crew(facts, plan, 0, 1, 60, effort=LITTLE).plan.levels[0].rim_min == 0.0
    with pytest.raises(CrewWeeksCannotBe):
        what_if_crew(facts, plan, 0, 0, 60, effort=LITTLE)


def reasons_said(facts):
    plan = solve_season(facts, effort=LITTLE)
    return {r.key: words.say_reason(r, facts) for r in find_reasons(facts, plan)}


def test_a_reason_tells_the_cost_the_next_best_week_and_what_was_full():
    # Alone in its neighbourhood each visit pays its drive of 30.4 units wherever it goes. Week 0
    # has room for one: the other saves less there, and goes to week 1 at 10 + 30.4 = 40.
    first = make_visit(1, (0, 300, 300), left_out=500)
    second = make_visit(2, (0, 10, 50), left_out=500)
    facts = make_season([first, second], crew=(80, 600, 600), settings=APART)

    said = reasons_said(facts)

    assert said[2] == (
        "Week of 22 February, 40 units. Next best: the week of 1 March, 80 units. Cheaper, but "
        "full: the week of 15 February."
    )
    assert said[1].startswith("Week of 15 February, 30 units. Next best: the week of 22 February")


def test_a_promise_and_an_offer_are_reasons_of_their_own():
    promised = make_visit(1, (0, 9), promised=1)
    kept = make_visit(2, (9, 0), offered=0, at=(0.1, 0.1))
    moved = make_visit(3, (200, 0), offered=0, at=(-0.1, -0.1), left_out=900)
    facts = make_season([promised, kept, moved], settings=APART)

    said = reasons_said(facts)

    assert said[1] == "Promised for the week of 22 February, so it stays there."
    assert "it was offered for that week and stays there" in said[2]
    assert "100 units of them for moving the offer of 15 February" in said[3]


def test_a_visit_left_out_is_told_why():
    full = make_visit(1, (0,), left_out=70)
    dear = make_visit(2, (900,), left_out=75, at=(0.1, 0.1))
    tight = make_season([full, make_visit(3, (0,), left_out=500)], crew=(80,), settings=APART)
    roomy = make_season([dear], crew=(800,), settings=APART)

    assert reasons_said(tight)[1] == "Left out, at 70 units: none of its weeks has room."
    assert reasons_said(roomy)[2].startswith(
        "Left out, at 75 units: any week with room would cost more. Next best: the week of 15 "
    )


def test_a_neighbourhood_already_driven_to_often_enough_is_named():
    one = replace(PLAIN, cell_weeks=1)
    many = [make_visit(key, (0, 400), left_out=900) for key in range(3)]
    other = make_visit(9, (100, 0), left_out=900)

    said = reasons_said(make_season([*many, other], settings=one))[9]

    assert "its neighbourhood is driven to in 1 week already: the week of 22 February" in said


def test_reasons_come_for_the_visits_asked_for_and_only_those():
    facts = draw_season(60)
    plan = solve_season(facts, effort=LITTLE)

    assert [r.key for r in find_reasons(facts, plan, [5, 9, 777])] == [5, 9]
    assert len(find_reasons(facts, plan)) == 60


def test_a_week_with_room_for_the_work_but_not_for_the_drive_counts_as_full():
    # 47 min of work fit into 60, the drive of 30.4 does not.
    facts = make_season([make_visit(1, (0, 90), left_out=500)], crew=(60, 600))

    [reason] = find_reasons(facts, solve_season(facts, effort=LITTLE))

    assert (reason.week, reason.full) == (1, (0,))
