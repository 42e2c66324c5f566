"""Solving: sound and never above the plan as it stands, whatever is drawn; each rule of a round;
the same again by the same counts."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.check import assert_sound, count_cost, find_faults
from drainservice.engine.rounds.facts import (
    DAY_S,
    Break,
    Gate,
    Plan,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Window,
)
from drainservice.engine.rounds.search import solve
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.search.solve import PromiseHasNoPlace, solve_rounds
from tests.engine.rounds.drawn_plans import draw_plan
from tests.engine.rounds.weeks import make_week

SHORT = Effort(solver=60, looks=5_000, rebuilds=150)
MIN = 60
DAY = Window(480 * MIN, 1020 * MIN)


@pytest.fixture
def searching(monkeypatch):
    """Even few stops are searched, not tried in every order."""
    monkeypatch.setattr(solve, "MOST_STOPS", -1)


def a_shift(technician=0, day=0, **changed):
    return Shift(
        technician, day, day * DAY_S + 480 * MIN, day * DAY_S + 1020 * MIN, 0, 0, **changed
    )


def a_stop(key, place, *windows, **changed):
    return Stop(key, place, 30 * MIN, windows or (DAY,), **{"worth": 500, **changed})


def a_line(places, apart_min=10):
    """Places along a road, so many minutes from one to the next."""
    return tuple(tuple(abs(a - b) * apart_min * MIN for b in range(places)) for a in range(places))


@pytest.mark.parametrize("seed", range(24))
def test_few_stops_are_never_cheaper_by_search_and_mostly_equal(seed, searching):
    """24 tiny plans: worst and mean over the proven least are bounded, none lies below."""
    inputs = draw_plan(seed, technicians=2, days=2, stops=6, scale=0.7)
    found = solve_rounds(inputs, seed=1, iterations=SHORT)
    exact = solve.find_cheapest(solve.make_figures(inputs))

    assert find_faults(inputs, found.plan) == []
    assert not found.is_exact
    least = count_cost(inputs, exact).total
    # The bound is judgement.
    assert least <= found.cost.total <= 1.05 * least


@pytest.mark.parametrize("seed", range(300, 330))
def test_every_plan_passes_the_judge_and_is_no_dearer_than_the_present(seed):
    inputs = draw_plan(seed, technicians=3, days=2, stops=14, scale=0.6)
    solved = solve_rounds(inputs, seed=seed, iterations=SHORT)
    placed = {gate.stop for round_ in inputs.present for gate in round_.gates}
    rest = tuple(s for s in range(14) if s not in placed)
    present = Plan(inputs.present, rest)

    assert_sound(inputs, solved.plan)
    assert solved.cost == count_cost(inputs, solved.plan)
    if not find_faults(inputs, present):
        assert solved.cost.total <= count_cost(inputs, present).total


@pytest.mark.parametrize("seed", [5, 6])
def test_the_same_seed_and_counts_give_the_same_plan(seed):
    inputs = draw_plan(seed, technicians=3, days=2, stops=16, scale=0.5)
    one = solve_rounds(inputs, seed=seed, iterations=SHORT)

    assert solve_rounds(inputs, seed=seed, iterations=SHORT) == one
    assert solve_rounds(inputs, seed=seed, iterations=one.done).plan == one.plan


@pytest.mark.parametrize("calls", [0, 1, 2, 3, 5, 8, 13, 21, 60, 200])
def test_a_run_that_was_stopped_is_found_again_by_the_counts_it_made(calls):
    inputs = make_week(3, 2, 40, 12, seed=3)
    left = [calls]

    def should_stop():
        left[0] -= 1
        return left[0] < 0

    wanted = Effort(solver=300, looks=20_000, rebuilds=800)
    stopped = solve_rounds(inputs, seed=4, iterations=wanted, should_stop=should_stop)
    again = solve_rounds(inputs, seed=4, iterations=stopped.done)

    assert_sound(inputs, stopped.plan)
    assert again.plan == stopped.plan
    assert again.done == stopped.done


def test_a_stopped_run_makes_no_more_than_it_was_let():
    inputs = make_week(3, 2, 40, 12, seed=3)
    stopped = solve_rounds(inputs, iterations=SHORT, should_stop=lambda: True)

    assert stopped.done == Effort(solver=0, looks=0, rebuilds=0, cools_over=150)


def test_progress_is_told_part_by_part_and_its_cost_never_rises():
    inputs, heard = make_week(3, 2, 40, 12, seed=3), []
    solved = solve_rounds(inputs, iterations=Effort(200, 20_000, 900), told=heard.append)

    parts = list(dict.fromkeys(progress.part for progress in heard))
    assert parts == ["start", "solver", "mend", "search", "rebuild"]
    costs = [progress.cost for progress in heard]
    assert costs == sorted(costs, reverse=True)
    assert all(progress.done <= progress.wanted for progress in heard)
    # Evening out may give back up to ten units a swap.
    assert solved.cost.total <= costs[-1] + 600 * len(solved.plan.rounds)


def test_without_the_solver_rebuilding_alone_plans_and_says_so(monkeypatch):
    monkeypatch.setattr(solve, "solver_version", lambda: None)
    inputs = make_week(3, 2, 40, 12, seed=3)
    solved = solve_rounds(inputs, iterations=SHORT)

    assert solved.solver == "without"
    assert solved.done.solver == 0
    assert_sound(inputs, solved.plan)
    assert solved.cost.total < solve.start_draft(solve.make_figures(inputs)).cost


def test_twice_all_units_cost_twice(searching):
    """What is counted in units doubles with all of them; driving stays."""
    inputs = draw_plan(12, technicians=2, days=2, stops=6, scale=0.5)
    plan = solve_rounds(inputs, iterations=SHORT).plan
    tariff = replace(inputs.tariff, overtime=2 * inputs.tariff.overtime, not_usual=30)
    stops = tuple(
        replace(
            stop,
            worth=2 * stop.worth,
            apart=tuple((who, 2 * units) for who, units in stop.apart),
            move_units=None if stop.move_units is None else 2 * stop.move_units,
        )
        for stop in inputs.stops
    )
    doubled = replace(inputs, stops=stops, tariff=tariff)
    once, twice = count_cost(inputs, plan), count_cost(doubled, plan)

    assert twice.total - twice.driving == 2 * (once.total - once.driving)
    assert twice.driving == once.driving


def test_a_promise_with_no_shift_names_visit_and_day_and_what_to_change():
    stop = a_stop(17, 1, Window(2 * DAY_S + 30_000, 2 * DAY_S + 40_000), must=True)
    inputs = PlanInputs(a_line(2), (a_shift(),), (stop,))

    with pytest.raises(
        PromiseHasNoPlace, match="Visit 17 is promised for day 2, and no shift"
    ) as no:
        solve_rounds(inputs)
    assert no.value.keys == (17,)
    assert "add a shift" in str(no.value)


def test_two_promises_at_one_moment_and_one_technician_are_refused_by_name(searching):
    at_nine = Window(540 * MIN, 540 * MIN + 1)
    stops = (a_stop(1, 1, at_nine, must=True), a_stop(2, 2, at_nine, must=True))
    inputs = PlanInputs(a_line(3), (a_shift(),), stops)

    with pytest.raises(PromiseHasNoPlace, match="Visit 2 is promised for day 0, and no round"):
        solve_rounds(inputs, iterations=SHORT)


class TestRules:
    """Each rule on a plan so small that the right answer is plain."""

    def test_overtime_is_taken_only_while_it_is_cheaper_than_leaving_out(self, searching):
        """Shift 480-1020; drive 10, work 510, drive 10: home at 1010. A second half hour at the
        same place ends at 1040: 20 min of overtime at 2 units = 40 units against its worth."""
        stops = (a_stop(1, 1), a_stop(2, 1))
        for worth, is_in in ((39, False), (41, True)):
            both = (replace(stops[0], work_s=510 * MIN), replace(stops[1], worth=worth))
            inputs = PlanInputs(a_line(2), (a_shift(overtime_s=3600),), both)
            solved = solve_rounds(inputs, iterations=SHORT)

            assert (1 in solved.plan.left_out) is not is_in
            assert solved.cost.overtime == (40 * 60 if is_in else 0)

    def test_the_break_is_kept_free(self, searching):
        """A break of 60 that starts from 720 to 725 is over at 780 at the earliest; the visit must
        start from 730 to 740, and would end too late for the break to come after it."""
        shift = a_shift(pause=Break(720 * MIN, 725 * MIN, 60 * MIN))
        stop = a_stop(1, 1, Window(730 * MIN, 740 * MIN))
        inputs = PlanInputs(a_line(2), (shift,), (stop,))

        assert solve_rounds(inputs, iterations=SHORT).plan.left_out == (0,)

    def test_the_only_technician_comes_though_another_is_nearer(self, searching):
        shifts = (a_shift(0), replace(a_shift(1), leaves_from=3, returns_to=3))
        stops = (a_stop(1, 3, only=frozenset({0})), a_stop(2, 1))
        solved = solve_rounds(PlanInputs(a_line(4), shifts, stops), iterations=SHORT)

        assert {r.shift for r in solved.plan.rounds if Gate(0) in r.gates} == {0}

    def test_the_usual_technician_comes_up_to_fifteen_units_of_driving(self, searching):
        """Technician 1 lives at the door; technician 0 drives twice 7 min (14 units) or twice 8."""
        for apart_min, who in ((7, 0), (8, 1)):
            shifts = (a_shift(0), replace(a_shift(1), leaves_from=1, returns_to=1))
            inputs = PlanInputs(a_line(2, apart_min), shifts, (a_stop(1, 1, usual=0),))

            assert solve_rounds(inputs, iterations=SHORT).plan.rounds[0].shift == who

    def test_skills_are_kept(self, searching):
        shifts = (a_shift(0), a_shift(1, skills=frozenset({"electric"})))
        stop = a_stop(1, 1, skills=frozenset({"electric"}))
        solved = solve_rounds(PlanInputs(a_line(2), shifts, (stop,)), iterations=SHORT)

        assert solved.plan.rounds == (Round(1, (Gate(0),)),)

    def test_a_locked_start_is_kept_to_the_second(self, searching):
        stop = a_stop(1, 1, DAY, fixed_s=777 * MIN + 7)
        other = a_stop(2, 1, Window(777 * MIN, 777 * MIN + 10))
        inputs = PlanInputs(a_line(2), (a_shift(),), (stop, replace(other, worth=10)))

        assert solve_rounds(inputs, iterations=SHORT).plan == Plan((Round(0, (Gate(0),)),), (1,))

    def test_the_day_with_room_is_taken_of_several(self, searching):
        """Day 0 is full with a promise; day 1 is free."""
        next_day = Window(DAY.from_s + DAY_S, DAY.to_s + DAY_S)
        full = replace(a_stop(1, 1, must=True), work_s=500 * MIN)
        inputs = PlanInputs(
            a_line(2), (a_shift(), a_shift(day=1)), (full, a_stop(2, 1, DAY, next_day))
        )
        solved = solve_rounds(inputs, iterations=SHORT)

        assert solved.plan.rounds == (Round(0, (Gate(0),)), Round(1, (Gate(1, 1),)))

    def test_from_the_road_the_nearest_comes_first(self, searching):
        """They stand at place 3 and go home to 0: 3, then 2, then 1."""
        shift = replace(a_shift(), leaves_from=3)
        stops = tuple(a_stop(n, n) for n in (1, 2, 3))
        solved = solve_rounds(PlanInputs(a_line(4), (shift,), stops), iterations=SHORT)

        assert solved.plan.rounds == (Round(0, (Gate(2), Gate(1), Gate(0))),)

    def test_what_was_told_moves_only_where_that_saves_more_than_it_costs(self, searching):
        """Technician 1 lives at the door; moving saves 20 min = 20 units of driving."""
        for units, who in ((19, 1), (21, 0)):
            shifts = (a_shift(0), replace(a_shift(1), leaves_from=1, returns_to=1))
            stop = a_stop(1, 1, move_units=units)
            inputs = PlanInputs(a_line(2), shifts, (stop,), (Round(0, (Gate(0),)),))

            assert solve_rounds(inputs, iterations=SHORT).plan.rounds[0].shift == who

    def test_the_van_carries_no_more_than_it_takes(self, searching):
        shifts = (a_shift(0, room=5), a_shift(1, room=5))
        stops = tuple(a_stop(n, 1, load=3) for n in range(3))
        solved = solve_rounds(PlanInputs(a_line(2), shifts, stops), iterations=SHORT)

        assert sorted(len(round_.gates) for round_ in solved.plan.rounds) == [1, 1]
        assert len(solved.plan.left_out) == 1

    def test_the_judge_says_what_a_van_would_carry_and_what_it_takes(self):
        stops = tuple(a_stop(n, 1, load=3) for n in range(2))
        inputs = PlanInputs(a_line(2), (a_shift(room=5),), stops)
        plan = Plan((Round(0, (Gate(0), Gate(1))),))

        (fault,) = find_faults(inputs, plan)
        assert fault == "Technician 0 on day 0 would carry 6; the van takes 5."

    def test_a_visit_is_worth_its_drive_or_left_out(self, searching):
        """Twenty minutes there and back cost 20 units."""
        for worth, left in ((19, (0,)), (21, ())):
            inputs = PlanInputs(a_line(2), (a_shift(),), (a_stop(1, 1, worth=worth),))

            assert solve_rounds(inputs, iterations=SHORT).plan.left_out == left

    def test_nothing_to_plan_is_an_empty_plan(self, searching):
        assert solve_rounds(PlanInputs((), (), ()), iterations=SHORT).plan == Plan(())
        assert solve_rounds(PlanInputs(((0,),), (a_shift(),), ())).plan == Plan(())
        one = PlanInputs(a_line(2), (), (a_stop(1, 1),))
        assert solve_rounds(one, iterations=SHORT).plan == Plan((), (0,))
