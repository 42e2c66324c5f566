"""Plans of rounds: asked, worked out, cancelled, failed with a sentence, and found again."""

import json
from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import OperationalError, connection

from drainservice.accounts.asker import NotFound
from drainservice.accounts.models import Change
from drainservice.engine.rounds.check import assert_sound, count_cost
from drainservice.engine.rounds.search.effort import Effort
from drainservice.engine.rounds.stored import cost_as_json, digest_of, read_inputs
from drainservice.visits import actions, queries
from drainservice.visits.actions import listening
from drainservice.visits.models import Plan, PlanState, Round, State, Visit
from drainservice.visits.queries.proposals import proposal_of
from jobs import reactions, running
from jobs.models import Job
from tests import makers
from tests.visits import busy_week

pytestmark = pytest.mark.django_db
SHORT = Effort(solver=50, looks=2_000, rebuilds=200)


class Watch:
    """A clock that goes on by so much at each look."""

    def __init__(self, step_s=0.0):
        self.s, self.step_s = 0.0, step_s

    def elapsed_s(self):
        self.s += self.step_s
        return self.s

    def now(self):
        return makers.MONDAY + timedelta(seconds=self.s)

    @property
    def clocks(self):
        return actions.Clocks(self.now, self.elapsed_s)


def work_out(plan, step_s=0.0):
    return actions.work_out(plan.pk, asker=makers.clock(), clocks=Watch(step_s).clocks)


@pytest.fixture
def week():
    return busy_week.week()


def ask(dispatcher, **told):
    told = {"effort": SHORT} | told
    return actions.ask_rounds(busy_week.DAYS, asker=dispatcher, **told)


def test_a_question_is_stored_whole_with_its_digest_and_a_job_of_the_long_lane(week, dispatcher):
    plan = ask(dispatcher)

    assert plan.state == PlanState.THINKING
    assert plan.digest == digest_of(read_inputs(plan.inputs))
    assert plan.rounds["versions"] == {
        f"{who.pk} {day.isoformat()}": 0
        for who in (week["andrea"], week["basil"])
        for day in busy_week.DAYS
    }
    job = Job.objects.get(kind="plan.wanted")
    assert (job.lane, job.details) == ("long", {"plan_id": plan.pk})


def test_history_keeps_that_it_was_asked_and_not_the_inputs_again(week, dispatcher):
    plan = ask(dispatcher)

    change = Change.objects.get(subject="visits.plan", subject_id=str(plan.pk))
    assert (change.action, change.after["digest"], change.after["inputs"]) == (
        "asked",
        plan.digest,
        "",
    )


def test_asking_again_answers_the_plan_under_way(week, dispatcher):
    first = ask(dispatcher)

    assert ask(dispatcher).pk == first.pk
    assert Plan.objects.count() == Job.objects.filter(kind="plan.wanted").count() == 1


def test_a_what_if_is_another_question_and_says_what_was_changed(week, dispatcher):
    first = ask(dispatcher)
    what_if = actions.WhatIf(without=((week["basil"], busy_week.TUESDAY),))

    second = ask(dispatcher, what_if=what_if)

    assert second.pk != first.pk
    assert second.what_if == "without Basil on Tue 11 May"
    shifts = read_inputs(second.inputs).shifts
    assert (week["basil"].pk, 0) not in {(s.technician, s.day) for s in shifts}


def test_a_longer_shift_ends_later(week, dispatcher):
    plain = read_inputs(ask(dispatcher).inputs).shifts
    plan = ask(dispatcher, what_if=actions.WhatIf(longer_min=60))

    longer = read_inputs(plan.inputs).shifts
    assert plan.what_if == "with 60 min more a shift"
    assert [s.ends_s - p.ends_s for s, p in zip(longer, plain, strict=True)] == [3600] * 4


def test_a_plan_that_was_worked_out_is_sound_and_keeps_every_promise(week, dispatcher):
    plan = work_out(ask(dispatcher))

    inputs, rounds = proposal_of(plan)
    assert plan.state == PlanState.READY
    assert_sound(inputs, rounds)
    assert {k: plan.cost[k] for k in cost_as_json(count_cost(inputs, rounds))} == cost_as_json(
        count_cost(inputs, rounds)
    )
    placed = {inputs.stops[g.stop].key for r in rounds.rounds for g in r.gates}
    assert placed >= {visit.pk for visit in week["agreed"]}


def test_nothing_of_the_rounds_changes_and_nobody_is_told_before_it_is_adopted(week, dispatcher):
    before = list(Visit.objects.order_by("pk").values())

    work_out(ask(dispatcher))

    assert list(Visit.objects.order_by("pk").values()) == before
    assert not Round.objects.exists()
    assert set(Job.objects.values_list("kind", flat=True)) == {"plan.wanted"}


