"""Adopting a plan: whole or not at all, on the rounds it was asked on, and taken back as one."""

import os
import signal
import threading
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from itertools import pairwise

import pytest
from django.db import connections

from drainservice.accounts import history
from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Change
from drainservice.engine.rounds.check import assert_sound, drive_round
from drainservice.engine.rounds.facts import Gate
from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.engine.rounds.facts import Round as EngineRound
from drainservice.engine.rounds.facts import Window as StartWindow
from drainservice.engine.rounds.repair.broken import Broken
from drainservice.engine.rounds.repair.stored import RepairQuestion, write_repair
from drainservice.engine.rounds.search.effort import Effort
from drainservice.register.models import Access
from drainservice.visits import actions
from drainservice.visits.actions import listening
from drainservice.visits.actions.questions import Question, enter_question, what_stood
from drainservice.visits.actions.slots import NewTime, write_times
from drainservice.visits.models import Plan, PlanState, Round, State, Visit
from drainservice.visits.queries.broken_day import gather_for_repair
from drainservice.visits.queries.proposals import proposal_as_json, proposal_of
from drainservice.visits.queries.saved import costs_of
from drainservice.visits.queries.window import Window
from jobs import queue, reactions
from jobs.models import Job
from tests import makers
from tests.visits import busy_week
from tests.visits.busy_week import TUESDAY, WEDNESDAY
from tests.visits.test_plans import work_out

SHORT = Effort(solver=50, looks=2_000, rebuilds=200)
MESSAGES = ["visit.offered", "visit.agreed", "visit.moved", "visit.called_off"]


def ready(asker, days=busy_week.DAYS, **told):
    """A plan that was asked and worked out."""
    return work_out(actions.ask_rounds(days, asker=asker, effort=SHORT, **told))


def by_hand(asker, rounds, *, days=busy_week.DAYS, opened=()):
    """A ready repair with these rounds: (technician, day) -> visits in order. `opened` gives visits
    a further window: (visit, from, to) as instants."""
    gathered = gather_for_repair(days, at=asker.at)
    now_s = gathered.seconds_of(asker.at)
    stops, window_of = list(gathered.inputs.stops), {}
    number_of = {visit.pk: n for n, visit in enumerate(gathered.visits)}
    for visit, from_at, to_at in opened:
        number = number_of[visit.pk]
        new = StartWindow(gathered.seconds_of(from_at), gathered.seconds_of(to_at))
        window_of[number] = len(stops[number].windows)
        stops[number] = replace(stops[number], windows=(*stops[number].windows, new))
    shift_of = {(s.technician.pk, s.day): n for n, s in enumerate(gathered.shifts)}
    placed = {number_of[v.pk] for visits in rounds.values() for v in visits}
    out = tuple(n for n in range(len(stops)) if n not in placed)
    stops = [replace(s, must=s.must and n in placed, only=None) for n, s in enumerate(stops)]
    inputs = replace(gathered.inputs, stops=tuple(stops))
    plan = Rounds(
        tuple(
            EngineRound(
                shift_of[(who.pk, day)],
                tuple(Gate(number_of[v.pk], window_of.get(number_of[v.pk], 0)) for v in visits),
            )
            for (who, day), visits in rounds.items()
        ),
        out,
    )
    assert_sound(inputs, plan)
    row = enter_question(
        Question(
            kind="repair",
            scope="by hand",
            first_on=days[0],
            last_on=days[-1],
            inputs=write_repair(RepairQuestion(gathered.inputs, Broken(now_s), {})),
            effort={},
            rounds=what_stood(gathered, days),
        ),
        asker=asker,
        state=PlanState.READY,
        cost=costs_of(inputs, plan),
    )
    Plan.objects.filter(pk=row.pk).update(proposal=proposal_as_json(plan, inputs))
    return Plan.objects.get(pk=row.pk)


def rows():
    """All visits, without the count of their changes."""
    return [
        {k: v for k, v in row.items() if k != "version"}
        for row in Visit.objects.order_by("pk").values()
    ]


def messages():
    return list(Job.objects.filter(kind__in=MESSAGES).values_list("kind", "details__visit_id"))


