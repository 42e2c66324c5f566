"""Broken days reckoned by hand: who comes instead, who is asked, who is left in peace."""

from dataclasses import replace

import pytest

from drainservice.engine.rounds.check import find_faults
from drainservice.engine.rounds.facts import Break, Gate, Window
from drainservice.engine.rounds.repair.broken import (
    Away,
    Broken,
    Late,
    StopFacts,
    Told,
    shifts_after,
)
from drainservice.engine.rounds.repair.disturb import Step
from drainservice.engine.rounds.repair.repair import first_aid, propose_better
from drainservice.engine.rounds.repair.words import say_disturbed, say_proposal
from drainservice.engine.rounds.search.effort import Effort
from tests.engine.rounds.broken_days import draw_day
from tests.engine.rounds.streets import MIN, day, houses, known, shift, speech, visit

EARLY = 6 * 60 * MIN
ANA_ILL = Broken(EARLY, away=(Away(1, 0, 24 * 60 * MIN),))


def sentences(proposal, facts):
    """Whom it disturbs, in order."""
    return [say_disturbed(proposal, one, facts, speech()) for one in proposal.disturbed]


def test_another_technician_comes_within_the_promised_window():
    # Ana: 20 from 9 to 11. Ben: 10 from 8 to 10 and 30 from 10 to 12. With 20 between them Ben is
    # at 10 by 8:10, at 20 by 8:50, waits to 9:00, at 30 by 9:40, waits to 10:00, as before.
    inputs = day(
        shift(1),
        shift(2),
        rounds=[[visit(20, 540, 660)], [visit(10, 480, 600), visit(30, 600, 720)]],
    )
    facts = known(h20={}, h10={}, h30={})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert houses(aid) == {2: [10, 20, 30]}
    assert (aid.kept, aid.touched) == (1, 1)
    # Ana no longer drives 20 there and 20 back; for Ben it is on the way.
    assert aid.added_drive_s == -40 * MIN
    assert sentences(aid, facts) == [
        "20 Mill Lane: Ben comes instead of Ana, within the same window."
    ]
    assert say_proposal(aid, facts, speech()) == "Keeps the promise, 40 min less driving."


def test_a_start_slides_within_its_window():
    # Ben is at 40 by 8:40, leaves 9:10. With 20 on the way: at 20 by 8:20, leaves 8:50, at 40 by
    # 9:10: 30 min later than planned, and before 10.
    inputs = day(shift(1), shift(2), rounds=[[visit(20, 480, 600)], [visit(40, 480, 600)]])
    facts = known(h20={}, h40={})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert [one.step for one in aid.disturbed] == [Step.OTHER_TECHNICIAN, Step.SLIDES]
    assert sentences(aid, facts)[1] == "40 Mill Lane: 30 min later, still within 8:00 to 10:00."


def test_a_stop_nobody_was_told_of_gives_way_to_a_promise():
    # Ben can be at one house between 9 and 9:10 only; he drops the one nobody expects.
    inputs = day(
        shift(1, 480, 600),
        shift(2, 480, 600),
        rounds=[[visit(20, 540, 550)], [visit(21, 540, 550, must=False, worth=50)]],
    )
    facts = known(h20={}, h21={"told": Told.NOBODY})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert houses(aid) == {2: [20]}
    assert [(one.step, one.units) for one in aid.disturbed] == [
        (Step.OTHER_TECHNICIAN, 0),
        (Step.WAITS, 50),
    ]
    assert sentences(aid, facts)[1] == (
        "21 Mill Lane waits for another day; nobody was told of this one."
    )


def test_an_offer_gives_way_to_a_promise_and_gets_another_time():
    # Only one of the two can have 9:00 to 9:10. The offer gets a window of two hours on the whole
    # hour: Ben is at 21 by 8:21, leaves 8:51, is at 20 by 8:52 and waits to 9:00.
    inputs = day(
        shift(1),
        shift(2),
        rounds=[[visit(20, 540, 550)], [visit(21, 540, 550)]],
    )
    facts = known(h20={}, h21={"told": Told.OFFERED})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert (aid.kept, aid.touched) == (1, 1)
    offer = aid.disturbed[-1]
    assert (offer.step, offer.units) == (Step.OFFER, 100)
    assert offer.window == Window(480 * MIN, 600 * MIN)
    assert sentences(aid, facts)[-1] == (
        "Offer 21 Mill Lane 8:00 to 10:00 instead of 9:00 to 9:10; they have not answered yet."
    )