def test_the_search_runs_outside_any_transaction(dispatcher, monkeypatch):
    busy_week.week(12)
    plan = ask(dispatcher)
    depth = len(connection.savepoint_ids)
    seen = []
    look = listening.Ear._look

    def watched(ear):
        seen.append(len(connection.savepoint_ids))
        look(ear)

    monkeypatch.setattr(listening.Ear, "_look", watched)
    work_out(plan, step_s=0.5)

    # The test itself is one transaction; the search opens none within it.
    assert set(seen) == {depth}


def test_working_out_again_changes_nothing(week, dispatcher):
    plan = work_out(ask(dispatcher))

    again = work_out(plan)

    assert (again.state, again.version, again.starts) == (plan.state, plan.version, 1)


def test_the_same_inputs_seed_and_turns_give_the_same_proposal(dispatcher):
    busy_week.week(10)
    plan = work_out(ask(dispatcher))
    copy = Plan.objects.get(pk=plan.pk)
    copy.effort = plan.done

    found = actions.solving.find_rounds(copy, quiet_ear(copy))

    assert len(read_inputs(plan.inputs).stops) > 7
    assert json.dumps(found.proposal) == json.dumps(plan.proposal)
    assert found.cost == plan.cost


def quiet_ear(plan):
    watch = Watch()
    ear = listening.Ear(plan.pk, plan.starts, watch.now, watch.elapsed_s)
    ear.looked_s = float("inf")
    return ear


def test_a_cancelled_search_ends_at_its_next_look_and_keeps_the_best(dispatcher):
    busy_week.week(12)
    plan = ask(dispatcher, effort=Effort(solver=100_000, looks=10_000_000, rebuilds=1_000_000))
    Plan.objects.filter(pk=plan.pk).update(cancel_wanted_at=makers.MONDAY)

    found = work_out(plan, step_s=0.01)

    assert found.state == PlanState.READY
    assert_sound(*proposal_of(found))
    assert found.done["rebuilds"] < 1_000


def test_a_search_ends_by_itself_after_its_longest_time(dispatcher):
    busy_week.week(12)
    plan = ask(dispatcher, effort=Effort(solver=100_000, looks=10_000_000, rebuilds=1_000_000))

    found = work_out(plan, step_s=5.0)

    assert found.state == PlanState.READY
    assert_sound(*proposal_of(found))


def test_progress_and_a_heartbeat_are_written_at_most_once_a_second(dispatcher, monkeypatch):
    busy_week.week(12)
    looks = []
    look = listening.Ear._look
    monkeypatch.setattr(
        listening.Ear, "_look", lambda ear: looks.append(ear.elapsed_s()) or look(ear)
    )

    effort = Effort(solver=500, looks=2_000, rebuilds=2_000)
    plan = work_out(ask(dispatcher, effort=effort), step_s=0.3)

    assert len(looks) >= 3
    assert plan.heartbeat_at is not None
    assert plan.progress["took_s"] >= 0
    assert all(b - a >= 1.0 for a, b in pairwise(looks))


def test_a_silent_plan_is_taken_again_and_ends_ready(week, dispatcher):
    plan = ask(dispatcher)
    begun = makers.MONDAY - timedelta(minutes=5)
    Plan.objects.filter(pk=plan.pk).update(starts=1, heartbeat_at=begun)

    assert actions.retake_silent(at=makers.MONDAY) == 1
    assert actions.retake_silent(at=makers.MONDAY) == 1
    found = work_out(plan)

    assert Job.objects.filter(kind="plan.wanted", key=f"{plan.pk}:2").count() == 1
    assert (found.state, found.starts) == (PlanState.READY, 2)


def test_a_plan_that_killed_two_workers_is_given_up_with_a_sentence(week, dispatcher):
    plan = ask(dispatcher)
    begun = makers.MONDAY - timedelta(minutes=5)
    Plan.objects.filter(pk=plan.pk).update(starts=2, heartbeat_at=begun)

    found = work_out(plan)

    assert found.state == PlanState.FAILED
    assert found.failed_because.startswith("The planner stopped twice in the middle of this")


def test_a_plan_that_another_worker_is_at_is_left_to_it(week, dispatcher):
    plan = ask(dispatcher)
    Plan.objects.filter(pk=plan.pk).update(starts=1, heartbeat_at=makers.MONDAY)

    found = work_out(plan)

    assert (found.state, found.starts) == (PlanState.THINKING, 1)