@pytest.mark.django_db
class TestAdopting:
    def test_every_visit_gets_the_time_at_which_its_round_is_driven(self, dispatcher):
        busy_week.week()
        plan = ready(dispatcher)
        inputs, rounds = proposal_of(plan)

        adopted = actions.adopt_plan(plan, asker=dispatcher)

        assert adopted.state == PlanState.ADOPTED
        for round_ in rounds.rounds:
            shift = inputs.shifts[round_.shift]
            starts = drive_round(inputs, round_).starts_s
            for gate, start_s in zip(round_.gates, starts, strict=True):
                visit = Visit.objects.get(pk=inputs.stops[gate.stop].key)
                # Midnight of 11 May in America/Los_Angeles is 7:00 UTC.
                midnight = datetime(2027, 5, 11, 7, tzinfo=UTC)
                assert visit.technician_id == shift.technician
                assert visit.slot_starts_at == midnight + timedelta(seconds=start_s)
                assert visit.slot_ends_at - visit.slot_starts_at == timedelta(minutes=45)

    def test_planned_visits_stay_planned_and_have_a_day_and_nobody_is_told(self, dispatcher):
        week = busy_week.week()

        actions.adopt_plan(ready(dispatcher), asker=dispatcher)

        for visit in Visit.objects.filter(pk__in=[v.pk for v in week["meant"]]):
            assert (visit.state, visit.window_from) == (State.PLANNED, None)
            assert visit.day in busy_week.DAYS
        assert messages() == []

    def test_promises_keep_day_and_window(self, dispatcher):
        week = busy_week.week(8)
        promise = ["state", "day", "window_from", "window_to", "window_starts_at", "sequence"]
        agreed = Visit.objects.filter(pk__in=[v.pk for v in week["agreed"]]).order_by("pk")
        before = list(agreed.values(*promise))

        actions.adopt_plan(ready(dispatcher), asker=dispatcher)

        assert list(agreed.values(*promise)) == before
        assert all(v.window_starts_at <= v.slot_starts_at <= v.window_ends_at for v in agreed)

    def test_rounds_that_change_count_up_once_and_keep_their_break(self, dispatcher):
        week = busy_week.week()

        actions.adopt_plan(ready(dispatcher), asker=dispatcher)

        # Made with version 1 where there was none; what changed counts one more.
        changed = {
            (v.technician_id, v.day)
            for v in Visit.objects.filter(pk__in=[v.pk for v in week["meant"]])
        }
        for row in Round.objects.all():
            if (row.technician_id, row.day) in changed:
                assert row.version == 2
                # A break starts between 11:30 and 13:30 where nobody said otherwise.
                # which is 18:30 to 20:30 UTC there in May.
                after_midnight = _since_midnight_utc(row.break_starts_at)
                assert timedelta(hours=18.5) <= after_midnight <= timedelta(hours=20.5)

    def test_an_adopted_plan_is_one_act_in_history(self, dispatcher):
        busy_week.week()

        adopted = actions.adopt_plan(ready(dispatcher), asker=dispatcher)

        changes = Change.objects.filter(group=adopted.group)
        assert {c.subject for c in changes} >= {"visits.visit", "visits.plan"}
        assert changes.filter(subject="visits.visit").count() >= 4

    def test_adopt_then_undo_gives_the_rows_as_before_and_history_only_grows(self, dispatcher):
        busy_week.week(8)
        Round.objects.create(
            technician_id=Visit.objects.exclude(technician=None).first().technician_id,
            day=TUESDAY,
            break_starts_at=datetime(2027, 5, 11, 19, tzinfo=UTC),
        )
        plan = ready(dispatcher)
        before, breaks = rows(), dict(Round.objects.values_list("pk", "break_starts_at"))
        adopted = actions.adopt_plan(plan, asker=dispatcher)
        versions = dict(Round.objects.values_list("pk", "version"))
        known = set(Change.objects.values_list("pk", flat=True))
        assert rows() != before

        history.undo(adopted.group, asker=dispatcher)
        actions.mind_undone(adopted.group)
        queue.forget(adopted.group)

        assert rows() == before
        assert known < set(Change.objects.values_list("pk", flat=True))
        assert Plan.objects.get(pk=plan.pk).state == PlanState.READY
        for row in Round.objects.all():
            assert row.version >= versions[row.pk]
            assert row.break_starts_at == breaks.get(row.pk)
        touched = {(v.technician_id, v.day) for v in Visit.objects.exclude(technician=None)}
        assert all(
            row.version > versions[row.pk]
            for row in Round.objects.all()
            if (row.technician_id, row.day) in touched and versions[row.pk] > 1
        )

    def test_after_undoing_the_same_plan_is_stale_and_can_be_fitted(self, dispatcher):
        busy_week.week()
        adopted = actions.adopt_plan(ready(dispatcher), asker=dispatcher)
        history.undo(adopted.group, asker=dispatcher)
        actions.mind_undone(adopted.group)
        plan = Plan.objects.get(pk=adopted.pk)

        with pytest.raises(actions.PlanIsStale, match="The rounds have changed since"):
            actions.adopt_plan(plan, asker=dispatcher)

        fitted = actions.rebase_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)
        assert actions.adopt_plan(fitted, asker=dispatcher).state == PlanState.ADOPTED

    def test_a_what_if_is_refused(self, dispatcher):
        week = busy_week.week()
        what_if = actions.WhatIf(without=((week["basil"], WEDNESDAY),))

        with pytest.raises(actions.CannotAdopt, match="tries what would be if"):
            actions.adopt_plan(ready(dispatcher, what_if=what_if), asker=dispatcher)
        with pytest.raises(actions.CannotAdopt, match="tries what would be if"):
            actions.rebase_plan(Plan.objects.get(), asker=dispatcher)

    def test_a_plan_that_is_not_ready_is_refused(self, dispatcher):
        busy_week.week()
        plan = actions.ask_rounds(busy_week.DAYS, asker=dispatcher, effort=SHORT)

        with pytest.raises(actions.NotInThisPlan, match="being worked out now"):
            actions.adopt_plan(plan, asker=dispatcher)

    def test_a_round_that_changed_makes_the_plan_stale_and_nothing_is_written(self, dispatcher):
        week = busy_week.week()
        plan = ready(dispatcher)
        Round.objects.create(technician=week["basil"], day=TUESDAY, version=2)
        before = rows()

        with pytest.raises(actions.PlanIsStale, match="Tue 11 May"):
            actions.adopt_plan(plan, asker=dispatcher)

        assert rows() == before
        assert Plan.objects.get(pk=plan.pk).state == PlanState.STALE
        assert Round.objects.count() == 1

    def test_a_visit_called_off_meanwhile_makes_it_stale(self, dispatcher):
        week = busy_week.week()
        plan = ready(dispatcher)
        visit = Visit.objects.get(pk=week["meant"][0].pk)
        actions.call_off_visit(visit, asker=dispatcher, by="us", because="sold")

        with pytest.raises(actions.PlanIsStale):
            actions.adopt_plan(plan, asker=dispatcher)

    def test_a_hold_meanwhile_makes_it_stale_and_the_fitted_plan_goes_round_it(self, dispatcher):
        week = busy_week.week()
        plan = ready(dispatcher)
        caller = busy_week.planned(busy_week.site(60, north=-0.05))
        window = Window(TUESDAY, time(13), time(15))
        actions.hold_visit(caller, to=window, technician=week["basil"], asker=dispatcher)

        with pytest.raises(actions.PlanIsStale, match="Tue 11 May"):
            actions.adopt_plan(plan, asker=dispatcher)
        fitted = actions.rebase_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)
        actions.adopt_plan(fitted, asker=dispatcher)

        held = Visit.objects.get(pk=caller.pk)
        assert (held.state, held.technician_id) == (State.HELD, week["basil"].pk)

    def test_an_absence_meanwhile_makes_it_stale_even_on_a_round_without_visits(self, dispatcher):
        week = busy_week.week(10)
        plan = ready(dispatcher)
        inputs, rounds = proposal_of(plan)
        used = {inputs.shifts[r.shift].technician for r in rounds.rounds}
        day = datetime(2027, 5, 11, 7, tzinfo=UTC)
        for who in (week["andrea"], week["basil"]):
            if who.pk in used:
                actions.enter_absence(
                    who,
                    asker=dispatcher,
                    from_at=day,
                    until_at=day + timedelta(days=2),
                    because="fever",
                )

        with pytest.raises(actions.PlanIsStale):
            actions.adopt_plan(plan, asker=dispatcher)