def two_for_one_place(left, right):
    """20 is Ana's and 21 Ben's, both between 9:00 and 9:10. Each works from 8:40 to 10:00, which
    holds one of them and no other window of two hours."""
    inputs = day(
        shift(1, 520, 600),
        shift(2, 520, 600),
        rounds=[[visit(20, 540, 550)], [visit(21, 540, 550)]],
    )
    return inputs, known(h20=left, h21=right)


@pytest.mark.parametrize(
    ("left", "right", "asked"),
    [
        ({}, {"moved_before": 1}, 20),
        ({"moved_before": 1}, {}, 21),
        ({"is_living_space": True}, {}, 21),
        ({}, {"is_living_space": True}, 20),
        ({"is_held": True}, {}, 21),
    ],
)
def test_whoever_may_be_asked_is_asked(left, right, asked):
    inputs, facts = two_for_one_place(left, right)

    aid = first_aid(inputs, ANA_ILL, facts)

    (broken,) = [one for one in aid.disturbed if one.breaks_promise]
    assert inputs.stops[broken.stop].key == asked
    assert (broken.step, broken.units, broken.why_called) == (Step.OTHER_DAY, 240, "")


def test_of_two_who_may_be_asked_the_one_that_can_wait_better_is():
    # 240 and the risk of waiting, the stop's worth: 240 + 5 against 240 + 80.
    inputs, facts = two_for_one_place({"can_wait_days": 21}, {})
    risks = (replace(inputs.stops[0], worth=5), replace(inputs.stops[1], worth=80))

    aid = first_aid(replace(inputs, stops=risks), ANA_ILL, facts)

    (asked,) = [one for one in aid.disturbed if one.breaks_promise]
    assert (inputs.stops[asked.stop].key, asked.units) == (20, 245)
    # Ana drove 40 min; Ben drives to 21 as before.
    assert say_proposal(aid, facts, speech()) == (
        "Cannot keep the promise, asks 20 Mill Lane (can wait 3 weeks), 40 min less driving."
    )


def test_of_two_who_were_moved_before_the_one_moved_less_is_called():
    # 240 and 60 for each earlier move: 300 against 360.
    inputs, facts = two_for_one_place({"moved_before": 2}, {"moved_before": 1})

    aid = first_aid(inputs, ANA_ILL, facts)

    (called,) = [one for one in aid.disturbed if one.breaks_promise]
    assert (inputs.stops[called.stop].key, called.units) == (21, 300)
    assert called.why_called == "we have moved it this season already"


def test_within_two_hours_nobody_is_asked():
    inputs, facts = two_for_one_place({}, {})
    near = replace(ANA_ILL, now_s=541 * MIN - 2 * 3600)

    aid = first_aid(inputs, near, facts)

    (called,) = [one for one in aid.disturbed if one.breaks_promise]
    assert called.why_called == "it begins within 2 hours"
    assert sentences(aid, facts)[-1].startswith("Call 21 Mill Lane, who should not be asked since")


def test_a_technician_is_asked_for_overtime_before_a_household_is():
    # Ben: 40 at 9:00, back at 10:10, when his day ends at 10:00 with an hour more allowed. With
    # 20 first: 8:20 to 8:50, at 40 by 9:10, leaves 9:40, back 10:20: 20 min of overtime in place
    # of none (8:40 + 30 + 40 = 9:50).
    inputs = day(
        shift(1, 480, 600),
        shift(2, 480, 600, overtime_s=3600),
        rounds=[[visit(20, 480, 600)], [visit(40, 480, 600)]],
    )
    facts = known(h20={}, h40={})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert (aid.kept, aid.touched) == (1, 1)
    (overtime,) = [one for one in aid.disturbed if one.step == Step.OVERTIME]
    assert (overtime.technician, overtime.by_s, overtime.units) == (2, 20 * MIN, 40)
    assert "Ask Ben to work 20 min longer." in sentences(aid, facts)


