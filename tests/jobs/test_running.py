"""Facts run in one transaction with their settling; messages are started before they are sent."""

from contextlib import contextmanager
from datetime import timedelta

import pytest

from drainservice.accounts.models import Household
from jobs import breakers, queue, running, taking
from jobs.models import Attempt, Breaker, Heartbeat, Job, State
from jobs.outcome import Ended, Later, Ready, Sent
from tests import makers
from tests.makers import MONDAY

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


class Kind:
    """A kind of message whose sending ends as told, one end a try."""

    def __init__(self, *ends, ready=None):
        self.ends = list(ends)
        self.ready = ready or Ready(b"octets", "from@example.com", "to@example.com")
        self.sent = []
        self.settlements = []

    def prepare(self, row_id, *, at):
        return self.ready

    def settled(self, row_id, *, at, state, sent):
        self.settlements.append(state)

    @contextmanager
    def open_post(self):
        yield self

    def send(self, ready, *, still_ours):
        assert Job.objects.get().state == State.SENDING
        self.sent.append(ready.octets)
        return self.ends.pop(0)


def run(kind=None, *, at=MONDAY, facts=None, **words):
    messages = {"reminder.wanted": kind} if kind else {}
    return running.run_all(facts or {}, messages, clock=lambda: at, **words)


@pytest.fixture
def row(db):
    return queue.put("reminder.wanted", key="1", at=MONDAY, is_message=True)


@pytest.fixture
def fact(db):
    return queue.put("visit.moved", key="1", at=MONDAY, visit_id=7)


def state_of(row):
    row.refresh_from_db()
    return row.state


def test_a_fact_is_told_who_asks_and_its_details(fact):
    heard = []

    run(facts={"visit.moved": lambda **words: heard.append(words)})

    (words,) = heard
    assert (words["visit_id"], words["asker"].kind, words["asker"].at) == (7, "clock", MONDAY)
    assert state_of(fact) == State.DONE


def test_what_a_fact_wrote_goes_with_it_where_it_fails(fact):
    def write_and_fail(**_):
        makers.make_household()
        raise ValueError("no such visit")

    run(facts={"visit.moved": write_and_fail})

    assert Household.objects.count() == 0
    assert state_of(fact) == State.AGAIN
    assert fact.last_error == "ValueError: no such visit"
    assert MONDAY < fact.due_at <= MONDAY + HOUR


def test_a_fact_that_fails_five_times_is_stuck_with_all_its_tries(fact):
    def fail(**_):
        raise ValueError

    for number in range(6):
        run(facts={"visit.moved": fail}, at=MONDAY + number * HOUR)

    assert state_of(fact) == State.STUCK
    assert Attempt.objects.filter(job=fact).count() == 5


def test_a_fact_nobody_reacts_to_is_stuck_in_words(fact):
    run()

    assert state_of(fact) == State.STUCK
    assert fact.last_error == "Nobody reacts to visit.moved."


def test_what_a_fact_wrote_is_rolled_back_where_the_row_went_to_another(fact):
    def lose_the_row(**_):
        makers.make_household()
        Job.objects.filter(pk=fact.pk).update(token="another")

    run(facts={"visit.moved": lose_the_row})

    assert Household.objects.count() == 0


def test_sends_and_settles(row):
    kind = Kind(Sent("sent", "reply", "250", "2.0.0 Taken"))

    assert run(kind) == 1

    assert state_of(row) == State.SENT
    assert (row.attempts, row.open_starts, row.done_at) == (1, 0, MONDAY)
    assert kind.settlements == ["sent"]
    assert Attempt.objects.get(job=row).reply == "2.0.0 Taken"


@pytest.mark.parametrize(
    ("sent", "state", "attempts"),
    [
        (Sent("again", "rcpt", "451", "Busy"), State.AGAIN, 1),
        (Sent("refused", "rcpt", "550", "5.1.1 Gone"), State.REFUSED, 1),
        (Sent("no_server", "connect", "", "refused"), State.AGAIN, 0),
        (Sent("unsure", "dot", "", "no reply"), State.SENDING, 1),
    ],
)
def test_ends_as_the_server_said(row, sent, state, attempts):
    run(Kind(sent))

    assert state_of(row) == state
    assert row.attempts == attempts


def test_is_tried_again_until_it_expires_and_not_by_number(row):
    Job.objects.update(expires_at=MONDAY + 50 * HOUR)
    kind = Kind(*[Sent("again", "rcpt", "451", "Busy")] * 40)

    for number in range(30):
        run(kind, at=MONDAY + number * HOUR)

    assert state_of(row) == State.AGAIN
    assert len(kind.sent) == 30
    run(kind, at=MONDAY + 50 * HOUR)
    assert state_of(row) == State.TOO_LATE


def test_what_is_no_longer_true_ends_in_words_and_costs_no_try(row):
    kind = Kind(ready=Ended("overtaken", "The visit has moved, so this stays here."))

    run(kind)

    assert state_of(row) == State.OVERTAKEN
    assert (row.last_error, row.attempts) == ("The visit has moved, so this stays here.", 0)
    assert kind.sent == []