def _since_midnight_utc(at):
    at = at.astimezone(UTC)
    return timedelta(hours=at.hour, minutes=at.minute, seconds=at.second)


@pytest.mark.django_db
class TestWhomARepairTells:
    def test_a_new_window_of_an_agreed_visit_is_told_once(self, dispatcher):
        andrea, basil = busy_week.crew()
        moved = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8)
        stays = busy_week.booked(busy_week.site(2), basil, TUESDAY, 9)
        from_at = datetime(2027, 5, 12, 20, tzinfo=UTC)
        plan = by_hand(
            dispatcher,
            {(basil, WEDNESDAY): [moved], (basil, TUESDAY): [stays]},
            opened=[(moved, from_at, from_at + timedelta(hours=2))],
        )

        actions.adopt_plan(plan, asker=dispatcher)

        visit = Visit.objects.get(pk=moved.pk)
        assert messages() == [("visit.moved", moved.pk)]
        assert (visit.state, visit.day, visit.sequence) == (State.AGREED, WEDNESDAY, 1)
        # 20:00 UTC is 13:00 in America/Los_Angeles in May.
        assert f"{visit.window_from:%H:%M}-{visit.window_to:%H:%M}" == "13:00-15:00"
        assert (visit.moved_from_day, visit.moved_from_window) == (TUESDAY, "08:00-10:00")
        job = Job.objects.get(kind="visit.moved")
        assert job.due_at - job.made_at == timedelta(seconds=30)

    def test_what_follows_is_one_letter_a_household(self, dispatcher):
        andrea, basil = busy_week.crew()
        homes = [
            makers.make_home(
                makers.make_person(f"P {n}", mail=f"p{n}@example.com"), busy_week.site(n)
            )
            for n in (1, 2)
        ]
        moved = busy_week.booked(homes[0][2], andrea, TUESDAY, 8)
        stays = busy_week.booked(homes[1][2], basil, TUESDAY, 9)
        from_at = datetime(2027, 5, 12, 20, tzinfo=UTC)
        plan = by_hand(
            dispatcher,
            {(basil, WEDNESDAY): [moved], (basil, TUESDAY): [stays]},
            opened=[(moved, from_at, from_at + timedelta(hours=2))],
        )

        actions.adopt_plan(plan, asker=dispatcher)
        assert not Job.objects.filter(is_message=True).exists()
        for job in Job.objects.filter(kind__in=MESSAGES):
            reactions.REACTIONS[job.kind](asker=makers.clock(job.due_at), **job.details)

        now = Job.objects.filter(is_message=True, due_at__lte=makers.later(minutes=1))
        assert [job.reminder.person.name for job in now] == ["P 1"]

    def test_a_new_window_of_an_unanswered_offer_is_a_new_offer(self, dispatcher):
        andrea, basil = busy_week.crew()
        visit = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8, state=State.OFFERED)
        from_at = datetime(2027, 5, 12, 20, tzinfo=UTC)
        plan = by_hand(
            dispatcher,
            {(basil, WEDNESDAY): [visit]},
            opened=[(visit, from_at, from_at + timedelta(hours=2))],
        )

        actions.adopt_plan(plan, asker=dispatcher)

        assert messages() == [("visit.offered", visit.pk)]
        assert Visit.objects.get(pk=visit.pk).sequence == 1

    def test_another_technician_in_the_same_window_tells_nobody_and_lets_the_right_one_in(
        self, dispatcher
    ):
        andrea, basil = busy_week.crew()
        visit = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8)
        actions.access.open_for(visit, asker=dispatcher)
        plan = by_hand(dispatcher, {(basil, TUESDAY): [visit]})

        actions.adopt_plan(plan, asker=dispatcher)

        assert messages() == []
        open_to = Access.objects.standing().values_list("account", flat=True)
        assert list(open_to) == [basil.pk]

    def test_a_household_that_was_promised_andrea_by_name_is_told_of_basil(self, dispatcher):
        andrea, basil = busy_week.crew()
        visit = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8, is_named=True)
        plan = by_hand(dispatcher, {(basil, TUESDAY): [visit]})

        actions.adopt_plan(plan, asker=dispatcher)

        visit = Visit.objects.get(pk=visit.pk)
        assert messages() == [("visit.moved", visit.pk)]
        assert (visit.technician_id, visit.moved_from_day, visit.was_moved) == (
            basil.pk,
            None,
            False,
        )

    def test_a_promise_without_a_place_awaits_a_person_and_is_not_called_off(self, dispatcher):
        andrea, basil = busy_week.crew()
        left = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8)
        stays = busy_week.booked(busy_week.site(2), basil, TUESDAY, 9)
        plan = by_hand(dispatcher, {(basil, TUESDAY): [stays]})

        actions.adopt_plan(plan, asker=dispatcher)

        visit = Visit.objects.get(pk=left.pk)
        assert (visit.state, visit.needs_person_since) == (State.AGREED, dispatcher.at)
        assert messages() == []

    def test_undoing_takes_back_what_was_not_told_yet(self, dispatcher):
        andrea, basil = busy_week.crew()
        visit = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8, is_named=True)
        before = rows()
        adopted = actions.adopt_plan(
            by_hand(dispatcher, {(basil, TUESDAY): [visit]}), asker=dispatcher
        )

        history.undo(adopted.group, asker=dispatcher)
        queue.forget(adopted.group)

        assert rows() == before
        assert messages() == []


