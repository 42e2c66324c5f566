"""Whatever workers, clocks and crashes do, a row is where a plain model says it is."""

from datetime import timedelta

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from jobs import queue, settling, taking
from jobs.models import ENDED, Job, State
from jobs.sweeping import UNSURE_COPIES, sweep
from tests.makers import MONDAY

WORKERS = ["one", "two"]
SHORT, LONG = timedelta(seconds=30), taking.LEASE + timedelta(seconds=1)


class QueueMachine(RuleBasedStateMachine):
    """Messages put, taken, begun, sent and settled by two workers whose leases may run out.

    The model counts what left the house (`left`) and the kills that can excuse a copy (`excused`).
    """

    def __init__(self):
        super().__init__()
        Job.objects.all().delete()
        self.now = MONDAY
        self.put_keys: set[str] = set()
        self.held: dict[str, list[Job]] = {worker: [] for worker in WORKERS}
        self.sending: dict[str, tuple[Job, bool]] = {}
        self.left: dict[str, int] = {}
        self.excused: dict[str, int] = {}

    @rule(is_new=st.booleans())
    def put(self, is_new):
        """A new fact, or the last one once more, which adds nothing."""
        key = str(max(1, len(self.put_keys) + is_new))
        queue.put("reminder.wanted", key=key, at=self.now, is_message=True)
        self.put_keys.add(key)

    @rule(worker=st.sampled_from(WORKERS), most=st.integers(1, 2))
    def take_and_start(self, worker, most):
        """Take some and start the first in hand, unless one is being sent already."""
        self.held[worker] += taking.take(most, at=self.now, worker=worker, is_message=True)
        if worker in self.sending or not self.held[worker]:
            return
        row = self.held[worker].pop(0)
        if taking.begin(row, at=self.now) and taking.start_sending(row, at=self.now):
            self.sending[worker] = (row, False)

    @rule(worker=st.sampled_from(WORKERS))
    def send(self, worker):
        """The final dot, by a worker whose guard still holds: half its lease is left."""
        if worker not in self.sending:
            return
        row, has_left = self.sending[worker]
        if not has_left and self.now < row.taken_until - taking.LEASE / 2:
            self.left[row.key] = self.left.get(row.key, 0) + 1
            self.sending[worker] = (row, True)

    @rule(worker=st.sampled_from(WORKERS), how=st.sampled_from(["sent", "again"]))
    def settle(self, worker, how):
        if worker not in self.sending:
            return
        row, has_left = self.sending.pop(worker)
        state = State.SENT if has_left else State.AGAIN
        due_at = None if has_left else self.now + SHORT
        is_ours = settling.settle(row, at=self.now, state=state, due_at=due_at)
        if has_left and not is_ours:
            settling.settle_late(row, at=self.now, code="250", words="")
            self.excused[row.key] = self.excused.get(row.key, 0) + 1

    @rule(worker=st.sampled_from(WORKERS))
    def die(self, worker):
        """Killed: what was in hand is forgotten; only after the dot may that make a copy."""
        self.held[worker] = []
        if worker in self.sending:
            row, has_left = self.sending.pop(worker)
            if has_left:
                self.excused[row.key] = self.excused.get(row.key, 0) + 1

    @rule()
    def wait(self):
        self.now += SHORT

    @rule()
    def let_leases_run_out(self):
        self.now += LONG
        sweep(at=self.now)

    @precondition(lambda self: self.put_keys)
    @rule()
    def overtake(self):
        """The newest fact is no longer so."""
        key = str(len(self.put_keys))
        queue.overtake(kind="reminder.wanted", keys=[key], at=self.now, words="It has moved.")

    @invariant()
    def nothing_is_lost_or_doubled(self):
        assert set(Job.objects.values_list("key", flat=True)) == self.put_keys

    @invariant()
    def who_sends_under_a_lease_has_the_row(self):
        for row, _ in self.sending.values():
            if self.now < row.taken_until:
                stored = Job.objects.get(pk=row.pk)
                assert (stored.state, stored.token) == (State.SENDING, row.token)

    @invariant()
    def copies_are_excused(self):
        """One message leaves once, and once more for each crash after the dot."""
        sending_late = {row.key for row, has_left in self.sending.values() if has_left}
        for key, left in self.left.items():
            late = 1 if key in sending_late else 0
            assert left <= 1 + self.excused.get(key, 0) + late

    @invariant()
    def what_left_is_not_said_to_have_stayed(self):
        for row in Job.objects.filter(state__in=[State.OVERTAKEN, State.TOO_LATE]):
            assert self.left.get(row.key, 0) == 0

    @invariant()
    def ends_stay_ended_and_say_when(self):
        for row in Job.objects.all():
            assert (row.state in ENDED) == (row.done_at is not None)
            assert row.unsure_count <= UNSURE_COPIES


@pytest.mark.django_db
def test_the_queue_does_as_its_model_says():
    run_state_machine_as_test(
        QueueMachine, settings=settings(max_examples=40, stateful_step_count=30, deadline=None)
    )


@pytest.mark.django_db
def test_the_model_catches_a_settling_that_asks_for_no_token(monkeypatch):
    """The judge is judged: without the token a late worker writes over another's work."""

    def settle_anyway(row, *, at, state, due_at=None, **_):
        ended = state == State.SENT
        new = {"state": state, "done_at": at if ended else None, "due_at": due_at or at}
        Job.objects.filter(pk=row.pk).update(**new, token="", taken_until=None)
        return True

    monkeypatch.setattr(settling, "settle", settle_anyway)

    machine = QueueMachine()
    machine.put(True)
    machine.take_and_start("one", 1)
    machine.let_leases_run_out()
    machine.take_and_start("two", 1)
    machine.who_sends_under_a_lease_has_the_row()
    machine.settle("one", "again")

    with pytest.raises(AssertionError):
        machine.who_sends_under_a_lease_has_the_row()
