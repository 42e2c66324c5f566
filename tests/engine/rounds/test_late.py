"""Late rounds reckoned by hand: what breaks first, by how much, and what mends it."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import Break, Gate, PlanInputs, Round
from drainservice.engine.rounds.offers.refusal import Breaks
from drainservice.engine.rounds.repair.broken import Late
from drainservice.engine.rounds.repair.late import Means, NobodyIsLate, first_break, look_at_late
from drainservice.engine.rounds.repair.words import say_late
from drainservice.engine.rounds.tables import make_tables
from tests.engine.rounds.small_rounds import draw_inputs
from tests.engine.rounds.streets import MIN, day, shift, speech, visit


def late_day(ben=()):
    """Ana: 20 from 9 to 11, 40 from 9 to 11, 50 from 10 to 12. Ben as given."""
    return day(
        shift(1),
        shift(2),
        rounds=[[visit(20, 540, 660), visit(40, 540, 660), visit(50, 600, 720)], list(ben)],
    )


def test_while_every_promise_holds_the_least_slack_is_told():
    # Free at 9:30 at home: 20 by 9:50 (of 11:00), leaves 10:20, 40 by 10:40 (of 11:00), leaves
    # 11:10, 50 by 11:20 (of 12:00): the second has least, 20 min.
    found = look_at_late(late_day(), Late(1, 570 * MIN))

    assert (found.first, found.spare_s, found.remedies) == (None, 20 * MIN, ())
    assert say_late(found, late_day(), speech()) == [
        "Ana will be free at 9:30; every promise still holds, with 20 min to spare."
    ]


def test_the_first_gate_that_breaks_is_named_with_its_minutes():
    # Free at 10:04: 20 by 10:24, leaves 10:54, 40 by 11:14: 14 min after 11:00.
    found = look_at_late(late_day(), Late(1, 604 * MIN))

    assert (found.first.breaks, found.first.gate, found.first.stop) == (Breaks.GATE, 1, 1)
    assert found.first.late_s == 14 * MIN


def test_the_next_two_may_be_swapped():
    # Free at 10:00 at 41: 20 by 10:21, leaves 10:51, 40 by 11:11, 11 min late. The other way: 40
    # by 10:01, leaves 10:31, 20 by 10:51 in time, leaves 11:21, 50 by 11:51 in time. Driving 21 +
    # 20 + 10 + 50 = 101 min before, 1 + 20 + 30 + 50 = 101 after.
    found = look_at_late(late_day(), Late(1, 600 * MIN, 41))

    swap = found.remedies[0]
    assert (swap.means, swap.stops, swap.still, swap.added_s) == (Means.SWAP, (0, 1), None, 0)
    assert [gate.stop for gate in swap.rounds[0].gates] == [1, 0, 2]
    assert say_late(found, late_day(), speech())[:2] == [
        "Ana will be free at 10:00: “40 Mill Lane before 11:00” breaks by 11 min.",
        "40 Mill Lane before 20 Mill Lane keeps every promise: no more driving.",
    ]


def test_two_that_are_left_may_be_swapped_too():
    # Free at 10:00 at 41: 20 by 10:21 to 10:51, 40 by 11:11, 11 min late. The other way 40 by
    # 10:01 to 10:31, 20 by 10:51.
    inputs = day(shift(1), rounds=[[visit(20, 540, 660), visit(40, 540, 660)]])

    found = look_at_late(inputs, Late(1, 600 * MIN, 41))

    assert [(one.means, one.still) for one in found.remedies] == [(Means.SWAP, None)]


def test_the_last_that_helps_is_handed_over():
    # Free at 10:04 at home: without 50, 40 still breaks; without 40, 50 is reached by 10:54 + 30
    # = 11:24. Ben, who is to be at 45 by 10:00, has 40 on his way from 9:00 to 9:30: no more
    # driving for him, and Ana drives as far as before (50 and back).
    inputs = late_day([visit(45, 540, 600)])

    found = look_at_late(inputs, Late(1, 604 * MIN))

    swap, hand = found.remedies
    # Swapped: 40 by 10:44, leaves 11:14, 20 by 11:34: 34 min late.
    assert (swap.still.stop, swap.still.late_s) == (0, 34 * MIN)
    assert (hand.means, hand.stops, hand.technician) == (Means.HAND_OVER, (1,), 2)
    assert (hand.still, hand.added_s) == (None, 0)
    assert [[gate.stop for gate in one.gates] for one in hand.rounds] == [[0, 2], [1, 3]]
    assert say_late(found, inputs, speech())[1:] == [
        "40 Mill Lane before 20 Mill Lane is not enough: “20 Mill Lane before 11:00” breaks by "
        "34 min.",
        "40 Mill Lane given to Ben keeps every promise: no more driving.",
    ]


def test_where_nothing_is_enough_that_is_said():
    inputs = day(shift(1), rounds=[[visit(20, 540, 600)]])

    found = look_at_late(inputs, Late(1, 600 * MIN))

    assert found.remedies == ()
    assert say_late(found, inputs, speech()) == [
        "Ana will be free at 10:00: “20 Mill Lane before 10:00” breaks by 20 min.",
        "No small change is enough; see whom a repair would disturb.",
    ]


def test_a_latest_return_may_be_what_breaks():
    # Free at 16:00: 20 by 16:20, leaves 16:50, home 17:10; 17:05 is the latest.
    inputs = day(shift(1, overtime_s=5 * MIN), rounds=[[visit(20)]])

    found = look_at_late(inputs, Late(1, 960 * MIN))

    assert (found.first.breaks, found.first.late_s) == (Breaks.HOME, 5 * MIN)
    assert "the round ends 5 min after the latest return" in say_late(found, inputs, speech())[0]


def test_a_latest_return_breaks_with_the_break_wherever_it_falls():
    # Free at 11:50: 20 by 12:10, leaves 12:40, home 13:00; with the break of 30 min, on the way
    # there or home, 13:30. 13:20 is the latest.
    noon = Break(720 * MIN, 780 * MIN, 30 * MIN)
    inputs = day(shift(1, 480, 800, pause=noon), rounds=[[visit(20)]])

    found = look_at_late(inputs, Late(1, 710 * MIN))

    assert (found.first.breaks, found.first.late_s) == (Breaks.HOME, 10 * MIN)


def test_a_break_may_be_what_breaks():
    # It must start by 12:00; free at 11:40, Ana rests by then on her way. At 20 from 11:00 to
    # 12:10, without a moment before it, she cannot: there by 12:00 at the earliest, with the break
    # 12:30, without it she leaves at 13:00, an hour after the break's latest start.
    noon = Break(690 * MIN, 720 * MIN, 30 * MIN)
    inputs = day(shift(1, pause=noon), rounds=[[visit(20, 660, 730, work_min=60)]])

    found = look_at_late(inputs, Late(1, 700 * MIN))

    assert (found.first.breaks, found.first.late_s) == (Breaks.BREAK, 60 * MIN)
    assert "the break comes 1 h too late" in say_late(found, inputs, speech())[0]


def test_nobody_is_late_without_a_round():
    with pytest.raises(NobodyIsLate, match="Technician 3 has no visits left"):
        look_at_late(late_day(), Late(3, 600 * MIN))


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 10**9))
def test_the_first_break_lies_where_driving_fails(seed):
    # The round up to the gate before the named one can be driven, if it may end there and rest
    # whenever it likes; with the named gate, however far its window were moved back by less than
    # the minutes named, it cannot.
    inputs, _ = draw_inputs(seed, 4)
    round_ = Round(0, tuple(Gate(number) for number in range(4)))
    first = first_break(make_tables(inputs, round_))
    assert (first is None) == (drive_round(inputs, round_) is not None)
    if first is None or first.breaks != Breaks.GATE:
        return

    assert drive_round(*_until(inputs, round_, first.gate)) is not None
    assert drive_round(*_until(inputs, round_, first.gate + 1)) is None
    moved = _window_moved(inputs, first.stop, first.late_s)
    assert drive_round(*_until(moved, round_, first.gate + 1)) is not None
    almost = _window_moved(inputs, first.stop, first.late_s - 1)
    assert drive_round(*_until(almost, round_, first.gate + 1)) is None


def _until(inputs, round_, gates):
    """Its first gates, with all the time there is to rest afterwards and to come home."""
    shift_ = inputs.shifts[0]
    pause = None if shift_.pause is None else replace(shift_.pause, latest_s=10**7)
    open_ended = replace(shift_, ends_s=10**8, pause=pause)
    return replace(inputs, shifts=(open_ended,)), Round(0, round_.gates[:gates])


def _window_moved(inputs: PlanInputs, number, by_s):
    stop = inputs.stops[number]
    window = replace(stop.windows[0], to_s=stop.windows[0].to_s + by_s)
    stops = list(inputs.stops)
    stops[number] = replace(stop, windows=(window,))
    return replace(inputs, stops=tuple(stops))
