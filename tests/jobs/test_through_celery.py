"""The whole way: the broker's wake-up, a real Celery worker, a real mail server."""

import os
import signal
import subprocess
import sys
import time

import pytest

from tests.services import POSTGRESQL

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


@pytest.fixture
def celery_worker(station, mail_server, broker_url, root, tmp_path):
    """A worker as `start` starts it, on a database of its own; answers the database's name."""
    name = station.fresh()
    is_postgresql = os.environ.get("DRAIN_TEST_DATABASE") == POSTGRESQL
    env = {
        **os.environ,
        "BROKER_URL": broker_url,
        "DRAIN_VAR": str(tmp_path),
        "DRAIN_MAIL_URL": mail_server.url,
        "DJANGO_SETTINGS_MODULE": "drainservice.settings",
        "DATABASE_URL": station.postgresql.replace("/drain?", f"/{name}?"),
    }
    if not is_postgresql:
        os.rename(name, tmp_path / "drainservice.sqlite3")
        name = str(tmp_path / "drainservice.sqlite3")
    words = ["worker", "--concurrency", "1", "--without-mingle", "--without-gossip"]
    with (tmp_path / "worker.log").open("wb") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "jobs", *words, "--loglevel", "INFO"],
            cwd=root,
            env=env,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
        yield name
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def wait_for(number, mail_server, within_s=60):
    until_s = time.monotonic() + within_s
    while time.monotonic() < until_s:
        if len(mail_server.taken()) >= number:
            return mail_server.taken()
        time.sleep(0.1)
    return mail_server.taken()


@pytest.mark.parametrize("task", ["run_due", "send_invitations"])
def test_a_task_without_content_sends_what_waits_in_the_database(
    task, celery_worker, mail_server, broker_url, station
):
    from celery import Celery

    from tests.jobs.station import HOUSEHOLDS

    if task == "send_invitations":
        # The offers' messages wait already; the task sends what waits.
        station.run(celery_worker, only_facts=True)
    clock = Celery("clock", broker=broker_url, set_as_current=False)

    clock.send_task(f"jobs.tasks.{task}")
    taken = wait_for(HOUSEHOLDS, mail_server)

    assert sorted(mail["to"][0] for mail in taken) == [
        f"person{number}@example.com" for number in range(HOUSEHOLDS)
    ]
    # A second tick finds nothing more to do.
    clock.send_task(f"jobs.tasks.{task}")
    time.sleep(1)
    assert len(mail_server.taken()) == HOUSEHOLDS