def test_a_household_that_was_promised_a_person_is_asked_about_another():
    inputs = day(shift(1), shift(2), rounds=[[visit(20, 540, 660, only=frozenset({1}))], []])
    facts = known(h20={"is_named": True})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert houses(aid) == {2: [20]}
    assert (aid.kept, aid.touched) == (0, 1)
    assert aid.disturbed[0].step == Step.HOUSEHOLD
    assert sentences(aid, facts) == ["Ask 20 Mill Lane for Ben at the promised time."]


def test_a_lock_of_ours_ends_with_whom_it_names():
    inputs = day(shift(1), shift(2), rounds=[[visit(20, 540, 660, only=frozenset({1}))], []])

    aid = first_aid(inputs, ANA_ILL, known(h20={}))

    assert (houses(aid), aid.kept) == ({2: [20]}, 1)


def test_nobody_goes_without_the_skill():
    inputs = day(
        shift(1, skills=frozenset({"electric"})),
        shift(2),
        rounds=[[visit(20, 540, 660, skills=frozenset({"electric"}))], []],
    )
    facts = known(h20={"can_wait_days": 1})

    aid = first_aid(inputs, ANA_ILL, facts)

    assert aid.plan.rounds == ()
    assert sentences(aid, facts) == ["Ask 20 Mill Lane for another day; it can wait 1 day."]


def test_an_urgent_stop_takes_the_place_of_a_planned_one():
    # Ben works from 8 to 9: either house alone takes 10 + 30 + 10 or more; 10 and 11 do not fit
    # (10 + 30 + 1 + 30 + 11 = 82 min).
    inputs = day(shift(2, 480, 540), rounds=[[visit(10, must=False, worth=500)]])
    urgent = visit(11, must=False, worth=10)
    inputs = replace(inputs, stops=(*inputs.stops, urgent))
    facts = known(h10={"told": Told.NOBODY}, h11={"told": Told.NOBODY})

    aid = first_aid(inputs, Broken(EARLY, urgent=(1,)), facts)

    assert houses(aid) == {2: [11]}
    assert [one.step for one in aid.disturbed] == [Step.WAITS]


def test_a_storm_list_that_nobody_can_reach_is_said():
    inputs = day(shift(2, 480, 540), rounds=[[visit(10)]])
    far = tuple(visit(house, must=False, worth=10) for house in (90, 95))
    inputs = replace(inputs, stops=(*inputs.stops, *far))
    facts = known(h10={}, h90={"told": Told.NOBODY}, h95={"told": Told.NOBODY})

    aid = first_aid(inputs, Broken(EARLY, urgent=(1, 2)), facts)

    assert [one.step for one in aid.disturbed] == [Step.UNREACHED, Step.UNREACHED]
    assert sentences(aid, facts)[0].startswith("Nobody can reach 90 Mill Lane today;")


def test_a_repair_adds_no_work():
    inputs = day(shift(1), shift(2), rounds=[[visit(20)], []])
    unplaced = visit(21, must=False, worth=9_000)
    inputs = replace(inputs, stops=(*inputs.stops, unplaced))
    facts = known(h20={}, h21={"told": Told.NOBODY})

    for proposal in (first_aid(inputs, ANA_ILL, facts), propose_better(inputs, ANA_ILL, facts)):
        assert houses(proposal) == {2: [20]}


def test_a_day_that_is_not_broken_stays_as_it_is():
    inputs = day(
        shift(1), shift(2), rounds=[[visit(20, 540, 660)], [visit(10, 480, 600), visit(30)]]
    )
    facts = known(h20={}, h10={}, h30={})

    aid = first_aid(inputs, Broken(EARLY), facts)

    assert aid.plan.rounds == inputs.present
    assert (aid.disturbed, aid.touched, aid.added_drive_s) == ((), 0, 0)
    assert say_proposal(aid, facts, speech()) == "No promise lost its place, no more driving."


