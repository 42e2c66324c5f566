"""Free times of small cases worked by hand: rules, errors, ranks, and their sentences."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.facts import (
    DAY_S,
    Break,
    Gate,
    PlanInputs,
    Round,
    Window,
)
from drainservice.engine.rounds.insert import Candidate, candidate_of
from drainservice.engine.rounds.offers.facts import (
    Counted,
    Half,
    OfferQuestion,
    OfferTerms,
    Rule,
    TermsDoNotFit,
    Wish,
)
from drainservice.engine.rounds.offers.find import find_offers, near_misses, tables_of_present
from drainservice.engine.rounds.offers.price import DayWithoutRisk
from drainservice.engine.rounds.offers.refusal import Breaks, Refusal, why_not
from drainservice.engine.rounds.offers.refusal_words import say_refusal
from drainservice.engine.rounds.offers.rules import (
    DrivesDoNotMatch,
    NobodyHasTheSkill,
    NobodyIsLeft,
    NoShiftReachesWindow,
    VisitLongerThanAnyDay,
)
from drainservice.engine.rounds.offers.windows import bounds_in, half_of, windows_on
from drainservice.engine.rounds.offers.words import say_offer, say_why_not_more
from drainservice.engine.rounds.speech import Speech
from tests.engine.rounds.small_rounds import MIN, make_shift, make_stop, on_day

H = 3600
ALL = 10**6


def clock(at_s):
    """9 am"""
    hour, minute = divmod(at_s // MIN, 60)
    return f"{(hour + 11) % 12 + 1}{f':{minute:02d}' if minute else ''} {'ap'[hour >= 12]}m"


SPEECH = Speech(
    stops={1: "Elm Road", 2: "Mill Lane", 3: "Dry Creek", 9: "Low Meadow"},
    people={1: "Ana", 2: "Ben", 3: "Cy"},
    say_day=lambda day: ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[day % 7],
    say_clock=clock,
    skills={"electric": "electric licence"},
)


def small_town(shifts, gates=((),), windows=None, **changed):
    """Elm Road (1), Mill Lane (2), Dry Creek (3) and the new visit at Low Meadow (4, key 9).

    Ten minutes between any two places. `gates` are the stops of each shift's round.
    """
    drives = tuple(tuple(0 if a == b else 10 * MIN for b in range(5)) for a in range(5))
    stops = (
        make_stop(1, 480, 600, 30),
        make_stop(2, 600, 660, 40),
        make_stop(3, 780, 900, 45),
    )
    windows = windows or (Window(8 * H, 17 * H),)
    new = replace(make_stop(4, 0, 0, 60, key=9, must=False), windows=windows, **changed)
    present = tuple(
        Round(number, tuple(Gate(stop) for stop in one)) for number, one in enumerate(gates) if one
    )
    inputs = PlanInputs(drives, tuple(shifts), (*stops, new), present)
    return OfferQuestion(inputs, candidate_of(inputs, 3), tables_of_present(inputs))


def all_offers(question, **changed):
    return find_offers(replace(question, **changed), best_count=ALL).best


def test_windows_are_two_hours_long_each_hour_of_the_shift():
    windows = windows_on(make_stop(1, 0, 1440), make_shift(), OfferTerms())

    # 8 to 5: 8-10, 9-11, ... 3-5.
    assert [(w.from_s // H, w.to_s // H) for w in windows] == [(h, h + 2) for h in range(8, 16)]


def test_windows_lie_within_the_times_that_the_visit_leaves():
    stop = replace(make_stop(), windows=(Window(9 * H + 1, 12 * H), Window(14 * H, 15 * H)))

    windows = windows_on(stop, make_shift(), OfferTerms())

    # From 9:00:01 to noon only 10-12 is whole; an hour is too narrow for the grid, so it stands.
    assert windows == [Window(10 * H, 12 * H), Window(14 * H, 15 * H)]
    # 20 min of 2 h is a sixth: 10 of 60 min.
    assert bounds_in(stop, windows[1], OfferTerms()) == (14 * H, 14 * H + 50 * MIN)


def test_a_window_of_one_second_keeps_no_margin():
    stop = replace(make_stop(), windows=(Window(9 * H, 9 * H + 1),))

    (window,) = windows_on(stop, make_shift(), OfferTerms())

    assert window == Window(9 * H, 9 * H + 1)
    assert bounds_in(stop, window, OfferTerms()) == (9 * H, 9 * H + 1)


def test_a_fixed_start_is_promised_in_the_windows_that_hold_it():
    stop = replace(make_stop(), fixed_s=9 * H + 50 * MIN)

    windows = windows_on(stop, make_shift(), OfferTerms())

    assert windows == [Window(8 * H, 10 * H), Window(9 * H, 11 * H)]
    assert bounds_in(stop, windows[0], OfferTerms()) == (9 * H + 50 * MIN, 9 * H + 50 * MIN)


def test_noon_parts_the_day():
    assert half_of(Window(DAY_S + 11 * H, DAY_S + 13 * H)) == Half.MORNING
    assert half_of(Window(DAY_S + 12 * H, DAY_S + 14 * H)) == Half.AFTERNOON


@pytest.mark.parametrize(
    "changed",
    [
        {"step_s": 0},
        {"window_s": 0},
        {"margin_s": -1},
        {"margin_s": 7201},
        {"reserve_percent": 101},
    ],
)
def test_terms_that_contradict_each_other_are_refused(changed):
    with pytest.raises(TermsDoNotFit, match="change"):
        OfferTerms(**changed)


def test_a_free_day_offers_each_window_for_the_way_there_and_back():
    offers = all_offers(small_town([make_shift()]))

    # 10 there, 10 back. Last start in 3-5 is 3 to 4:40, home by 5 at the latest 3:50 (60 min).
    assert [(one.window.from_s // H, one.parts.driving) for one in offers] == [
        (hour, 20 * MIN) for hour in range(8, 16)
    ]
    assert offers[0].starts_s == 8 * H + 10 * MIN
    assert offers[0].price == 20 * MIN


def test_a_planned_start_comes_twenty_minutes_before_the_window_ends():
    # Elm Road from 8:10 to 9:30 by a long visit: then Low Meadow at 9:40 or, if the visit takes a
    # minute more, 9:41, too late for 8-10.
    for minutes, first in ((80, 8), (81, 9)):
        question = small_town([make_shift()], [(0,)])
        stop = replace(question.inputs.stops[0], work_s=minutes * MIN, fixed_s=490 * MIN)
        inputs = replace(question.inputs, stops=(stop, *question.inputs.stops[1:]))
        offers = all_offers(question, inputs=inputs, tables=tables_of_present(inputs))
        assert min(one.window.from_s for one in offers) == first * H


def test_offers_prefer_the_round_that_drives_less():
    shifts = [make_shift(), make_shift(technician=2)]
    offers = all_offers(small_town(shifts, [(0,), ()]))

    # Ana visits Elm Road anyway: 10+10-10 = 10 min more; Ben drives 20.
    assert {(one.technician, one.parts.driving) for one in offers} == {(1, 10 * MIN), (2, 20 * MIN)}
    assert offers[0].technician == 1


def test_ties_go_to_the_earlier_day_then_to_the_lower_number():
    days = [on_day(make_shift(technician=who), day) for day in (1, 0) for who in (2, 1)]
    windows = tuple(Window(day * DAY_S + 8 * H, day * DAY_S + 10 * H) for day in (0, 1))

    offers = all_offers(small_town(days, windows=windows))

    assert [(one.day, one.technician) for one in offers] == [(0, 1), (0, 2), (1, 1), (1, 2)]


def test_each_part_of_a_price_has_its_name():
    days = [on_day(make_shift(technician=2), day) for day in (0, 1)]
    question = small_town(
        days,
        windows=tuple(Window(day * DAY_S + 8 * H, day * DAY_S + 10 * H) for day in (0, 1)),
        usual=1,
        apart=((2, 30),),
    )
    question = replace(
        question,
        first_weekday=6,
        waiting={0: 7, 1: 12},
        minute_price={0: 0.5, 1: 0.25},
        outside_area_of=frozenset({2}),
        wishes=(Wish(True, frozenset({6})), Wish(False, None, Half.MORNING)),
    )

    first, second = sorted(find_offers(question).best, key=lambda one: one.day)

    # Units: the week's price times 60 min; liking Sundays (-20), disliking mornings (+40).
    assert [first.parts.waiting, first.parts.week] == [0, 30 * 60]
    assert [second.parts.waiting, second.parts.week] == [5 * 60, 15 * 60]
    assert [first.parts.not_usual, first.parts.outside, first.parts.liking] == [900, 1800, 0]
    assert [first.parts.wish, second.parts.wish] == [20 * 60, 40 * 60]
    assert first.price == 20 * 60 + 30 * 60 + 900 + 1800 + 20 * 60


def test_a_tight_promise_costs_what_it_lacks_of_half_an_hour():
    # Mill Lane must start by 11:00. Low Meadow before it: 8:10 + 60 + 10 = 9:20, waits to 10:00:
    # slack 60. In the window 9-11 it starts 9:00, Mill Lane 10:10: slack 50. In 9:30-10:10: 9:30,
    # Mill Lane 10:40: slack 20, so 10 min lack of 30. After Mill Lane it touches nothing.
    question = small_town(
        [make_shift()], [(1,)], (Window(9 * H + 30 * MIN, 10 * H + 10 * MIN), Window(9 * H, 11 * H))
    )

    prices = {(one.window.from_s, one.before): one for one in all_offers(question)}

    assert prices[9 * H, 0].parts.tight == 0
    assert prices[9 * H, 0].next_slack_s == 50 * MIN
    assert prices[9 * H + 30 * MIN, 0].parts.tight == 10 * MIN
    assert prices[9 * H + 30 * MIN, 0].next_slack_s == 20 * MIN


def test_booking_into_the_reserve_costs_ten_units_for_each_five_percent():
    # A shift of 540 min; Elm, Mill, Dry take 115 + 40 min of driving; 60 min of work and 10 more of
    # driving make 225: 41.67 %. With 60 % reserved 1.67 % are over: 3.33 units, 200 sixtieths.
    question = small_town([make_shift()], [(0, 1, 2)])

    offers = all_offers(question, terms=OfferTerms(reserve_percent=60))

    assert {one.parts.reserve for one in offers if one.added_drive_s == 10 * MIN} == {200}
    # At 15 % nothing is over.
    assert {one.parts.reserve for one in all_offers(question)} == {0}


def test_overtime_counts_double():
    # Home by 4:50 from Dry Creek fixed at 3 pm + 100 min; Low Meadow after it ends 60+10 later.
    shift = make_shift(overtime_s=H)
    question = small_town([shift], [(2,)], windows=(Window(15 * H, 18 * H),))
    stop = replace(question.inputs.stops[2], work_s=80 * MIN, fixed_s=15 * H)
    stop = replace(stop, windows=(Window(15 * H, 15 * H),))
    inputs = replace(
        question.inputs, stops=(*question.inputs.stops[:2], stop, question.inputs.stops[3])
    )
    question = replace(question, inputs=inputs, tables=tables_of_present(inputs))

    (offer,) = find_offers(question, best_count=1).best

    # Dry Creek 3:00-4:20, Low Meadow 4:30-5:30, home 5:40: 40 min late; before it was 4:30.
    assert (offer.added_overtime_s, offer.parts.overtime) == (40 * MIN, 80 * MIN)
    assert offer.home_slack_s == 20 * MIN


def test_a_visit_that_brings_the_round_near_others_costs_less():
    question = small_town([make_shift()], [(0,)])
    drives = [list(row) for row in question.inputs.drives]
    # Low Meadow lies 4 min from Dry Creek; the round is 10 min away: 6 min nearer, 0.3 of it.
    drives[4][3] = 4 * MIN
    inputs = replace(question.inputs, drives=tuple(tuple(row) for row in drives))
    asked = replace(
        question,
        inputs=inputs,
        candidate=candidate_of(inputs, 3),
        nearby=(3,),
        tables=tables_of_present(inputs),
    )

    assert {one.parts.near for one in all_offers(asked)} == {-108}


def test_three_that_differ_lie_on_different_days_before_they_share_one():
    days = [on_day(make_shift(), day) for day in range(3)]
    windows = tuple(Window(day * DAY_S + 8 * H, day * DAY_S + 17 * H) for day in range(3))

    three = find_offers(small_town(days, windows=windows)).three

    assert [(one.day, one.window.from_s % DAY_S // H) for one in three] == [(0, 8), (1, 8), (2, 8)]


def test_three_of_a_single_day_are_only_two():
    offers = find_offers(small_town([make_shift()]))

    assert [one.half for one in offers.three] == [Half.MORNING, Half.AFTERNOON]
    assert offers.more[0].window == Window(9 * H, 11 * H)


def test_the_third_meets_a_wish_that_none_has_met():
    days = [on_day(make_shift(), day) for day in range(5)]
    windows = tuple(Window(day * DAY_S + 8 * H, day * DAY_S + 10 * H) for day in range(5))
    question = small_town(days, windows=windows)
    question = replace(
        question,
        waiting={0: 0, 1: 5, 2: 10, 3: 15, 4: 90},
        wishes=(Wish(True, frozenset({4})),),
    )

    three = find_offers(question).three

    # Friday costs 90 - 20 more than Monday, and comes all the same.
    assert [one.day for one in three] == [0, 1, 4]
    assert [one.meets_wish for one in three] == [False, False, True]


def test_each_rule_is_counted():
    electric = frozenset({"electric"})
    shifts = [
        make_shift(technician=1, skills=electric),
        make_shift(technician=2),
        on_day(make_shift(technician=2), 1),
        make_shift(technician=3, skills=electric),
        make_shift(technician=4, skills=electric, room=0),
        on_day(make_shift(technician=1, skills=electric), 5),
        make_shift(technician=1, skills=electric, ends_s=9 * H),
    ]
    windows = (Window(8 * H, 17 * H), Window(DAY_S + 8 * H, DAY_S + 17 * H))
    question = small_town(
        shifts, [(0, 1, 2)], windows, skills=electric, only=frozenset({1, 2, 4}), load=1
    )
    full = replace(question.inputs.stops[0], work_s=200 * MIN, windows=(Window(0, 8 * H + 600),))
    inputs = replace(question.inputs, stops=(full, *question.inputs.stops[1:]))

    offers = find_offers(replace(question, inputs=inputs, tables=tables_of_present(inputs)))

    counted = {(one.rule, one.skill): (one.technicians, one.rounds) for one in offers.counted}
    assert counted == {
        (Rule.LEFT_TO_OTHERS, ""): (1, 1),
        (Rule.SKILL, "electric"): (1, 2),
        (Rule.VAN_FULL, ""): (1, 1),
        (Rule.NO_WINDOW, ""): (1, 1),
        (Rule.TOO_SHORT, ""): (1, 1),
        (Rule.FULL, ""): (1, 1),
    }
    assert offers.best == offers.three == offers.more == ()


def test_no_shift_at_all_is_said():
    with pytest.raises(NoShiftReachesWindow, match=r"no technician has a shift.*ask about other"):
        find_offers(small_town([]))


def test_a_technician_without_a_shift_is_said():
    with pytest.raises(NobodyIsLeft, match=r"left to technicians who have no shift.*take the lock"):
        find_offers(small_town([make_shift()], only=frozenset({7})))


def test_a_skill_that_nobody_has_is_said():
    question = small_town([make_shift()], skills=frozenset({"electric", "camera"}))

    with pytest.raises(NobodyHasTheSkill, match=r"\(camera\).*enter the skill"):
        find_offers(question)


def test_windows_that_no_shift_reaches_are_said():
    question = small_town([make_shift()], windows=(Window(18 * H, 20 * H),))
    with pytest.raises(NoShiftReachesWindow, match="widen the windows"):
        find_offers(question)

    # The door can be reached at 8:10 at the earliest; it may be knocked on until 8:09.
    question = small_town([make_shift()], windows=(Window(8 * H, 8 * H + 9 * MIN),))
    with pytest.raises(NoShiftReachesWindow, match="can reach it in time"):
        find_offers(question)


def test_a_visit_longer_than_any_day_is_said():
    # 540 min less 20 of driving and 30 of break leave 490.
    pause = Break(8 * H, 17 * H, 30 * MIN)

    assert find_offers(small_town([make_shift(pause=pause)], work_s=490 * MIN)).best
    with pytest.raises(VisitLongerThanAnyDay, match=r"takes 491 min.*part it in two"):
        find_offers(small_town([make_shift(pause=pause)], work_s=491 * MIN))


def test_the_longest_visit_of_a_day_still_fits():
    # Without a break 520 min fit: from 8:10 to 4:50; 521 do not.
    assert find_offers(small_town([make_shift()], work_s=520 * MIN)).best
    with pytest.raises(VisitLongerThanAnyDay):
        find_offers(small_town([make_shift()], work_s=521 * MIN))


def test_drives_of_another_plan_are_refused():
    question = small_town([make_shift()])
    short = Candidate(question.candidate.stop, (0, 1), (0, 1))

    with pytest.raises(DrivesDoNotMatch, match=r"drives to 2 places and the plan has 5"):
        find_offers(replace(question, candidate=short))


def test_a_day_without_a_risk_is_refused():
    with pytest.raises(DayWithoutRisk, match=r"until day 0 is missing"):
        find_offers(replace(small_town([make_shift()]), waiting={3: 5}))


def test_a_refusal_names_the_gate_that_would_break():
    # Elm Road 8:10-8:40, Mill Lane by 11:00. A visit of 140 min between them: 8:50-11:10, Mill Lane
    # 11:20, 20 min too late; before Elm Road (by 10:00): 8:10-10:30, 10:40: 40 too late; after Mill
    # Lane (10:00-10:40): 10:50 is 50 after its own window.
    question = small_town([make_shift()], [(0, 1)], (Window(8 * H, 10 * H),), work_s=140 * MIN)
    (tables,) = question.tables

    refusal = why_not(tables, question.candidate, 8 * H, 10 * H)

    assert refusal == Refusal(Breaks.GATE, 20 * MIN, 1, 1)
    (miss,) = near_misses(question)
    assert (miss.technician, miss.refusal.gate) == (1, 1)
    assert say_why_not_more(question, find_offers(question), SPEECH) == [
        "No time is free: 1 round is full.",
        "Mon with Ana would break “Mill Lane before 11 am” by 20 min.",
    ]


def test_a_refusal_names_the_way_home():
    # Only Dry Creek, from 1 pm for 45 min. 200 min after it: 1:55-5:15, home 5:25. Before it (by 3
    # pm) it fits.
    question = small_town([make_shift()], [(2,)], (Window(13 * H, 15 * H),), work_s=200 * MIN)

    refusal = why_not(question.tables[0], question.candidate, 13 * H, 15 * H)

    assert refusal == Refusal(Breaks.HOME, 25 * MIN, None, 1)


def test_a_refusal_names_the_own_window_and_the_break():
    question = small_town([make_shift()], [(2,)])
    own = why_not(question.tables[0], question.candidate, 8 * H, 8 * H + 5 * MIN)
    assert own == Refusal(Breaks.OWN_WINDOW, 5 * MIN, None, 0)

    # The break must begin between 12:00 and 12:10. 4 h from 8:10 end 12:10: 5 min more are late.
    pause = Break(12 * H, 12 * H + 10 * MIN, 30 * MIN)
    question = small_town([make_shift(pause=pause)], work_s=245 * MIN)
    late = why_not(question.tables[0], question.candidate, 8 * H, 9 * H)
    assert late == Refusal(Breaks.BREAK, 5 * MIN, None, 0)


def test_a_round_that_breaks_already_takes_nothing_more_and_says_so():
    # Mill Lane (by 11:00) after Dry Creek (from 1 pm on).
    question = small_town([make_shift(), make_shift(technician=2)], [(2, 1)])

    offers = find_offers(question)

    assert {one.technician for one in offers.best} == {2}
    assert offers.counted == (Counted(Rule.FULL, 1, 1),)
    (miss,) = offers.near_misses
    assert miss.refusal == Refusal(Breaks.ROUND)


def test_of_several_windows_the_nearest_to_fitting_is_told():
    # Elm Road, Mill Lane by 11:00, home. In 8-10 140 min make Mill Lane 20 min late. In 9-11 they
    # may start by 10:40, and after Mill Lane one comes at 10:50: 10 min after its own window.
    question = small_town([make_shift()], [(0, 1)], (Window(8 * H, 11 * H),), work_s=140 * MIN)

    (miss,) = near_misses(question)

    assert miss.refusal == Refusal(Breaks.OWN_WINDOW, 10 * MIN, None, 2)


def test_a_refusal_follows_the_break_to_where_it_must_begin():
    # The break begins between 10:50 and 11:10, too late to come before Mill Lane (by 11:00). So
    # Mill Lane, 40 min, starts by 10:30, and Elm Road, 30 min and 10 of driving before, by 9:50.
    # 95 min at Low Meadow from 8:10 on: Elm Road 9:55. After Elm Road it is 30 min late itself.
    pause = Break(650 * MIN, 670 * MIN, 30 * MIN)
    question = small_town([make_shift(pause=pause)], [(0, 1)], work_s=95 * MIN)

    refusal = why_not(question.tables[0], question.candidate, 8 * H, 8 * H + 20 * MIN)

    assert refusal == Refusal(Breaks.BREAK, 5 * MIN, None, 0)


def test_a_visit_that_fits_is_not_refused():
    question = small_town([make_shift()], [(0, 1)])

    assert why_not(question.tables[0], question.candidate, 8 * H, 17 * H) is None
    assert near_misses(question) == ()


def test_an_offer_is_told_with_its_reason():
    windows = (Window(DAY_S + 9 * H, DAY_S + 11 * H),)
    question = replace(small_town([on_day(make_shift(), 1)], windows=windows), due_day=13)

    (offer,) = find_offers(question).best

    # 9:00 to 10:00, home 10:10: 6 h 50 min before 5 pm.
    assert say_offer(question, offer, SPEECH) == (
        "Tue 9 am to 11 am with Ana: 20 min more driving, the only visit of the round; "
        "6 h 50 min are left before the latest return; 12 days before it is due."
    )


def test_an_offer_names_its_neighbours_and_what_the_next_gate_keeps():
    question = small_town([make_shift()], [(1, 2)], (Window(11 * H, 13 * H),), work_s=30 * MIN)

    (offer,) = find_offers(replace(question, due_day=0)).best

    # Mill Lane by 11:00, so Low Meadow comes after it, 11:00-11:30. Dry Creek at 1 pm may wait
    # until 3 pm. The round drives 40 min instead of 30.
    assert say_offer(question, offer, SPEECH) == (
        "Mon 11 am to 1 pm with Ana: 10 min more driving, between Mill Lane and Dry Creek; "
        "the next gate keeps 2 h; on the day it is due."
    )


def test_every_part_of_the_price_is_told():
    question = small_town(
        [make_shift(technician=2)],
        [(1,)],
        (Window(9 * H + 30 * MIN, 10 * H + 10 * MIN),),
        usual=1,
        apart=((2, 70),),
    )
    question = replace(
        question,
        waiting={0: 3},
        minute_price={0: 0.1},
        outside_area_of=frozenset({2}),
        wishes=(Wish(False, None, Half.MORNING),),
        terms=OfferTerms(reserve_percent=90),
        due_day=-1,
    )

    (offer,) = find_offers(question).best

    # Booked 60+10 and 40+20 of 540 min: 24.07 %; 14.07 over 10 %: 28.1 units.
    assert say_offer(question, offer, SPEECH) == (
        "Mon 9:30 am to 10:10 am with Ben: 10 min more driving, first, before Mill Lane; "
        "the next gate keeps 20 min; a promise on the round gets tight, which counts as 10 min; "
        "it takes 28 min from what is kept for urgent visits; not the usual technician; "
        "outside the area of Ben; a technician they would rather not have; "
        "a time they would rather not have; the full week counts as 6 min; 1 day after it was due."
    )


def test_why_there_are_fewer_is_told_by_rule():
    electric = frozenset({"electric"})
    shifts = [make_shift(technician=1, skills=electric)]
    shifts += [make_shift(technician=number) for number in range(2, 13)]
    question = small_town(shifts, windows=(Window(9 * H, 11 * H),), skills=electric)

    offers = find_offers(question)

    assert offers.counted == (Counted(Rule.SKILL, 11, 11, "electric"),)
    assert say_why_not_more(question, offers, SPEECH) == [
        "Only one time is free: 11 technicians lack the electric licence."
    ]


def test_three_times_need_no_excuse():
    days = [on_day(make_shift(), day) for day in range(3)]
    windows = tuple(Window(day * DAY_S + 8 * H, day * DAY_S + 17 * H) for day in range(3))
    question = small_town(days, windows=windows)

    assert say_why_not_more(question, find_offers(question), SPEECH) == []


@pytest.mark.parametrize("breaks", list(Breaks))
def test_every_refusal_is_a_sentence(breaks):
    said = say_refusal(Refusal(breaks, 61, 0), "Thu with Ben", "Low Meadow", "Elm Road before 9 am")

    assert said.startswith("Thu with Ben ")
    assert said.endswith(".")
    assert ("2 min" in said) == (breaks not in (Breaks.VAN, Breaks.ROUND))
