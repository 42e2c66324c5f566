"""What waits and why, and whether the queue is well: in numbers, sentences and exit codes."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from jobs import breakers, queries, queue, taking
from jobs.clocks import clock
from jobs.models import Heartbeat, Job, State
from tests import makers
from tests.makers import MONDAY

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture
def no_broker(settings):
    settings.BROKER_URL = ""


def put(key, *, lane="", at=MONDAY, is_message=False):
    return queue.put("visit.moved", key=key, at=at, lane=lane, is_message=is_message)


def test_counts_by_lane_and_age():
    put("1", lane="example.com", is_message=True)
    put("2", lane="example.com", at=MONDAY - 2 * HOUR, is_message=True)
    put("3", at=MONDAY - 30 * HOUR)
    put("4", at=MONDAY + HOUR)

    waiting = queries.waiting_by_age(at=MONDAY)

    assert [(one.lane, one.total) for one in waiting] == [("example.com", 2), ("facts", 1)]
    assert waiting[0].counts == {
        "under a minute": 1,
        "under an hour": 0,
        "under a day": 1,
        "longer": 0,
    }
    assert waiting[1].counts["longer"] == 1


def test_says_how_long_the_oldest_has_waited():
    put("1", at=MONDAY - 2 * HOUR)
    put("2", at=MONDAY - HOUR)

    assert queries.oldest_due_age_s(at=MONDAY) == 7200


def test_what_is_held_back_is_not_overdue():
    put("1", at=MONDAY - 2 * HOUR, is_message=True)
    queue.hold_back("messages", who="dora", why="the relay changes", at=MONDAY)

    health = queries.health(at=MONDAY)

    assert health["oldest_due_age_s"] == 0
    assert "messages held back by dora: the relay changes" in health["warnings"]


def test_is_well_with_a_worker_that_looks_and_nothing_late(no_broker):
    Heartbeat.objects.create(worker="one", ticked_at=MONDAY - timedelta(seconds=5))

    health = queries.health(at=MONDAY)

    assert (health["is_well"], health["amiss"], health["warnings"]) == (True, [], [])
    assert (health["tick_age_s"], health["broker"]) == (5.0, "none")


@pytest.mark.parametrize(
    ("seconds", "is_well"),
    [(899, True), (901, False)],
)
def test_is_not_well_when_work_waits_too_long_or_nobody_looks(seconds, is_well, no_broker):
    put("1", at=MONDAY - timedelta(seconds=seconds))
    Heartbeat.objects.create(worker="one", ticked_at=MONDAY - timedelta(seconds=seconds))

    health = queries.health(at=MONDAY)

    assert health["is_well"] is is_well
    assert len(health["amiss"]) == (0 if is_well else 2)


def test_a_broker_that_is_away_is_a_warning_and_no_illness(settings, tmp_path):
    settings.BROKER_URL = f"redis+socket://{tmp_path}/none.sock"
    Heartbeat.objects.create(worker="one", ticked_at=MONDAY)

    health = queries.health(at=MONDAY)

    assert (health["is_well"], health["broker"]) == (True, "away")
    assert health["warnings"] == ["The broker does not answer; the queue goes on by its own clock."]


def test_a_broker_that_answers_is_seen(broker_url, settings):
    settings.BROKER_URL = broker_url

    assert queries.broker_state() == "answers"


def test_what_failed_and_a_server_that_is_away_are_told(no_broker):
    row = put("1", is_message=True)
    Job.objects.filter(pk=row.pk).update(state=State.REFUSED, done_at=MONDAY)
    breakers.server_failed("mail", at=MONDAY, words="connection refused")

    health = queries.health(at=MONDAY)

    assert "1 jobs need a person." in health["warnings"]
    assert "The mail server does not take mail: connection refused" in health["warnings"]
    assert [one.pk for one in queries.failed_jobs()] == [row.pk]


def test_every_row_is_counted_in_exactly_one_state():
    for number, state in enumerate(State.values):
        row = put(str(number))
        ended = state in queries.ENDED
        Job.objects.filter(pk=row.pk).update(
            state=state, done_at=MONDAY if ended else None, token="x", taken_until=MONDAY
        )

    counts = queries.counts_by_state()

    assert counts == dict.fromkeys(State.values, 1)


def test_an_idle_queue_is_looked_at_without_a_write(django_assert_num_queries):
    """Two questions: what is held back, and is anything due."""
    with django_assert_num_queries(2):
        assert taking.take(25, at=MONDAY, worker="one", is_message=False) == []


def test_taking_costs_the_same_for_one_row_and_for_many(django_assert_max_num_queries):
    for number in range(20):
        put(str(number))

    with django_assert_max_num_queries(7):
        assert len(taking.take(20, at=MONDAY, worker="one", is_message=False)) == 20


def test_show_health_says_so_and_ends_by_its_code(no_broker, time_machine_at_monday):
    put("1", at=MONDAY - HOUR)
    Heartbeat.objects.create(worker="one", ticked_at=MONDAY)
    said = StringIO()

    with pytest.raises(SystemExit) as ended:
        call_command("show_health", stdout=said)

    assert ended.value.code == 1
    assert "The oldest job has waited 3600 seconds; see what holds it up." in said.getvalue()
    call_command("show_health", "--max-age", "4000", stdout=said)
    assert "The queue is well: the oldest due job waits 3600 s." in said.getvalue()


@pytest.fixture
def time_machine_at_monday(monkeypatch):
    monkeypatch.setattr("jobs.management.commands.show_health.clock", lambda: MONDAY)


def test_run_jobs_runs_what_is_due_without_a_broker(no_broker):
    system = makers.make_system()
    Job.objects.update(due_at=clock())
    said = StringIO()

    call_command("run_jobs", "--once", stdout=said)

    states = dict(Job.objects.values_list("kind", "state"))
    assert states == {"system.entered": "done", "system.changed": "done", "day.begun": "done"}
    assert system.dues.exists()
    assert said.getvalue() == f"Ran {Job.objects.count()} jobs.\n"