def test_what_may_have_gone_out_before_is_not_unsaid(row):
    Job.objects.update(state=State.AGAIN, unsure_count=1)

    run(Kind(ready=Ended("overtaken", "The visit has moved.")))

    assert state_of(row) == State.UNSURE


def test_waits_where_it_is_too_early(row):
    run(Kind(ready=Later(MONDAY + HOUR, "It is a quiet hour there.")))

    assert state_of(row) == State.WAITING
    assert row.due_at == MONDAY + HOUR


def test_a_message_that_cannot_be_written_ends_refused_after_five_tries(row):
    kind = Kind()
    kind.prepare = lambda row_id, *, at: 1 / 0

    for number in range(6):
        run(kind, at=MONDAY + number * HOUR)

    assert state_of(row) == State.REFUSED
    assert row.last_error == "ZeroDivisionError: division by zero"
    assert kind.sent == []


def test_a_fault_of_our_own_while_sending_is_taken_for_perhaps_sent(row):
    kind = Kind()
    kind.send = lambda ready, *, still_ours: 1 / 0

    run(kind)

    assert state_of(row) == State.SENDING


def test_half_the_lease_gone_by_the_boot_clock_is_no_longer_ours(row, monkeypatch):
    """A process frozen before the dot wakes up and must not send what another may have taken."""
    seconds = iter([100.0, 100.0 + 59.9, 100.0 + 60.1])
    monkeypatch.setattr("jobs.clocks.boot_s", lambda: next(seconds))
    kind, asked = Kind(), []

    def send(ready, *, still_ours):
        asked.extend([still_ours(), still_ours()])
        return Sent("again", "data")

    kind.send = send

    run(kind)

    # The lease is 120 s.
    assert asked == [True, False]


def test_a_server_that_does_not_answer_is_left_alone_and_then_probed_by_one():
    for key in "123":
        queue.put("reminder.wanted", key=key, at=MONDAY, is_message=True)
    kind = Kind()
    kind.send = lambda ready, *, still_ours: Sent("no_server", "connect", "", "refused")

    run(kind)
    first = Attempt.objects.count()
    run(kind, at=MONDAY + timedelta(seconds=14))
    resting = Attempt.objects.count()
    run(kind, at=MONDAY + timedelta(seconds=16))

    assert (first, resting) == (1, 1)
    assert Attempt.objects.count() == 2
    assert Breaker.objects.get().failures == 2
    assert set(Job.objects.values_list("attempts", flat=True)) == {0}


def test_the_breaker_shuts_at_the_first_answer(row):
    breakers.server_failed("mail", at=MONDAY - HOUR, words="refused")

    run(Kind(Sent("sent", "reply", "250")))

    assert breakers.probe_only("mail", at=MONDAY) is None


def test_the_rest_doubles_up_to_a_quarter_of_an_hour():
    rests = [
        (breakers.server_failed("mail", at=MONDAY, words="") - MONDAY).total_seconds()
        for _ in range(8)
    ]

    assert rests == [15, 30, 60, 120, 240, 480, 900, 900]


def test_stops_between_jobs_when_it_is_asked_to(db):
    for key in "12345":
        queue.put("visit.moved", key=key, at=MONDAY)
    ran = []

    run(facts={"visit.moved": lambda **_: ran.append(1)}, should_stop=lambda: len(ran) >= 2)

    assert len(ran) == 2
    assert Job.objects.filter(state=State.WAITING, token="").count() == 3


def test_runs_only_the_kinds_asked_for(fact):
    other = queue.put("system.changed", key="1", at=MONDAY)

    run(facts={"visit.moved": lambda **_: None}, only={"visit.moved"})

    assert (state_of(fact), state_of(other)) == (State.DONE, State.WAITING)


def test_says_that_it_looked_though_nothing_was_due(db):
    run(worker="one")

    assert Heartbeat.objects.get().ticked_at == MONDAY


def test_who_does_long_work_alone_is_no_sign_that_reminders_go_out():
    running.run_all({}, {}, clock=lambda: MONDAY, long=True)

    assert not Heartbeat.objects.exists()


def test_the_lease_outlives_the_longest_try():
    """60 s until the dot, 55 s for its reply, and the lease is longer than both."""
    from drainservice.reminders import smtp

    assert taking.LEASE.total_seconds() > taking.LEASE.total_seconds() / 2 + smtp.DOT_S


def test_work_in_parts_keeps_what_is_done_and_goes_on_from_there(fact):
    """A night's counting commits by batches: what fails later leaves the earlier batches."""

    def write_and_fail(**_):
        makers.make_household()
        raise ValueError

    run(facts={"visit.moved": write_and_fail}, in_parts={"visit.moved"})

    assert Household.objects.count() == 1
    assert state_of(fact) == State.AGAIN
