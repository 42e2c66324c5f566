"""Mending: whatever the sketch, the rounds hold, and no promise of the start is lost."""

from random import Random

import pytest

from drainservice.engine.rounds.check import count_cost, find_faults
from drainservice.engine.rounds.facts import DAY_S, PlanInputs, Shift, Stop, Window
from drainservice.engine.rounds.search.figures import MISSING, make_figures
from drainservice.engine.rounds.search.mend import heal_round, make_room, mend_rounds
from drainservice.engine.rounds.search.solve import start_draft
from tests.engine.rounds.drawn_plans import draw_plan

MIN = 60


def scrambled(f, random):
    """Each stop in one of its options on any shift at all, in any order: mostly impossible."""
    sketch = [[] for _ in f.own]
    for stop in range(len(f.skip)):
        option = random.randrange(f.first_option[stop], f.first_option[stop + 1])
        if random.random() < 0.9:
            sketch[random.randrange(len(sketch))].append(option)
    for options in sketch:
        random.shuffle(options)
    return [tuple(options) for options in sketch]


@pytest.mark.parametrize("seed", range(80))
def test_any_sketch_becomes_rounds_that_hold_with_every_promise(seed):
    inputs = draw_plan(seed, technicians=3, days=2, stops=14, scale=0.6)
    f = make_figures(inputs)
    start = start_draft(f)
    assert start.missing() == []
    mended = mend_rounds(f, scrambled(f, Random(seed)), start)
    plan = mended.as_plan()

    assert find_faults(inputs, plan) == []
    assert mended.cost == count_cost(inputs, plan).total


@pytest.mark.parametrize("seed", range(40))
def test_the_start_keeps_the_present_rounds_where_they_hold(seed):
    inputs = draw_plan(seed, technicians=2, days=2, stops=10, scale=0.6)
    draft = start_draft(make_figures(inputs))
    plan = draft.as_plan()
    order = {r.shift: [g.stop for g in r.gates] for r in plan.rounds}

    assert find_faults(inputs, plan) == []
    for round_ in inputs.present:
        kept = [stop for stop in order[round_.shift] if stop in {g.stop for g in round_.gates}]
        assert kept == [gate.stop for gate in round_.gates]


def one_shift(stops, drives=None, **changed):
    shift = Shift(0, 0, 480 * MIN, 1020 * MIN, 0, 0, **changed)
    return make_figures(PlanInputs(drives or ((0,),), (shift,), tuple(stops)))


def at(key, from_min, to_min, work_min, **changed):
    return Stop(key, 0, work_min * MIN, (Window(from_min * MIN, to_min * MIN),), **changed)


def test_the_cheapest_single_stop_heals_a_round():
    """Both 300 min long within 540: one must go, and 30 units are less than 50."""
    f = one_shift([at(1, 480, 1020, 300, worth=50), at(2, 480, 1020, 300, worth=30)])

    assert heal_round(f, 0, (0, 1)).options == (0,)


def test_a_promise_stays_though_two_others_must_go_for_it():
    stops = [
        at(1, 480, 480, 540, must=True),
        at(2, 480, 1020, 60, worth=900),
        at(3, 480, 1020, 60, worth=900),
    ]
    f = one_shift(stops)

    assert heal_round(f, 0, (1, 2, 0)).options == (0,)


def test_room_is_made_by_leaving_out_the_least_that_is_enough():
    """Of three hours-long visits in a day of nine hours, one has to go for a promise of three."""
    stops = [at(n, 480, 1020, 180, worth=worth) for n, worth in ((1, 90), (2, 20), (3, 60))]
    f = one_shift([*stops, at(4, 480, 1020, 180, must=True)])
    draft = mend_rounds(f, [(0, 1, 2)])

    # Mending has made room already: the stop of 20 units is out.
    assert draft.at == [0, -1, 0, 0]
    assert draft.missing() == []


def test_one_that_is_enough_goes_before_a_cheaper_one_that_is_not():
    """A promise of three hours: the hour worth 10 would not do, the three hours worth 50 do; what
    is left of the day is full."""
    stops = [
        at(1, 480, 1020, 60, worth=10),
        at(2, 480, 1020, 180, worth=50),
        at(3, 480, 1020, 300, worth=90),
        at(4, 480, 1020, 180, must=True),
    ]
    draft = mend_rounds(one_shift(stops), [(0, 1, 2)])

    assert draft.at == [0, -1, 0, 0]


def test_no_room_is_made_at_the_cost_of_a_promise():
    stops = [at(1, 480, 1020, 540, must=True), at(2, 480, 1020, 10, must=True)]
    draft = mend_rounds(one_shift(stops), [(0,)])

    assert draft.missing() == [1]
    assert draft.cost >= MISSING
    assert not make_room(draft, 1)


def test_a_day_without_room_for_its_promise_gets_its_rounds_back():
    """Two promises fit only in one order, 1 then 2; a sketch moves the third, which could go on
    either day, between them and puts it before both."""
    day = 1020 * MIN - 480 * MIN
    tight = at(1, 480, 480, 240, must=True)
    later = at(2, 720, 720, 300, must=True)
    either = Stop(
        3,
        0,
        60 * MIN,
        (Window(480 * MIN, 480 * MIN), Window(DAY_S + 480 * MIN, DAY_S + 480 * MIN + day)),
        must=True,
    )
    shifts = tuple(Shift(0, d, d * DAY_S + 480 * MIN, d * DAY_S + 1020 * MIN, 0, 0) for d in (0, 1))
    f = make_figures(PlanInputs(((0,),), shifts, (tight, later, either)))
    start = start_draft(f)
    assert start.at == [0, 0, 1]
    mended = mend_rounds(f, [(2, 1), ()], start)

    assert mended.at == [0, 0, 1]
