"""The wake-up never slows a page by more than a moment, and never breaks one."""

import socket
import threading
import time

import pytest
from django.db import transaction

from jobs import queue, wake
from jobs.models import Job
from tests.makers import MONDAY


@pytest.fixture(autouse=True)
def awake(monkeypatch):
    """No rest from an earlier test."""
    monkeypatch.setattr(wake, "_resting_until_s", 0.0)


@pytest.fixture
def silent_port():
    """A port that takes connections and never says a word."""
    with socket.create_server(("127.0.0.1", 0), backlog=64) as server:
        yield server.getsockname()[1]


@pytest.fixture
def closed_port():
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    return port


@pytest.fixture
def use_broker(settings, monkeypatch):
    from celery import Celery

    def use(url):
        settings.BROKER_URL = url
        app = Celery("test", broker=url, set_as_current=False)
        monkeypatch.setattr("jobs.celery.app", app)
        return app

    return use


@pytest.mark.parametrize("kind", ["silent", "closed"])
def test_a_broker_that_is_away_costs_at_most_half_a_second(
    kind, silent_port, closed_port, use_broker, db, django_capture_on_commit_callbacks
):
    port = silent_port if kind == "silent" else closed_port
    use_broker(f"redis://127.0.0.1:{port}/0")

    began_s = time.monotonic()
    with django_capture_on_commit_callbacks(execute=True):
        queue.put("visit.moved", key="1", at=MONDAY)
    took_s = time.monotonic() - began_s

    assert took_s < 0.5
    assert Job.objects.count() == 1


def test_a_broker_that_is_away_is_left_alone_for_a_while(closed_port, use_broker):
    use_broker(f"redis://127.0.0.1:{closed_port}/0")
    wake.now()

    began_s = time.monotonic()
    wake.now()

    assert time.monotonic() - began_s < 0.01


@pytest.mark.django_db(transaction=True)
def test_many_notes_of_one_change_wake_once(monkeypatch):
    woken = []
    monkeypatch.setattr(wake, "now", lambda: woken.append(1))

    with transaction.atomic():
        for key in "123":
            queue.put("visit.moved", key=key, at=MONDAY)

    assert woken == [1]


@pytest.mark.django_db(transaction=True)
def test_a_change_that_is_rolled_back_wakes_nobody(monkeypatch):
    woken = []
    monkeypatch.setattr(wake, "now", lambda: woken.append(1))

    with transaction.atomic():
        queue.put("visit.moved", key="1", at=MONDAY)
        transaction.set_rollback(True)

    assert woken == []


def test_a_broker_that_answers_has_the_wake_up(broker_url, use_broker):
    app = use_broker(broker_url)

    with app.connection_for_write() as connection:
        connection.default_channel.client.delete("celery")
        wake.now()
        waiting = connection.default_channel.client.llen("celery")
        connection.default_channel.client.delete("celery")

    assert waiting == 1


def test_a_slow_first_load_of_the_way_to_the_broker_is_no_silence(use_broker, monkeypatch, caplog):
    """Loading takes half a second here: the page goes on, and the wake-up goes out unwarned."""
    sent = []
    app = use_broker("memory://")
    monkeypatch.setattr(wake, "_loaded", threading.Event())
    monkeypatch.setattr(app, "connection_for_write", lambda: time.sleep(0.5) or SlowToLoad())
    monkeypatch.setattr(app, "send_task", lambda *_, **__: sent.append(1))

    others = set(threading.enumerate())
    began_s = time.monotonic()
    wake.now()
    took_s = time.monotonic() - began_s
    [sender] = set(threading.enumerate()) - others
    sender.join(5)

    assert took_s < 0.45
    assert (sent, caplog.messages) == ([1], [])


class SlowToLoad:
    def get_transport_cls(self):
        return None


@pytest.mark.django_db(transaction=True)
def test_within_a_long_load_nobody_is_woken(use_broker, monkeypatch, caplog):
    monkeypatch.setattr(wake, "_send", lambda: pytest.fail("woken"))

    with queue.without_waking(), transaction.atomic():
        queue.put("visit.moved", key="1", at=MONDAY)

    assert Job.objects.count() == 1
    assert caplog.messages == []
