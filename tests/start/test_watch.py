"""A worker that lives but hears no clock is started anew, ever less often."""

import sys
import time

import pytest

from drainservice.web.supervisor.processes import Keeper, Service
from drainservice.web.supervisor.watch import FIRST_PATIENCE_S, Watch


@pytest.fixture
def worker(tmp_path):
    command = [sys.executable, "-c", "import time; time.sleep(60)"]
    worker = Service("worker", command, tmp_path / "worker.log", 1)
    worker.start()
    yield worker
    worker.end(grace_s=1)


def watch(worker, age_s):
    return Watch(worker, lambda: age_s, lambda _: None)


def has_lived(worker, seconds):
    worker.started_s = time.monotonic() - seconds


@pytest.mark.parametrize("age_s", [None, 1000.0])
def test_deaf_worker_is_ended_so_that_the_keeper_starts_it_again(worker, age_s):
    has_lived(worker, FIRST_PATIENCE_S + 1)
    first = worker.process.pid
    watch(worker, age_s).look()
    is_ended = worker.process is None
    keeper = Keeper(lambda _: None)
    keeper.services.append(worker)
    keeper.look()

    assert is_ended
    assert worker.is_running()
    assert worker.process.pid != first


def test_worker_that_hears_the_clock_is_left_alone(worker):
    has_lived(worker, FIRST_PATIENCE_S + 1)
    watch(worker, 5.0).look()

    assert worker.is_running()


def test_young_worker_is_given_time(worker):
    has_lived(worker, FIRST_PATIENCE_S - 5)
    watch(worker, None).look()

    assert worker.is_running()


def test_patience_doubles_while_it_does_not_help(worker):
    has_lived(worker, FIRST_PATIENCE_S + 1)
    seen = watch(worker, None)
    seen.look()

    assert seen.patience_s == 2 * FIRST_PATIENCE_S
