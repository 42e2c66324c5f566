"""Notes left in the caller's transaction: once for ever, in order, taken back, held."""

import uuid
from datetime import timedelta

import pytest
from django.db import transaction

from jobs import queue, settling, taking
from jobs.models import Job, State
from jobs.sweeping import KILLED, sweep
from jobs.turn import worker_name
from tests.makers import MONDAY

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


def put(key="1", **words):
    return queue.put("visit.moved", key=key, at=MONDAY, **{"visit_id": 1, **words})


def take(at=MONDAY, most=10, *, is_message=False, **words):
    return taking.take(most, at=at, worker=worker_name(), is_message=is_message, **words)


def test_puts_the_same_kind_and_key_once_for_ever():
    first = put()
    settling.settle(taken(first), at=MONDAY, state=State.DONE)

    again = put()

    assert again.pk == first.pk
    assert Job.objects.count() == 1
    assert again.state == State.DONE


def taken(row):
    """The row, claimed by this worker."""
    (mine,) = [one for one in take() if one.pk == row.pk]
    assert taking.begin(mine, at=MONDAY)
    return mine


def test_leaves_nothing_behind_where_the_change_is_rolled_back():
    with transaction.atomic():
        put()
        transaction.set_rollback(True)

    assert Job.objects.count() == 0


def test_folds_into_a_row_that_still_waits():
    first = put("7:pit:1:1", folds_into="7:")

    second = put("7:pump:2:1", folds_into="7:")
    other = put("71:pump:3:1", folds_into="71:")

    assert second.pk == first.pk
    assert other.pk != first.pk


def test_does_not_fold_into_a_row_that_was_read_already():
    first = put("7:pit:1:1", folds_into="7:")
    taken(first)

    second = put("7:pump:2:1", folds_into="7:")

    assert second.pk != first.pk


def test_row_ids_rise_with_time():
    """RFC 9562, 5.7: version 7, variant 10, the first 48 bits are milliseconds."""
    first, second = put("1"), queue.put("visit.moved", key="2", at=MONDAY + MINUTE)

    assert first.pk.version == 7
    assert first.pk.variant == uuid.RFC_4122
    assert first.pk.int >> 80 == int(MONDAY.timestamp() * 1000)
    assert first.pk < second.pk


def test_takes_what_is_due_oldest_first_and_only_once():
    put("late", due_at=MONDAY + MINUTE)
    put("second", due_at=MONDAY - MINUTE)
    put("first", due_at=MONDAY - 2 * MINUTE)

    rows = take()

    assert [row.key for row in rows] == ["first", "second"]
    assert take() == []


def test_forgets_what_an_undone_act_announced_and_its_key_is_free_again():
    put(due_at=MONDAY + MINUTE, group="act")

    assert queue.forget("act") == 1

    assert put().state == State.WAITING
    assert Job.objects.count() == 1


def test_does_not_forget_what_was_read_already():
    row = put(group="act")
    taken(row)

    assert queue.forget("act") == 0


def test_overtakes_what_waits_but_not_what_may_have_gone_out():
    waiting, under_way, unsure = put("1"), put("2"), put("3")
    Job.objects.filter(pk=unsure.pk).update(state=State.AGAIN, unsure_count=1)
    Job.objects.filter(pk=under_way.pk).update(state=State.TAKEN, token="x", taken_until=MONDAY)

    ended = queue.overtake_ids(
        [waiting.pk, under_way.pk, unsure.pk], at=MONDAY, words="The visit has moved."
    )

    assert ended == 1
    waiting.refresh_from_db()
    assert (waiting.state, waiting.last_error) == (State.OVERTAKEN, "The visit has moved.")


@pytest.mark.parametrize(
    ("what", "left"),
    [
        ("messages", {"fact"}),
        ("reminder.wanted", {"fact"}),
        ("lane:example.com", {"fact", "other lane"}),
        ("visit.moved", {"a message", "other lane"}),
    ],
)
def test_holds_back_what_it_is_told_to_and_nothing_else(what, left):
    put("fact")
    for key, lane in (("a message", "example.com"), ("other lane", "example.org")):
        queue.put("reminder.wanted", key=key, at=MONDAY, lane=lane, is_message=True)
    queue.hold_back(what, who="dora", why="the relay changes", at=MONDAY)

    rows = take() + take(is_message=True)

    assert {row.key for row in rows} == left


def test_holds_one_row_until_it_is_let_go():
    row = put()
    queue.hold_back(str(row.pk), who="dora", why="wait for the key", at=MONDAY)
    held = take()

    queue.let_go(str(row.pk), who="dora", at=MONDAY)

    assert held == []
    assert [one.pk for one in take()] == [row.pk]


def test_long_work_is_taken_apart_from_all_else():
    put("short")
    put("long", lane="long")

    assert [row.key for row in take()] == ["short"]
    assert [row.key for row in take(long=True)] == ["long"]


def test_a_worker_whose_lease_is_over_writes_nothing():
    """Two workers, one row: the first froze past its lease, the second took it over."""
    row = put()
    slow = taken(row)
    after = MONDAY + taking.LEASE + MINUTE
    sweep(at=after)
    (quick,) = take(at=after)
    taking.begin(quick, at=after)

    assert not settling.settle(slow, at=after, state=State.STUCK)
    assert settling.settle(quick, at=after, state=State.DONE)


