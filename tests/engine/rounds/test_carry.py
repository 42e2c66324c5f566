"""A plan found on older inputs, said in terms of newer ones: nothing is lost without a word."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.check import find_faults
from drainservice.engine.rounds.facts import Gate, Plan, PlanInputs, Round, Shift, Stop, Window
from drainservice.engine.rounds.search.carry import allow_what_it_asks, carry_over, join_rounds

H = 3600
DAY = Window(8 * H, 17 * H)


def shift(technician, day=0, **values):
    told = {"starts_s": 8 * H, "ends_s": 17 * H, "leaves_from": 0, "returns_to": 0} | values
    return Shift(technician=technician, day=day, **told)


def stop(key, *windows, **values):
    return Stop(key=key, place=0, work_s=H, windows=windows or (DAY,), **values)


def inputs(shifts, stops, present=()):
    return PlanInputs(((0,),), tuple(shifts), tuple(stops), tuple(present))


def plan(*rounds, left_out=()):
    made = tuple(Round(number, tuple(Gate(s) for s in stops)) for number, stops in rounds)
    return Plan(made, tuple(left_out))


OLD = inputs([shift(1), shift(2)], [stop(10), stop(20, must=True), stop(30)])
FOUND = plan((0, [0, 1]), (1, [2]))


def keys(where, rounds):
    return {
        where.shifts[r.shift].technician: [where.stops[g.stop].key for g in r.gates] for r in rounds
    }


def test_on_the_same_inputs_it_is_the_same():
    carried = carry_over(OLD, FOUND, OLD)

    assert (carried.plan, carried.lost) == (FOUND, ())


def test_numbers_may_change_and_keys_count():
    new = inputs([shift(2), shift(1)], [stop(30), stop(40), stop(20, must=True), stop(10)])

    carried = carry_over(OLD, FOUND, new)

    assert keys(new, carried.plan.rounds) == {1: [10, 20], 2: [30]}
    assert [new.stops[n].key for n in carried.plan.left_out] == [40]
    assert carried.lost == ()


def test_a_visit_that_is_gone_and_all_of_a_shift_that_is_gone_are_lost():
    without_visit = inputs([shift(1), shift(2)], [stop(20, must=True), stop(30)])
    without_shift = inputs([shift(2)], OLD.stops)

    assert carry_over(OLD, FOUND, without_visit).lost == (10,)
    assert carry_over(OLD, FOUND, without_shift).lost == (10, 20)


@pytest.mark.parametrize(("must", "lost"), [(True, (20,)), (False, ())])
def test_a_promise_with_another_window_is_lost_and_an_open_day_that_holds_the_start_is_not(
    must, lost
):
    other = stop(20, Window(8 * H, 16 * H), must=must)
    new = inputs(OLD.shifts, [stop(10), other, stop(30)])

    assert carry_over(OLD, FOUND, new).lost == lost


def test_an_open_day_that_does_not_hold_the_start_is_lost():
    # The second visit of an hour starts at 9; from 10 on is too late.
    new = inputs(OLD.shifts, [stop(10), stop(20, Window(10 * H, 17 * H)), stop(30)])

    assert carry_over(OLD, FOUND, new).lost == (20,)


def test_rounds_nobody_changed_are_the_plans_and_the_others_as_they_stand():
    new = replace(OLD, present=(Round(0, (Gate(2),)), Round(1, (Gate(0),))))

    # Technician 1's round was changed: visit 30 stands there, though the plan gives it to 2.
    joined = join_rounds(FOUND, new, {(1, 0)})

    assert keys(new, joined) == {2: [30]}


def test_a_round_that_the_plan_empties_stays_empty():
    new = replace(OLD, present=(Round(1, (Gate(2),)),))
    emptied = plan((0, [0, 1, 2]))

    assert keys(new, join_rounds(emptied, new, set())) == {1: [10, 20, 30]}


def test_a_round_of_the_plan_that_cannot_be_driven_any_more_gives_way_to_the_present():
    short = replace(OLD.shifts[0], ends_s=9 * H)
    new = replace(OLD, shifts=(short, OLD.shifts[1]), present=(Round(0, (Gate(1),)),))

    assert keys(new, join_rounds(FOUND, new, set())) == {1: [20], 2: [30]}


def test_what_a_repair_asks_is_allowed_and_nothing_else():
    promise = stop(20, Window(8 * H, 9 * H), must=True, only=frozenset({1}))
    old = inputs(
        OLD.shifts,
        [stop(10, must=True), replace(promise, windows=(*promise.windows, Window(12 * H, 14 * H)))],
    )
    new = inputs(OLD.shifts, [stop(10, must=True), promise])
    asked = Plan((Round(1, (Gate(1, 1),)),), (0,))

    allowed = allow_what_it_asks(old, asked, new)

    assert allowed.stops[1].windows == (Window(8 * H, 9 * H), Window(12 * H, 14 * H))
    assert allowed.stops[1].only == {1, 2}
    assert not allowed.stops[0].must
    assert find_faults(allowed, carry_over(old, asked, allowed).plan) == []
    assert carry_over(old, asked, new).lost == (20,)
