"""Tables of rounds, against arithmetic by hand and against rounds driven step by step."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.check import count_cost, drive_round
from drainservice.engine.rounds.facts import Break, Gate, Plan, PlanInputs, Round, Window
from drainservice.engine.rounds.layers import NEVER_S
from drainservice.engine.rounds.tables import (
    RoundCannotBeKept,
    make_tables,
    round_cost,
    tables_of,
)
from tests.engine.rounds.small_rounds import MIN, draw_inputs, make_shift, make_stop

few = settings(max_examples=300, deadline=None)
seeds = st.integers(0, 10**9)


def in_minutes(times_s):
    """Seconds as minutes, None for never."""
    return [None if abs(at_s) >= NEVER_S else at_s / MIN for at_s in times_s]


NOON = Break(690 * MIN, 810 * MIN, 30 * MIN)


def round_of_three(pause=NOON):
    """Home, then A, B, C, then home. Minutes; drives H-A 20, A-B 15, B-C 25, C-H 30, else 99."""
    legs = {(0, 1): 20, (1, 2): 15, (2, 3): 25, (3, 0): 30}
    drives = tuple(
        tuple(0 if a == b else MIN * legs.get((a, b), 99) for b in range(4)) for a in range(4)
    )
    stops = (
        make_stop(1, 480, 600, 30),
        make_stop(2, 600, 720, 40),
        make_stop(3, 780, 900, 45),
    )
    return PlanInputs(drives, (make_shift(pause=pause),), stops), Round(
        0, (Gate(0), Gate(1), Gate(2))
    )


def test_the_tables_of_a_round_worked_by_hand():
    tables = make_tables(*round_of_three())

    # Break still to come: A 480+20 = 500, +30 = 530; B 530+15 = 545, waits to 600, +40 = 640;
    # C 640+25 = 665, waits to 780, +45 = 825; home 855.
    assert in_minutes(tables.early0_s) == [480, 530, 640, 825, 855]
    # Break taken: on the way to A max(500, 690)+30 = 720 > 600: never. On the way to B
    # max(545, 690)+30 = 720, just in time, +40 = 760. C: from B 760+25 = 785; or break on the way
    # max(665, 690)+30 = 720, waits to 780: the earlier, +45 = 825. Home: 825+30 = 855; with the
    # break on the way max(855, 690)+30 = 885 is later, and 825 > 810 forbids it.
    assert in_minutes(tables.early1_s) == [None, None, 760, 825, 855]
    # No break to come: home 1020; C min(900, 1020-30-45 = 945); B min(720, 900-25-40 = 835);
    # A min(600, 720-15-30 = 675); leaves home by 600-20 = 580.
    assert in_minutes(tables.late0_s) == [580, 600, 720, 900, 1020]
    # Break to come: after C it starts by min(810, 1020-30-30 = 960), less 45 = 765 < 780: never.
    # After B by min(810, 900-30-25 = 845), less 40 = 770, window 720. After A: break at B or later
    # 720-15 = 705; on the way min(810, 720-30-15 = 675); the later, less 30 = 675, window 600.
    # Before A: 600-20 = 580; on the way to A: 690+30 = 720 > 600, no.
    assert in_minutes(tables.late1_s) == [580, 600, 720, None, None]
    assert tables.is_feasible


def test_a_round_is_planned_as_early_as_may_be():
    planned = make_tables(*round_of_three()).planned

    # Break on the way to A: 720, too late. To B: B at 720, leaves 760, C 785, leaves 830, home 860.
    # To C: max(640+25, 690)+30 = 720, waits to 780, leaves 825, home 855. After C: 825 > 810.
    assert in_minutes(planned.starts_s) == [500, 600, 780]
    assert (planned.break_before, planned.break_starts_s) == (2, 690 * MIN)
    assert planned.home_s == 855 * MIN
    # A may slip to 600, B to 720 (break still to come), C to 900.
    assert in_minutes(planned.slack_s) == [100, 120, 120]


def test_without_a_break_everything_lies_behind_it():
    tables = make_tables(*round_of_three(pause=None))

    assert in_minutes(tables.early0_s) == [None] * 5
    assert in_minutes(tables.early1_s) == [480, 530, 640, 825, 855]
    assert in_minutes(tables.late0_s) == [580, 600, 720, 900, 1020]
    assert tables.planned.break_before is None
    assert in_minutes(tables.planned.starts_s) == [500, 600, 780]


def test_a_break_that_ends_before_it_begins_can_never_be_kept():
    inputs, round_ = round_of_three(Break(810 * MIN, 690 * MIN, 30 * MIN))

    assert not make_tables(inputs, round_).is_feasible
    assert drive_round(inputs, round_) is None


def test_a_break_of_no_length_costs_no_time():
    inputs, round_ = round_of_three(Break(480 * MIN, 1020 * MIN, 0))
    without, _ = round_of_three(None)

    planned = make_tables(inputs, round_).planned

    assert planned.starts_s == make_tables(without, round_).planned.starts_s
    assert planned.break_before == 3  # all places are equal: the last


def test_a_shift_without_visits_drives_nowhere_and_keeps_its_day():
    inputs, _ = round_of_three()

    tables = make_tables(inputs, Round(0))

    # Home to home is no way; the break from 690 to 720 is all there is.
    assert tables.planned.home_s == 720 * MIN
    assert (tables.driving_s, tables.overtime_s) == (0, 0)
    assert round_cost(inputs, tables).total == 0


def test_a_fixed_start_is_kept_to_the_second():
    inputs, round_ = round_of_three()
    locked = replace(inputs.stops[1], fixed_s=645 * MIN + 7)
    inputs = replace(inputs, stops=(inputs.stops[0], locked, inputs.stops[2]))

    assert make_tables(inputs, round_).planned.starts_s[1] == 645 * MIN + 7
    assert make_tables(inputs, round_).planned.slack_s[1] == 0


def test_a_fixed_start_outside_its_window_can_never_be_kept():
    inputs, round_ = round_of_three()
    locked = replace(inputs.stops[1], fixed_s=721 * MIN)
    inputs = replace(inputs, stops=(inputs.stops[0], locked, inputs.stops[2]))

    assert not make_tables(inputs, round_).is_feasible


def test_a_round_that_cannot_be_kept_says_what_to_change():
    inputs, round_ = round_of_three(Break(480 * MIN, 490 * MIN, 300 * MIN))
    tables = make_tables(inputs, round_)

    with pytest.raises(RoundCannotBeKept, match=r"day 0 cannot keep every window.*take a visit"):
        _ = tables.planned
    with pytest.raises(RoundCannotBeKept):
        round_cost(inputs, tables)


def small_round(seed, most=5):
    """A drawn round, whether it can be kept or not."""
    inputs, random = draw_inputs(seed, most)
    return inputs, Round(0, tuple(Gate(k) for k in range(random.randint(0, most))))


@few
@given(seeds)
def test_a_round_can_be_kept_exactly_when_it_can_be_driven(seed):
    inputs, round_ = small_round(seed)
    tables = make_tables(inputs, round_)

    driven = drive_round(inputs, round_)

    leaves_by = (tables.late0_s if tables.shift.pause is None else tables.late1_s)[0]
    assert tables.is_feasible == (driven is not None)
    assert tables.is_feasible == (leaves_by >= tables.shift.starts_s)


@few
@given(seeds)
def test_a_round_is_planned_as_it_is_driven(seed):
    inputs, round_ = small_round(seed)
    tables, driven = make_tables(inputs, round_), drive_round(inputs, round_)
    if driven is None:
        return

    planned = tables.planned

    assert planned.starts_s == driven.starts_s
    assert planned.home_s == driven.home_s == tables.home_s
    assert planned.break_before == driven.break_before
    assert planned.break_starts_s == driven.break_starts_s


@few
@given(seeds)
def test_a_start_may_slip_by_its_slack_and_not_by_a_second_more(seed):
    inputs, round_ = small_round(seed, most=4)
    tables = make_tables(inputs, round_)
    if not tables.is_feasible or not round_.gates:
        return
    planned = tables.planned

    for number, gate in enumerate(round_.gates):
        stop = inputs.stops[gate.stop]
        for late_s, may_be in (
            (planned.slack_s[number], True),
            (planned.slack_s[number] + 1, False),
        ):
            slipped_s = planned.starts_s[number] + late_s
            slipped = replace(stop, windows=(Window(slipped_s, slipped_s),))
            # The break stays on its side of the gate: with it before, the shift starts anew there.
            kept = _drives_on_from(inputs, round_, number, slipped, planned)
            assert kept == (may_be and slipped_s <= stop.windows[0].to_s)


def _drives_on_from(inputs, round_, number, slipped, planned):
    """Whether the rest of the round can be driven from a gate started at its slipped window."""
    shift = inputs.shifts[0]
    is_rested = planned.break_before is None or planned.break_before <= number
    rest = replace(
        shift,
        starts_s=slipped.windows[0].from_s + slipped.work_s,
        leaves_from=slipped.place,
        pause=None if is_rested else shift.pause,
    )
    if slipped.windows[0].from_s > inputs.stops[round_.gates[number].stop].windows[0].to_s:
        return False
    later = Round(0, round_.gates[number + 1 :])
    return drive_round(replace(inputs, shifts=(rest,)), later) is not None


@few
@given(seeds)
def test_a_round_costs_what_the_judge_counts(seed):
    inputs, round_ = small_round(seed)
    tables = make_tables(inputs, round_)
    if not tables.is_feasible:
        return

    mine = round_cost(inputs, tables)
    judged = count_cost(inputs, Plan((round_,)))

    assert (mine.driving, mine.overtime, mine.people) == (
        judged.driving,
        judged.overtime,
        judged.people,
    )


@few
@given(seeds)
def test_latest_times_are_earliest_times_of_the_round_driven_backwards(seed):
    # Without a break: a start s in [e, l] with work d, seen from the end of time T backwards, is
    # a start T - s - d in [T - l - d, T - e - d]; legs run the other way round.
    inputs, round_ = small_round(seed)
    shift = replace(inputs.shifts[0], pause=None)
    ahead = make_tables(replace(inputs, shifts=(shift,)), round_)
    end_s = shift.closes_s

    turned = tables_of(
        0,
        replace(shift, starts_s=0, ends_s=end_s - shift.starts_s, overtime_s=0),
        round_.gates,
        ahead.places[::-1],
        [
            (end_s - ahead.to_s[k] - ahead.work_s[k], end_s - ahead.from_s[k] - ahead.work_s[k])
            for k in range(len(round_.gates), 0, -1)
        ],
        ahead.work_s[-2:0:-1],
        ahead.legs_s[::-1],
    )

    leaves_backwards = [NEVER_S if at >= NEVER_S else end_s - at for at in turned.early1_s[::-1]]
    latest = [-at if at <= -NEVER_S else at for at in ahead.late0_s]
    nodes = range(1, len(round_.gates) + 1)
    assert [leaves_backwards[k] for k in nodes] == [latest[k] for k in nodes]
