"""The judge of plans, against a simulation second by second, and each of its sentences."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.check import (
    Driven,
    PlanBroken,
    assert_sound,
    count_cost,
    drive_round,
    find_faults,
    is_served_by,
)
from drainservice.engine.rounds.facts import (
    Break,
    Gate,
    Plan,
    PlanInputs,
    Round,
    Shift,
    Stop,
    Window,
)
from tests.engine.rounds.small_rounds import MIN, make_shift, make_stop

READY, LEG, DOOR, WORK = range(4)
TO_COME, DONE = -1, -2


def small_day(seed):
    """A day of some forty seconds and up to three gates, each second of which can be lived."""
    random = Random(seed)
    count = random.randint(0, 3)
    starts_s, ends_s = random.randint(0, 5), random.randint(15, 40)
    pause = None
    if random.random() < 0.8:
        from_s = random.randint(0, 30)
        pause = Break(from_s, from_s + random.randint(0, 15), random.randint(0, 5))
    shift = Shift(0, 0, starts_s, ends_s, 0, random.randint(0, 1), random.choice([0, 6]), pause)
    stops = tuple(
        Stop(
            number,
            number + 2,
            random.randint(0, 5),
            (Window(at_s, at_s + random.choice([0, 1, 5, 15])),),
            fixed_s=random.choice([None, None, None, at_s, at_s + 1]),
        )
        for number in range(count)
        for at_s in [random.randint(0, 30)]
    )
    drives = tuple(tuple(random.randint(0, 6) for _ in range(5)) for _ in range(5))
    return PlanInputs(drives, (shift,), stops), Round(0, tuple(map(Gate, range(count))))


def lives_through(inputs, round_):
    """The earliest return, by trying every choice at every second: leave, wait, rest, knock."""
    shift = inputs.shifts[0]
    stops = [inputs.stops[gate.stop] for gate in round_.gates]
    places = [shift.leaves_from, *(stop.place for stop in stops), shift.returns_to]
    home, pause = len(stops) + 1, shift.pause
    states = {(0, READY, 0, DONE if pause is None else TO_COME)}
    for now in range(shift.starts_s, shift.closes_s + 1):
        waiting = list(states)
        while waiting:
            for state in at_once(waiting.pop(), now, inputs, stops, places, pause):
                if state not in states:
                    states.add(state)
                    waiting.append(state)
        if (home, DOOR, 0, DONE) in states:
            return now
        states = {later for state in states for later in a_second_later(state)}
    return None


def at_once(state, now, inputs, stops, places, pause):
    """What may follow without time passing."""
    node, phase, left, rest = state
    if rest == 0:
        yield node, phase, left, DONE
    if rest == TO_COME and phase != WORK and pause.earliest_s <= now <= pause.latest_s:
        yield node, phase, left, pause.length_s
    if rest >= 0:
        return
    if phase == READY:
        yield node, LEG, inputs.drives[places[node]][places[node + 1]], rest
    if phase == LEG and left == 0:
        yield node + 1, DOOR, 0, rest
    if phase == WORK and left == 0:
        yield node, READY, 0, rest
    if phase == DOOR and node <= len(stops):
        stop = stops[node - 1]
        window = stop.windows[0]
        if window.from_s <= now <= window.to_s and stop.fixed_s in (None, now):
            yield node, WORK, stop.work_s, rest


def a_second_later(state):
    """A second passes: at rest nothing moves, else they drive, work, or wait where they stand."""
    node, phase, left, rest = state
    if rest > 0:
        yield node, phase, left, rest - 1
    elif phase in (LEG, WORK) and left:
        yield node, phase, left - 1, rest
    elif phase in (READY, DOOR):
        yield state


def test_rounds_are_driven_as_a_life_second_by_second_would_find():
    driven = 0
    for seed in range(2500):
        inputs, round_ = small_day(seed)
        lived, one = lives_through(inputs, round_), drive_round(inputs, round_)
        assert (None if one is None else one.home_s) == lived, seed
        driven += one is not None
    assert driven > 500


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 10**9))
def test_what_was_driven_keeps_every_rule(seed):
    inputs, round_ = small_day(seed)
    driven = drive_round(inputs, round_)
    if driven is None:
        return

    shift, ready_s, here = inputs.shifts[0], inputs.shifts[0].starts_s, 0
    for number, starts_s in enumerate(driven.starts_s):
        stop = inputs.stops[number]
        rest_s = shift.pause.length_s if driven.break_before == number else 0
        assert starts_s >= ready_s + inputs.drives[here][stop.place] + rest_s
        assert stop.windows[0].from_s <= starts_s <= stop.windows[0].to_s
        assert stop.fixed_s in (None, starts_s)
        ready_s, here = starts_s + stop.work_s, stop.place
    assert driven.home_s <= shift.closes_s
    if shift.pause is not None:
        assert shift.pause.earliest_s <= driven.break_starts_s <= shift.pause.latest_s


def two_visits(**changed):
    """Ana's day with two visits ten minutes apart, ten from home."""
    drives = tuple(tuple(0 if a == b else 10 * MIN for b in range(3)) for a in range(3))
    stops = (make_stop(1), make_stop(2, must=False, worth=30))
    return PlanInputs(drives, (make_shift(**changed),), stops)


BOTH = Plan((Round(0, (Gate(0), Gate(1))),))