@pytest.mark.django_db
class TestFitting:
    def test_rounds_nobody_changed_are_kept_and_the_rest_goes_in_beside_them(self, dispatcher):
        week = busy_week.week(6)
        plan = ready(dispatcher)
        inputs, rounds = proposal_of(plan)
        changed = (week["basil"].pk, TUESDAY)
        busy_week.booked(busy_week.site(50, north=-0.05), week["basil"], TUESDAY, 15)
        Round.objects.create(technician=week["basil"], day=TUESDAY, version=2)
        with pytest.raises(actions.PlanIsStale):
            actions.adopt_plan(plan, asker=dispatcher)

        fitted = actions.rebase_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)

        now, after = proposal_of(fitted)
        assert_sound(now, after)
        was = {key: keys for key, keys in _by_day(inputs, rounds).items() if key[:2] != changed}
        now_by_day = _by_day(now, after)
        for key, keys in was.items():
            assert [k for k in now_by_day[key] if k in keys] == keys
        assert fitted.state == PlanState.READY
        assert fitted.done == {"fitted_from": plan.pk}
        assert actions.adopt_plan(fitted, asker=dispatcher).state == PlanState.ADOPTED

    def test_a_plan_whose_days_are_over_fits_nothing(self, dispatcher):
        busy_week.week()
        plan = ready(dispatcher)
        week_later = makers.as_account(
            makers.make_account("dolly", "dispatcher"), at=makers.later(days=7)
        )

        with pytest.raises(actions.DoesNotFitAnyMore, match="Its days are over"):
            actions.rebase_plan(plan, asker=week_later)