def test_a_row_is_not_begun_after_its_lease():
    (row,) = [put()] and take()

    assert not taking.begin(row, at=MONDAY + taking.LEASE)


def test_what_surely_left_is_sent_though_the_lease_was_over():
    row = queue.put("reminder.wanted", key="1", at=MONDAY, is_message=True)
    (mine,) = take(is_message=True)
    taking.begin(mine, at=MONDAY)
    taking.start_sending(mine, at=MONDAY)
    sweep(at=MONDAY + taking.LEASE + MINUTE)

    assert settling.settle_late(mine, at=MONDAY, code="250", words="Taken")

    row.refresh_from_db()
    assert row.state == State.SENT


def test_a_message_without_receipt_is_tried_twice_more_and_then_left_to_a_person():
    row = queue.put("reminder.wanted", key="1", at=MONDAY, is_message=True)
    states = []
    for number in range(3):
        at = MONDAY + number * timedelta(hours=1)
        (mine,) = take(at=at, is_message=True)
        taking.begin(mine, at=at)
        taking.start_sending(mine, at=at)
        sweep(at=at + taking.LEASE + MINUTE)
        row.refresh_from_db()
        states.append((row.state, row.unsure_count))

    assert states == [("again", 1), ("again", 2), ("unsure", 2)]


def test_what_never_began_to_send_waits_again_without_being_unsure():
    row = queue.put("reminder.wanted", key="1", at=MONDAY, is_message=True)
    take(is_message=True)

    sweep(at=MONDAY + taking.LEASE + MINUTE)

    row.refresh_from_db()
    assert (row.state, row.unsure_count, row.token) == (State.WAITING, 0, "")


def test_what_kills_its_worker_five_times_is_given_up():
    row = put()
    for number in range(5):
        at = MONDAY + number * timedelta(hours=1)
        (mine,) = take(at=at)
        taking.begin(mine, at=at)
        sweep(at=at + taking.LEASE + MINUTE)

    sweep(at=MONDAY + timedelta(hours=9))

    row.refresh_from_db()
    assert (row.state, row.attempts, row.last_error) == (State.STUCK, 5, KILLED)


def test_what_nobody_took_in_time_is_too_late():
    row = put(expires_at=MONDAY + MINUTE)

    taken_late = take(at=MONDAY + MINUTE)
    sweep(at=MONDAY + MINUTE)

    row.refresh_from_db()
    assert taken_late == []
    assert row.state == State.TOO_LATE


@pytest.mark.parametrize("state", [State.UNSURE, State.REFUSED, State.STUCK, State.TOO_LATE])
def test_a_person_may_have_it_tried_again(state):
    row = put(expires_at=MONDAY + MINUTE)
    Job.objects.filter(pk=row.pk).update(state=state, done_at=MONDAY, attempts=5)

    assert queue.send_again(row.pk, at=MONDAY + 2 * MINUTE)

    assert [one.pk for one in take(at=MONDAY + 2 * MINUTE)] == [row.pk]


@pytest.mark.parametrize("state", [State.SENT, State.OVERTAKEN, State.STOPPED, State.DONE])
def test_what_ended_well_or_is_no_longer_true_is_not_tried_again(state):
    row = put()
    Job.objects.filter(pk=row.pk).update(state=state, done_at=MONDAY)

    assert not queue.send_again(row.pk, at=MONDAY)


@pytest.mark.parametrize(
    ("tries", "least_s", "most_s"),
    # A minute doubled a try, an hour at most; a quarter of it at least.
    [(1, 15, 60), (2, 30, 120), (4, 120, 480), (7, 900, 3600), (40, 900, 3600)],
)
def test_waits_longer_after_each_try(tries, least_s, most_s):
    waits_s = [settling.wait_after(tries).total_seconds() for _ in range(200)]

    assert min(waits_s) >= least_s
    assert max(waits_s) <= most_s
    assert len(set(waits_s)) > 100


def test_clears_out_only_facts_that_were_done_long_ago():
    for number, state in enumerate([State.DONE, State.STUCK, State.WAITING]):
        row = put(str(number))
        done_at = None if state == State.WAITING else MONDAY
        Job.objects.filter(pk=row.pk).update(state=state, done_at=done_at)

    assert queue.clear_out(before=MONDAY + MINUTE) == 1
    assert set(Job.objects.values_list("state", flat=True)) == {State.STUCK, State.WAITING}


def test_ends_every_fact_that_is_due_and_leaves_what_is_later_or_a_message():
    ended = put("1")
    later = put("2", due_at=MONDAY + MINUTE)
    message = put("3", is_message=True)

    assert settling.end_facts(at=MONDAY) == 1

    states = dict(Job.objects.values_list("pk", "state"))
    assert states == {ended.pk: State.DONE, later.pk: State.WAITING, message.pk: State.WAITING}
    assert Job.objects.get(pk=ended.pk).done_at == MONDAY


def test_does_not_end_a_fact_that_somebody_is_at():
    mine = taken(put())

    assert settling.end_facts(at=MONDAY) == 0
    assert settling.settle(mine, at=MONDAY, state=State.DONE)
