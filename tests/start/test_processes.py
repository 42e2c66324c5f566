"""The keeper of the processes, with small children of our own."""

import os
import signal
import subprocess
import sys
import time

import psutil
import pytest

from drainservice.web.supervisor.processes import FIRST_WAIT_S, FellAtOnce, Keeper, Service

SLEEPS = "import time; time.sleep(60)"
STUBBORN = "import signal, time; signal.signal(15, signal.SIG_IGN); print(1, flush=True); " + SLEEPS
# A child with a child of its own, whose number it writes down.
WITH_CHILD = (
    "import subprocess, sys; c = subprocess.Popen([sys.executable, '-c', 'import time; "
    "time.sleep(60)']); print(c.pid, flush=True); c.wait()"
)


@pytest.fixture
def keeper():
    said = []
    keeper = Keeper(said.append)
    keeper.said = said
    yield keeper
    keeper.is_hurried = True
    keeper.end()


@pytest.fixture
def make(tmp_path):
    def make_service(code, *, name="child", grace_s=5):
        return Service(name, [sys.executable, "-c", code], tmp_path / f"{name}.log", grace_s)

    return make_service


def wait_for(claim, *, within_s=20):
    end_s = time.monotonic() + within_s
    while not claim():
        assert time.monotonic() < end_s
        time.sleep(0.02)


def test_fallen_process_is_started_again_after_a_wait(keeper, make):
    service = make(SLEEPS)
    keeper.start(service)
    first = service.process.pid
    os.kill(first, signal.SIGKILL)
    wait_for(lambda: not service.is_running())
    keeper.look()
    is_waiting = service.process is None
    wait_for(lambda: (keeper.look(), service.is_running())[1])

    assert is_waiting
    assert service.process.pid != first
    assert "The child ended by itself; starting it again in 0.5 s" in keeper.said[0]


def test_process_that_keeps_falling_is_started_ever_less_often(keeper, make):
    service = make("raise SystemExit(3)")
    keeper.start(service)
    wait_for(lambda: (keeper.look(), len(keeper.said) == 2)[1])

    # 0.5 s before the first new start, 1 s before the second, 2 s before the third.
    assert service.wait_s == 4 * FIRST_WAIT_S


def test_process_that_falls_while_starting_is_told_with_its_last_words(keeper, make):
    service = make("print('no such table'); raise SystemExit(3)", name="web server")
    keeper.start(service)
    wait_for(lambda: not service.is_running())

    with pytest.raises(FellAtOnce, match=r"(?s)web server could not start.*no such table"):
        keeper.expect_all()


def test_children_of_a_killed_process_are_taken_away(keeper, make, tmp_path):
    service = make(WITH_CHILD)
    keeper.start(service)
    log = tmp_path / "child.log"
    wait_for(lambda: log.exists() and log.read_text().strip())
    grandchild = psutil.Process(int(log.read_text()))
    os.kill(service.process.pid, signal.SIGKILL)
    wait_for(lambda: not service.is_running())
    keeper.look()

    wait_for(lambda: not grandchild.is_running() or grandchild.status() == psutil.STATUS_ZOMBIE)


def test_deaf_process_is_killed_when_its_grace_is_over(keeper, make, tmp_path):
    service = make(STUBBORN, grace_s=0.3)
    keeper.start(service)
    process = service.process
    wait_for(lambda: (tmp_path / "child.log").read_text())
    keeper.end()

    assert process.returncode == -signal.SIGKILL


def test_last_started_ends_first(keeper, make):
    order = []
    for name in ("broker", "web"):
        service = make(SLEEPS, name=name)
        service.end = lambda name=name, **_: order.append(name)
        keeper.services.append(service)
    keeper.end()
    keeper.services.clear()

    assert order == ["web", "broker"]


@pytest.mark.skipif(sys.platform != "linux", reason="the kernel of macOS has no such signal")
def test_child_ends_when_its_parent_is_killed(tmp_path):
    code = f"""
import sys, time
from pathlib import Path
from drainservice.web.supervisor.processes import Service
service = Service("child", [sys.executable, "-c", {SLEEPS!r}], Path({str(tmp_path / "log")!r}), 5)
service.start()
print(service.process.pid, flush=True)
time.sleep(60)
"""
    parent = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
    child = psutil.Process(int(parent.stdout.readline()))
    parent.kill()
    parent.communicate()

    wait_for(lambda: not child.is_running() or child.status() == psutil.STATUS_ZOMBIE)