def _by_day(inputs, rounds):
    return {
        (inputs.shifts[r.shift].technician, TUESDAY + timedelta(days=inputs.shifts[r.shift].day)): [
            inputs.stops[g.stop].key for g in r.gates
        ]
        for r in rounds.rounds
    }


@pytest.mark.django_db
class TestWritingManyTimes:
    def test_two_visits_change_places(self, dispatcher):
        andrea, _ = busy_week.crew()
        first = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8)
        second = busy_week.booked(busy_week.site(2), andrea, TUESDAY, 9)
        slots = [(v.slot_starts_at, v.slot_ends_at) for v in (first, second)]

        write_times(
            [NewTime(first, andrea, *slots[1]), NewTime(second, andrea, *slots[0])],
            asker=dispatcher,
        )

        assert Visit.objects.get(pk=first.pk).slot_starts_at == slots[1][0]
        assert Visit.objects.get(pk=second.pk).slot_starts_at == slots[0][0]

    def test_three_in_a_ring_over_two_technicians_and_back_by_undo(self, dispatcher):
        andrea, basil = busy_week.crew()
        a = busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8)
        b = busy_week.booked(busy_week.site(2), andrea, TUESDAY, 9)
        c = busy_week.booked(busy_week.site(3), basil, TUESDAY, 8)
        before = rows()
        places = [(v.technician, v.slot_starts_at, v.slot_ends_at) for v in (a, b, c)]
        ring = [NewTime(a, *places[1]), NewTime(b, *places[2]), NewTime(c, *places[0])]

        write_times(ring, asker=dispatcher.acting(group="ring"))
        moved = rows()
        history.undo("ring", asker=dispatcher)

        assert moved != before
        assert rows() == before

    def test_sliding_all_later_needs_no_parking(self, dispatcher):
        andrea, _ = busy_week.crew()
        visits = [busy_week.booked(busy_week.site(n), andrea, TUESDAY, 8 + n) for n in range(4)]
        later = timedelta(minutes=50)

        write_times(
            [NewTime(v, andrea, v.slot_starts_at + later, v.slot_ends_at + later) for v in visits],
            asker=dispatcher,
        )

        changes = Change.objects.filter(subject="visits.visit", action="changed")
        assert changes.count() == len(visits)