def test_a_worker_whose_plan_was_taken_by_another_writes_nothing(dispatcher, monkeypatch):
    busy_week.week(12)
    plan = ask(dispatcher)
    look = listening.Ear._look

    def steal(ear):
        Plan.objects.filter(pk=plan.pk).update(starts=2)
        look(ear)

    monkeypatch.setattr(listening.Ear, "_look", steal)

    found = work_out(plan, step_s=0.01)

    assert (found.state, found.proposal) == (PlanState.THINKING, {})


def test_a_database_that_is_busy_at_a_look_ends_no_search(dispatcher, monkeypatch):
    busy_week.week(12)
    plan = ask(dispatcher)
    look, looks = listening.Ear._look, []

    def busy_at_first(ear):
        looks.append(ear)
        if len(looks) < 3:
            raise OperationalError("database is locked")
        look(ear)

    monkeypatch.setattr(listening.Ear, "_look", busy_at_first)

    assert work_out(plan, step_s=1.0).state == PlanState.READY
    assert len(looks) >= 3


def test_a_planner_that_breaks_leaves_a_sentence_and_no_trace(week, dispatcher, monkeypatch):
    def broken(*_, **__):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(actions.solving, "solve_rounds", broken)

    found = work_out(ask(dispatcher))

    assert found.state == PlanState.FAILED
    assert "Someone must look" in found.failed_because
    assert "division" not in found.failed_because


def test_the_queue_works_a_plan_out(week, dispatcher):
    plan = ask(dispatcher)

    running.run_all(
        reactions.REACTIONS, {}, clock=makers.later, long=True, in_parts=reactions.IN_PARTS
    )

    plan.refresh_from_db()
    assert plan.state == PlanState.READY
    assert Job.objects.get(kind="plan.wanted").state == "done"


# What cannot be planned ends in a sentence, and the visit is kept.


def test_a_site_without_coordinates_is_planned_and_said(dispatcher):
    andrea, _ = busy_week.crew()
    visit = busy_week.planned(busy_week.site(1, latitude=None, longitude=None))

    plan = work_out(ask(dispatcher))

    assert plan.state == PlanState.READY
    assert any("20 min of driving" in note for note in plan.rounds["notes"])
    inputs, rounds = proposal_of(plan)
    assert [inputs.stops[g.stop].key for r in rounds.rounds for g in r.gates] == [visit.pk]
    assert andrea.pk


def test_without_crew_nothing_is_asked_and_the_sentence_says_where_to_enter_it(dispatcher):
    visit = busy_week.planned(busy_week.site(1))

    with pytest.raises(actions.NothingToPlan, match="Nobody works on these days"):
        ask(dispatcher)

    assert Visit.objects.get(pk=visit.pk).state == State.PLANNED
    assert not Plan.objects.exists()


def test_a_promise_that_no_shift_reaches_stays_as_it_stands_and_hinders_no_other(dispatcher):
    andrea, _ = busy_week.crew()
    night = busy_week.booked(busy_week.site(1), andrea, busy_week.TUESDAY, 20)
    other = busy_week.planned(busy_week.site(2))

    plan = work_out(ask(dispatcher))
    actions.adopt_plan(plan, asker=dispatcher)

    assert any("1 Alder Rd is promised at a time" in note for note in plan.rounds["notes"])
    now = Visit.objects.get(pk=night.pk)
    assert (now.state, now.slot_starts_at) == (State.AGREED, night.slot_starts_at)
    assert Visit.objects.get(pk=other.pk).slot_starts_at is not None


def test_promises_that_cannot_all_be_kept_fail_by_address_and_stay(dispatcher):
    andrea, basil = busy_week.crew()
    # Three hours each, in one window of two: two technicians begin two of them.
    three = [
        busy_week.booked(busy_week.site(n), who, busy_week.TUESDAY, 8, minutes=180)
        for n, who in enumerate((andrea, basil))
    ]
    third = busy_week.booked(busy_week.site(3), andrea, busy_week.WEDNESDAY, 8, minutes=180)
    promise = {name: getattr(three[0], name) for name in ("window_starts_at", "window_ends_at")}
    Visit.objects.filter(pk=third.pk).update(**promise)

    plan = work_out(ask(dispatcher))

    assert plan.state == PlanState.FAILED
    assert "Alder Rd is promised for Tuesday 11 May" in plan.failed_because
    assert Visit.objects.filter(state=State.AGREED).count() == 3


def test_a_what_if_without_whom_a_household_was_promised_says_that_it_cannot_be(dispatcher):
    andrea, _ = busy_week.crew()
    busy_week.booked(busy_week.site(1), andrea, busy_week.TUESDAY, 8, is_named=True)

    plan = work_out(ask(dispatcher, what_if=actions.WhatIf(without=((andrea, None),))))

    assert plan.state == PlanState.FAILED
    assert plan.failed_because.startswith("1 Alder Rd is promised for Tuesday 11 May")


