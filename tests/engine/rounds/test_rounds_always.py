"""What always holds of plans, whatever is drawn."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.check import count_cost, find_faults
from drainservice.engine.rounds.facts import Window
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.search.every_order import find_cheapest
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.solve import solve_rounds
from drainservice.engine.rounds.stored import digest_of, read_inputs, write_inputs
from tests.engine.rounds.drawn_plans import draw_plan

SEEDS = st.integers(0, 1_000_000)
BRIEF = Effort(solver=40, looks=2_000, rebuilds=40)


def least(inputs):
    return count_cost(inputs, find_cheapest(make_figures(inputs))).total


@settings(max_examples=25, deadline=None)
@given(SEEDS, st.integers(1, 3), st.integers(1, 2), st.integers(8, 14))
def test_every_plan_passes_the_judge_and_is_found_again(seed, technicians, days, stops):
    inputs = draw_plan(seed, technicians, days, stops, scale=0.7)
    solved = solve_rounds(inputs, seed=seed, iterations=BRIEF)

    assert find_faults(inputs, solved.plan) == []
    assert solved.cost == count_cost(inputs, solved.plan)
    again = solve_rounds(read_inputs(write_inputs(inputs)), seed=seed, iterations=solved.done)
    assert again.plan == solved.plan


@settings(max_examples=40, deadline=None)
@given(SEEDS, st.integers(0, 4), st.integers(0, 3600))
def test_a_wider_window_never_makes_the_best_plan_dearer(seed, stop, more_s):
    inputs = draw_plan(seed, stops=5)
    stops = list(inputs.stops)
    wide = tuple(Window(w.from_s - more_s, w.to_s + more_s) for w in stops[stop].windows)
    stops[stop] = replace(stops[stop], windows=wide)

    assert least(replace(inputs, stops=tuple(stops))) <= least(inputs)


@settings(max_examples=40, deadline=None)
@given(SEEDS, st.integers(0, 1), st.integers(0, 7200))
def test_a_longer_shift_never_makes_the_best_plan_dearer(seed, shift, more_s):
    inputs = draw_plan(seed, stops=5)
    shifts = list(inputs.shifts)
    shifts[shift] = replace(shifts[shift], ends_s=shifts[shift].ends_s + more_s)

    assert least(replace(inputs, shifts=tuple(shifts))) <= least(inputs)


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_one_more_technician_never_makes_the_best_plan_dearer(seed):
    inputs = draw_plan(seed, technicians=3, stops=5)
    fewer = replace(inputs, shifts=inputs.shifts[:-1], present=())
    if any(stop.must for stop in inputs.stops):
        fewer = replace(fewer, stops=tuple(replace(s, must=False, worth=500) for s in inputs.stops))
    more = replace(fewer, shifts=inputs.shifts)

    assert least(more) <= least(fewer)


@settings(max_examples=30, deadline=None)
@given(SEEDS)
def test_twice_the_units_and_twice_the_times_cost_twice(seed):
    """Every second and every unit doubled: the same plan, at twice the cost."""
    inputs = draw_plan(seed, stops=5)
    twice = double(inputs)
    plan = find_cheapest(make_figures(inputs))

    assert find_faults(twice, plan) == []
    assert count_cost(twice, plan).total == 2 * count_cost(inputs, plan).total
    assert least(twice) == 2 * least(inputs)


def double(inputs):
    """All seconds and all units twice as large; overtime's price a second stays."""
    shifts = tuple(
        replace(
            shift,
            starts_s=2 * shift.starts_s,
            ends_s=2 * shift.ends_s,
            overtime_s=2 * shift.overtime_s,
            pause=None if shift.pause is None else twice_break(shift.pause),
        )
        for shift in inputs.shifts
    )
    stops = tuple(
        replace(
            stop,
            work_s=2 * stop.work_s,
            windows=tuple(Window(2 * w.from_s, 2 * w.to_s) for w in stop.windows),
            worth=2 * stop.worth,
            apart=tuple((who, 2 * units) for who, units in stop.apart),
            fixed_s=None if stop.fixed_s is None else 2 * stop.fixed_s,
            move_units=None if stop.move_units is None else 2 * stop.move_units,
        )
        for stop in inputs.stops
    )
    drives = tuple(tuple(2 * s for s in row) for row in inputs.drives)
    tariff = replace(inputs.tariff, not_usual=2 * inputs.tariff.not_usual)
    return replace(inputs, drives=drives, shifts=shifts, stops=stops, tariff=tariff)


def twice_break(pause):
    return replace(
        pause,
        earliest_s=2 * pause.earliest_s,
        latest_s=2 * pause.latest_s,
        length_s=2 * pause.length_s,
    )


@settings(max_examples=50, deadline=None)
@given(SEEDS, st.integers(1, 3), st.integers(1, 8))
def test_inputs_come_back_from_their_text(seed, days, stops):
    inputs = draw_plan(seed, days=days, stops=stops)

    assert read_inputs(write_inputs(inputs)) == inputs
    assert digest_of(read_inputs(write_inputs(inputs))) == digest_of(inputs)