def at_once(*acts):
    """Run these in threads of their own that begin together; what each answers, by its number."""
    begin, told = threading.Barrier(len(acts)), {}

    def run(number, act):
        try:
            begin.wait()
            told[number] = act()
        except CannotBeDone as refused:
            told[number] = refused
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return [told[number] for number in range(len(acts))]


@pytest.mark.django_db(transaction=True)
def test_of_a_hold_and_an_adoption_at_once_nothing_overlaps_and_the_loser_is_told():
    dispatcher = makers.as_account(makers.make_account("dora", "dispatcher"))
    week = busy_week.week()
    plan = ready(dispatcher)
    caller = busy_week.planned(busy_week.site(60, north=-0.05))

    def hold():
        visit = Visit.objects.get(pk=caller.pk)
        window = Window(TUESDAY, time(13), time(15))
        return actions.hold_visit(visit, to=window, technician=week["basil"], asker=dispatcher)

    def adopt():
        return actions.adopt_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)

    held, adopted = at_once(hold, adopt)

    is_held = Visit.objects.get(pk=caller.pk).state == State.HELD
    is_adopted = Plan.objects.get(pk=plan.pk).state == PlanState.ADOPTED
    assert is_held or is_adopted
    assert is_adopted or isinstance(adopted, actions.PlanIsStale)
    assert is_held or isinstance(held, actions.NoTimeFree)
    for who in (week["andrea"], week["basil"]):
        slots = list(
            Visit.objects.filter(technician=who)
            .order_by("slot_starts_at")
            .values_list("slot_starts_at", "slot_ends_at")
        )
        assert all(a[1] <= b[0] for a, b in pairwise(slots))


@pytest.mark.django_db(transaction=True)
def test_two_who_ask_at_once_both_get_the_one_plan():
    dispatcher = makers.as_account(makers.make_account("dora", "dispatcher"))
    busy_week.week()

    def ask():
        return actions.ask_rounds(busy_week.DAYS, asker=dispatcher, effort=SHORT)

    first, second = at_once(ask, ask)

    assert first.pk == second.pk
    assert Plan.objects.count() == Job.objects.filter(kind="plan.wanted").count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_who_adopt_at_once_one_does():
    dispatcher = makers.as_account(makers.make_account("dora", "dispatcher"))
    busy_week.week()
    plan = ready(dispatcher)

    def adopt():
        return actions.adopt_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)

    told = at_once(adopt, adopt)

    assert sum(isinstance(one, Plan) for one in told) == 1
    assert Plan.objects.get(pk=plan.pk).state == PlanState.ADOPTED


@pytest.mark.django_db(transaction=True)
def test_a_worker_killed_in_the_middle_is_followed_by_another_and_the_plan_comes_out_ready():
    """A real SIGKILL at the first look; a minute later, by the clock that is handed in, the silent
    plan is taken again."""
    dispatcher = makers.as_account(makers.make_account("dora", "dispatcher"))
    busy_week.week(12)
    plan = actions.ask_rounds(busy_week.DAYS, asker=dispatcher, effort=SHORT)
    connections.close_all()
    child = os.fork()
    if child == 0:
        listening.Ear._look = lambda ear: os.kill(os.getpid(), signal.SIGKILL)
        work_out(plan, step_s=1.0)
        os._exit(0)
    ended = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    left = Plan.objects.get(pk=plan.pk)
    retaken = [actions.retake_silent(at=makers.later(minutes=minutes)) for minutes in (0.5, 1.5)]

    later = makers.later(minutes=1.5)
    clocks = actions.Clocks(lambda: later, lambda: 0.0)
    found = actions.work_out(plan.pk, asker=makers.clock(later), clocks=clocks)

    assert ended == -signal.SIGKILL
    assert (left.state, left.starts) == (PlanState.THINKING, 1)
    assert retaken == [0, 1]
    assert (found.state, found.starts) == (PlanState.READY, 2)
    assert_sound(*proposal_of(found))