def test_a_sound_plan_has_no_faults():
    assert find_faults(two_visits(), BOTH) == []
    assert_sound(two_visits(), BOTH)
    assert drive_round(two_visits(), BOTH.rounds[0]) == Driven(
        # 8:10, 8:50, home 9:30.
        (490 * MIN, 530 * MIN),
        570 * MIN,
        None,
        None,
    )


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (Plan((Round(0, (Gate(0), Gate(0))),), (1,)), "Visit 1 stands 2 times"),
        (Plan((Round(0, (Gate(0), Gate(1))),), (1,)), "Visit 2 stands 2 times"),
        (Plan((Round(0, (Gate(0),)),)), "Visit 2 is neither planned nor left out"),
        (Plan((Round(0, (Gate(1),)),), (0,)), "Visit 1 is promised and was left out"),
        (Plan((Round(0, (Gate(0),)), Round(0, (Gate(1),)))), "Shift 0 has 2 rounds"),
        (Plan((Round(1, (Gate(0),)),), (1,)), "a round of shift 1, and there is none"),
        (Plan((Round(0, (Gate(0), Gate(2))),), (1,)), "names visit number 2, and there is none"),
        (Plan((Round(0, (Gate(0),)),), (-1,)), "names visit number -1, and there is none"),
        (Plan((Round(0, (Gate(0, 1), Gate(1))),)), "Visit 1 has no window number 1"),
        (Plan((Round(0, (Gate(0, -1), Gate(1))),)), "Visit 1 has no window number -1"),
    ],
)
def test_a_plan_that_counts_wrong_is_told(plan, said):
    (fault,) = [one for one in find_faults(two_visits(), plan) if said in one]

    assert fault.endswith(".")
    with pytest.raises(PlanBroken):
        assert_sound(two_visits(), plan)


@pytest.mark.parametrize(
    ("stop", "shift", "said"),
    [
        ({"skills": frozenset({"camera"})}, {}, "Visit 1 may not be made by technician 1"),
        ({"only": frozenset({2})}, {}, "Visit 1 may not be made by technician 1"),
        ({"load": 2}, {"room": 1}, "would carry 2; the van takes 1"),
        ({"windows": (Window(0, 489 * MIN),)}, {}, "cannot keep every window"),
        ({"fixed_s": 489 * MIN}, {}, "cannot keep every window"),
        ({"work_s": 540 * MIN}, {}, "cannot keep every window"),
        ({}, {"pause": Break(0, 470 * MIN, 0)}, "cannot keep every window"),
        ({}, {"pause": Break(900 * MIN, 800 * MIN, 0)}, "cannot keep every window"),
    ],
)
def test_a_round_that_breaks_a_rule_is_told(stop, shift, said):
    inputs = two_visits(**shift)
    first, second = inputs.stops
    inputs = replace(inputs, stops=(replace(first, **stop), second))

    (fault,) = find_faults(inputs, BOTH)

    assert said in fault


def test_nobody_drives_two_rounds_at_once():
    inputs = two_visits()
    early = inputs.shifts[0]
    plan = Plan((Round(0, (Gate(0),)), Round(1, (Gate(1),))))
    # The first round is home at 8:50.
    for starts_min, faults in ((529, 1), (530, 0)):
        late = replace(early, starts_s=starts_min * MIN)
        both = replace(inputs, shifts=(early, late))
        assert len(find_faults(both, plan)) == faults
    other = replace(early, technician=2)
    assert find_faults(replace(inputs, shifts=(early, other)), plan) == []


def test_a_round_without_visits_breaks_nothing_and_costs_nothing():
    inputs = two_visits(pause=Break(0, 1, 60))
    plan = Plan((Round(0),), (1,))
    inputs = replace(inputs, stops=(replace(inputs.stops[0], must=False), inputs.stops[1]))

    assert find_faults(inputs, replace(plan, left_out=(0, 1))) == []
    assert count_cost(inputs, plan).total == 30 * 60


def test_a_plan_costs_its_parts():
    # Thirty minutes of driving; home at 9:30, half an hour after the paid end, counted double; not
    # the usual technician 15, disliked 40.
    inputs = two_visits(ends_s=540 * MIN, overtime_s=30 * MIN)
    first, second = inputs.stops
    inputs = replace(
        inputs,
        stops=(replace(first, usual=2), replace(second, usual=1, apart=((1, 40), (2, 7)))),
    )

    cost = count_cost(inputs, BOTH)

    assert (cost.driving, cost.overtime, cost.people) == (30 * 60, 60 * 60, 55 * 60)
    assert cost.total == 145 * 60


def test_moving_what_somebody_was_told_costs_once():
    inputs = two_visits()
    first, second = inputs.stops
    windows = (*first.windows, Window(0, 1440 * MIN))
    stops = (replace(first, windows=windows, move_units=100), second)
    inputs = replace(inputs, stops=stops, present=(Round(0, (Gate(0),)),))
    other = make_shift(technician=2)

    assert count_cost(inputs, BOTH).moved == 0
    moved = Plan((Round(0, (Gate(0, 1), Gate(1))),))
    assert count_cost(inputs, moved).moved == 100 * 60
    by_ben = Plan((Round(1, (Gate(0), Gate(1))),))
    assert count_cost(replace(inputs, shifts=(*inputs.shifts, other)), by_ben).moved == 100 * 60
    left = count_cost(inputs, Plan((), (0, 1)))
    assert (left.moved, left.left_out) == (100 * 60, 30 * 60)


def test_a_cost_of_what_cannot_be_driven_is_refused():
    inputs = two_visits(ends_s=500 * MIN)

    with pytest.raises(PlanBroken, match="shift 0 cannot be driven"):
        count_cost(inputs, BOTH)


def test_a_shift_serves_the_days_it_touches():
    shift = make_shift()

    assert is_served_by(make_stop(1, 1020, 1100), shift)
    assert not is_served_by(make_stop(1, 1021, 1100), shift)
    assert not is_served_by(make_stop(1, 0, 479), shift)