def test_when_everybody_is_ill_each_household_is_asked_for_another_day():
    inputs = day(shift(1), shift(2), rounds=[[visit(20)], [visit(30)]])
    facts = known(h20={}, h30={"is_living_space": True, "can_wait_days": 0})
    all_ill = Broken(EARLY, away=(Away(1, 0, 24 * 60 * MIN), Away(2, 0, 24 * 60 * MIN)))

    aid = first_aid(inputs, all_ill, facts)

    assert (aid.plan.rounds, aid.kept, aid.touched) == ((), 0, 2)
    assert sentences(aid, facts) == [
        "Ask 20 Mill Lane for another day.",
        "Call 30 Mill Lane, who should not be asked since living space lies below grade there: "
        "another day; it must not wait.",
    ]
    assert "asks 20 Mill Lane, has to call 30 Mill Lane (must not wait)" in say_proposal(
        aid, facts, speech()
    )


def test_a_household_is_asked_for_another_time_of_the_day_before_another_day():
    # Ben has 9:00 to 9:10 for one alone, and from 8:40 all day besides. The other, behind it, is
    # reached by 9:31: 9 to 11 is the last window on the whole hour that holds it.
    inputs = day(
        shift(1, 520), shift(2, 520), rounds=[[visit(20, 540, 550)], [visit(21, 540, 550)]]
    )
    facts = known(h20={}, h21={})

    aid = first_aid(inputs, ANA_ILL, facts)

    (asked,) = [one for one in aid.disturbed if one.breaks_promise]
    assert (asked.step, asked.window) == (Step.HOUSEHOLD, Window(540 * MIN, 660 * MIN))
    assert sentences(aid, facts)[-1].endswith("for 9:00 to 11:00 instead of 9:00 to 9:10.")
    assert not find_faults(aid.inputs, aid.plan)


def test_who_is_late_begins_later_and_what_no_longer_fits_goes_to_another():
    # Ana is free at 10:00 at number 50. 60 by 10 cannot be: 50 to 60 takes until 10:10. Ben, free
    # all day, is there at 9:00 at the latest.
    inputs = day(shift(1), shift(2), rounds=[[visit(60, 540, 600), visit(70, 600, 720)], []])
    facts = known(h60={}, h70={})

    aid = first_aid(inputs, Broken(EARLY, late=(Late(1, 600 * MIN, 50),)), facts)

    assert houses(aid) == {1: [70], 2: [60]}
    assert (aid.kept, aid.touched) == (1, 1)


def test_who_falls_ill_at_noon_has_made_the_morning():
    # Away from 12: the longer part of 8 to 17 without 12 to 17 is 8 to 12.
    inputs = day(shift(1), shift(2), rounds=[[visit(20, 480, 600), visit(40, 780, 900)], []])
    facts = known(h20={}, h40={})

    aid = first_aid(inputs, Broken(EARLY, away=(Away(1, 720 * MIN, 1440 * MIN),)), facts)

    assert houses(aid) == {1: [20], 2: [40]}


def minutes(one):
    """Start, end and overtime of a shift."""
    return one.starts_s / MIN, one.ends_s / MIN, one.overtime_s / MIN


@pytest.mark.parametrize(
    ("broken", "left"),
    [
        (Broken(0, away=(Away(1, 0, 600 * MIN),)), (600, 1020, 60)),
        (Broken(0, away=(Away(1, 600 * MIN, 660 * MIN),)), (660, 1020, 60)),
        (Broken(0, away=(Away(1, 900 * MIN, 960 * MIN),)), (480, 900, 0)),
        (Broken(0, away=(Away(1, 1050 * MIN, 1100 * MIN),)), (480, 1020, 30)),
        (Broken(0, away=(Away(1, 480 * MIN, 1020 * MIN),)), (480, 480, 0)),
        (Broken(0, away=(Away(2, 0, 1440 * MIN),)), (480, 1020, 60)),
        (Broken(700 * MIN), (700, 1020, 60)),
        (Broken(1030 * MIN), (1030, 1030, 50)),
        (Broken(2000 * MIN), (1080, 1080, 0)),
        (Broken(0, late=(Late(1, 650 * MIN),)), (650, 1020, 60)),
    ],
)
def test_what_is_left_of_a_shift(broken, left):
    inputs = day(shift(1, overtime_s=60 * MIN), rounds=[[]])

    (rest,) = shifts_after(inputs, broken)

    assert minutes(rest) == left