def test_a_visit_longer_than_any_shift_is_left_out_and_said(dispatcher):
    busy_week.crew()
    busy_week.planned(busy_week.site(1), minutes=700)

    plan = work_out(ask(dispatcher))

    assert plan.state == PlanState.READY
    assert proposal_of(plan)[1].left_out == (0,)
    assert any("longer than anybody works" in note for note in plan.rounds["notes"])


@pytest.mark.parametrize(
    ("days", "says"),
    [
        ([], "Choose at least one day"),
        ([busy_week.TUESDAY - timedelta(days=2)], "A day that is over"),
        ([busy_week.TUESDAY, busy_week.TUESDAY + timedelta(days=14)], "at most 14 days"),
    ],
)
def test_days_that_cannot_be_planned_are_refused(days, says, week, dispatcher):
    with pytest.raises(actions.NothingToPlan, match=says):
        actions.ask_rounds(days, asker=dispatcher)


def test_a_plan_that_nobody_has_begun_is_put_aside_at_once(week, dispatcher):
    plan = ask(dispatcher)

    cancelled = actions.cancel_plan(plan, asker=dispatcher)

    assert cancelled.state == PlanState.REFUSED
    assert work_out(plan).state == PlanState.REFUSED
    assert ask(dispatcher).pk != plan.pk


def test_more_than_one_plan_can_take_is_refused_in_words(week, dispatcher, monkeypatch):
    monkeypatch.setattr(actions.questions, "MOST_LETTERS", 1_000)

    with pytest.raises(actions.NothingToPlan, match="more visits than one plan can take"):
        ask(dispatcher)

    assert not Plan.objects.exists()


# Who may see what, and what the pages read.


def test_only_the_office_sees_plans(week, dispatcher, neighbour):
    plan = work_out(ask(dispatcher))

    assert queries.plan_for(dispatcher, plan.pk).pk == plan.pk
    for asker in (makers.as_account(week["andrea"]), neighbour):
        with pytest.raises(NotFound):
            queries.plan_for(asker, plan.pk)


def test_the_difference_tells_each_visit_that_gets_a_round_and_that_nobody_is_told(
    week, dispatcher
):
    plan = work_out(ask(dispatcher))
    told = queries.difference(plan)

    placed = [row for row in told.moved if row.before is None]
    assert {row.visit.pk for row in placed} == {visit.pk for visit in week["meant"]}
    assert not any(row.is_told or row.is_asked for row in told.moved)
    assert told.words.startswith("4 visits get a time")
    assert "; nobody is told. " in told.words
    less_s = plan.cost["before"]["driving"] - plan.cost["driving"]
    assert told.driving_saved_min == less_s / 60 > 1
    assert told.words.endswith(f" {less_s / 60:.0f} min less driving.")


def test_why_a_visit_stands_where_it_does_is_said_with_the_next_best(week, dispatcher):
    plan = work_out(ask(dispatcher))

    said = queries.why_there(plan, week["agreed"][0].pk)

    inputs, rounds = proposal_of(plan)
    who = next(
        inputs.shifts[r.shift].technician
        for r in rounds.rounds
        if any(inputs.stops[g.stop].key == week["agreed"][0].pk for g in r.gates)
    )
    name = "Andrea" if who == week["andrea"].pk else "Basil"
    assert said[0].startswith(f"{name} on Tuesday 11 May: ")
    assert any(sentence.startswith("Next best: Tuesday 11 May") for sentence in said)
    assert queries.why_there(plan, 999_999) == []


def test_the_newest_plan_of_a_day_comes_first(week, dispatcher):
    first = work_out(ask(dispatcher))
    second = ask(dispatcher)

    assert [p.pk for p in queries.plans_of_day(dispatcher, busy_week.TUESDAY)] == [
        second.pk,
        first.pk,
    ]
    assert queries.newest_plan(dispatcher, "rounds", day=busy_week.WEDNESDAY).pk == second.pk
    assert queries.newest_plan(dispatcher, "rounds", day=busy_week.DAYS[1] + timedelta(1)) is None


def test_a_cancelled_or_refused_plan_says_so_and_what_ended_cannot_be_cancelled(week, dispatcher):
    plan = ask(dispatcher)
    Plan.objects.filter(pk=plan.pk).update(heartbeat_at=makers.MONDAY - timedelta(minutes=5))
    actions.cancel_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)
    ready = work_out(plan)

    refused = actions.refuse_plan(ready, asker=dispatcher)

    assert refused.state == PlanState.REFUSED
    with pytest.raises(actions.NotInThisPlan, match="This plan is put aside now"):
        actions.cancel_plan(refused, asker=dispatcher)