def test_a_break_is_taken_behind_time_by_whoever_was_held_up():
    noon = Break(690 * MIN, 810 * MIN, 30 * MIN)
    inputs = day(shift(1, pause=noon), rounds=[[]])

    (held_up,) = shifts_after(inputs, Broken(0, late=(Late(1, 850 * MIN),)))
    (rested,) = shifts_after(inputs, Broken(850 * MIN))

    assert held_up.pause == Break(690 * MIN, 850 * MIN, 30 * MIN)
    assert rested.pause is None


def test_the_better_proposal_keeps_at_least_as_many_and_is_sound():
    inputs, broken, facts = draw_day(3, technicians=4, visits=5)
    effort = Effort(solver=50, looks=500, rebuilds=50)

    aid = first_aid(inputs, broken, facts)
    better = propose_better(inputs, broken, facts, seed=5, effort=effort)
    again = propose_better(inputs, broken, facts, seed=5, effort=effort)

    assert better.touched == aid.touched == 5
    assert better.kept >= aid.kept
    assert not find_faults(better.inputs, better.plan)
    assert better == again


def test_the_search_that_may_not_run_gives_first_aid():
    inputs, broken, facts = draw_day(3, technicians=4, visits=5)

    better = propose_better(inputs, broken, facts, should_stop=lambda: True)

    assert better.kept >= first_aid(inputs, broken, facts).kept
    assert better.effort.rebuilds == 0


def test_a_promise_never_moves_in_silence():
    inputs, broken, facts = draw_day(7, technicians=5, visits=6, planned_share=0)

    aid = first_aid(inputs, broken, facts)

    gates = {gate.stop: gate for round_ in aid.plan.rounds for gate in round_.gates}
    said = {one.stop for one in aid.disturbed if one.breaks_promise}
    for number, stop in enumerate(inputs.stops):
        if number not in said:
            assert gates[number] == Gate(number, 0)
            assert aid.inputs.stops[number].windows[0] == stop.windows[0]


def test_a_stop_nobody_described_counts_as_a_promise_where_it_must_be_made():
    inputs = day(shift(1), rounds=[[visit(20)]])

    aid = first_aid(inputs, ANA_ILL, {})

    assert sentences(aid, {}) == ["Ask visit 20 for another day."]


def test_facts_may_say_who_was_to_come():
    # The ill technician's shift is not among the inputs any more.
    inputs = replace(day(shift(2), rounds=[[visit(20)]]), present=())
    facts = {20: StopFacts("20 Mill Lane", Told.AGREED, technician=1)}

    aid = first_aid(inputs, Broken(EARLY), facts)

    assert sentences(aid, facts) == [
        "20 Mill Lane: Ben comes instead of Ana, within the same window."
    ]


def test_a_planned_stop_of_whoever_is_gone_goes_to_another_or_waits():
    # Neither stands in a round any more. 20 adds 40 min of driving, and 30 beyond it 20 more: each
    # less than the risk of 50.
    near, far = visit(20, must=False, worth=50), visit(30, must=False, worth=50)
    inputs = replace(day(shift(2), rounds=[[near, far]]), present=())
    facts = {
        house: StopFacts(f"{house} Mill Lane", Told.NOBODY, technician=1) for house in (20, 30)
    }

    aid = first_aid(inputs, Broken(EARLY), facts)

    assert sorted(houses(aid)[2]) == [20, 30]
    assert aid.disturbed == ()

    tired = replace(inputs, shifts=(shift(2, 480, 560),))
    aid = first_aid(tired, Broken(EARLY), facts)

    # From 8:00 to 9:20 there is room for 20 alone (20 + 30 + 20), not for both.
    assert houses(aid) == {2: [20]}
    assert sentences(aid, facts) == [
        "30 Mill Lane waits for another day; nobody was told of this one."
    ]
