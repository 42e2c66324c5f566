"""The whole server by its one command: up, refused twice, mended after kills, gone without a trace.

start ──▶ broker ──▶ tables ──▶ worker ──▶ web ──▶ clock
"""

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request

import psutil
import pytest

pytestmark = pytest.mark.slow
READY = "The server runs until"


class Server:
    """One `start`, run apart from this process, with a folder of its own."""

    def __init__(self, root, var, *words, **settings) -> None:
        hidden = ("DRAIN_", "BROKER_URL", "DATABASE_URL", "SECRET_KEY", "COV_")
        kept = {k: v for k, v in os.environ.items() if not k.startswith(hidden)}
        ours = {"DJANGO_SETTINGS_MODULE": "drainservice.settings", "DRAIN_VAR": str(var)}
        self.var = var
        self.said = ""
        self.seen: list[psutil.Process] = []
        self.process = subprocess.Popen(
            [sys.executable, "-m", "django", "start", *words],
            cwd=root,
            env={**kept, **ours, "DRAIN_TICK_SECONDS": "1", **settings},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )

    def wait_ready(self) -> "Server":
        for line in self.process.stdout:
            self.said += line
            if READY in line:
                self.seen += self.children()
                return self
        self.process.wait()
        raise AssertionError(f"It ended with {self.process.returncode}:\n{self.said}{self.logs()}")

    @property
    def address(self) -> str:
        return re.search(r"Ready after \d+ s at (\S+)", self.said).group(1)

    def children(self) -> list[psutil.Process]:
        return psutil.Process(self.process.pid).children(recursive=True)

    def living(self) -> set[int]:
        own = psutil.Process(self.process.pid).children()
        return {child.pid for child in own if child.status() != psutil.STATUS_ZOMBIE}

    def child(self, words: str) -> psutil.Process:
        """The direct child whose command line holds these words."""
        own = psutil.Process(self.process.pid).children()
        return next(child for child in own if words in " ".join(child.cmdline()))

    def logs(self) -> str:
        return "\n".join(f"{log}:\n{log.read_text()}" for log in self.var.glob("logs/*.log"))

    def livez(self) -> int:
        with urllib.request.urlopen(self.address + "/livez", timeout=10) as answer:
            return answer.status

    def end(self, number=signal.SIGINT) -> int:
        self.seen += self.children()
        self.process.send_signal(number)
        rest, _ = self.process.communicate(timeout=90)
        self.said += rest
        return self.process.returncode


@pytest.fixture
def start(root, tmp_path):
    servers = []

    def start_server(*words, **settings):
        servers.append(Server(root, tmp_path / "var", *words, **settings))
        return servers[-1]

    yield start_server
    for server in servers:
        if server.process.poll() is None:
            server.end(signal.SIGTERM)


def free_port() -> int:
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        return line.getsockname()[1]


def wait_for(claim, *, within_s=30):
    end_s = time.monotonic() + within_s
    while not claim():
        assert time.monotonic() < end_s
        time.sleep(0.1)


def assert_gone(processes):
    wait_for(lambda: not [p for p in processes if p.is_running() and p.status() != "zombie"])


def is_served(server) -> bool:
    try:
        return server.livez() == 200
    except OSError:
        return False


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_serves_until_asked_to_end_and_leaves_no_process_and_no_socket(start, number):
    server = start("--empty", "--listen", f"127.0.0.1:{free_port()}").wait_ready()
    status = server.livez()
    code = server.end(number)

    assert status == 200
    assert code == 0
    assert "Ended. Everything is kept" in server.said
    assert len(server.seen) >= 8  # broker, worker and its two, long worker and its one, web, clock
    assert_gone(server.seen)
    assert [path for path in server.var.rglob("*") if path.is_socket()] == []


def test_second_start_is_refused_in_words_and_disturbs_nothing(start):
    first = start("--empty", "--listen", f"127.0.0.1:{free_port()}").wait_ready()
    second = start("--empty")
    said, _ = second.process.communicate(timeout=60)

    assert second.process.returncode == 1
    assert f"already runs from {first.var} at {first.address}" in said
    assert "Traceback" not in said
    assert first.livez() == 200


def test_each_killed_process_comes_back(start):
    server = start("--empty", "--listen", f"127.0.0.1:{free_port()}").wait_ready()
    words = ("valkey-server", "--queues celery", "--queues long", "gunicorn", "beat")
    killed = [server.child(w) for w in words]
    for process in killed:
        process.kill()
    old = {process.pid for process in killed}
    wait_for(lambda: len(server.living() - old) == 5)

    wait_for(lambda: is_served(server))
    assert server.end() == 0
    assert server.said.count("ended by itself; starting it again") == 5


def test_killed_supervisor_takes_all_along_and_the_next_start_is_clean(start):
    listen = ("--empty", "--listen", f"127.0.0.1:{free_port()}")
    killed = start(*listen).wait_ready()
    killed.process.kill()
    killed.process.communicate()
    after = start(*listen).wait_ready()

    assert_gone(killed.seen)
    assert after.livez() == 200
    assert after.end() == 0


def test_taken_port_is_named_when_it_was_asked_for(start):
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        line.listen()
        refused = start("--empty", "--listen", "127.0.0.1:%d" % line.getsockname()[1])  # noqa: UP031
        said, _ = refused.process.communicate(timeout=60)

    assert refused.process.returncode == 1
    assert "is taken by another program" in said
    assert "Traceback" not in said


def test_serves_from_postgresql_as_well(start, postgresql_url):
    server = start(
        *("--empty", "--listen", f"127.0.0.1:{free_port()}"), DATABASE_URL=postgresql_url
    ).wait_ready()
    status = server.livez()

    assert status == 200
    assert server.end() == 0


def test_database_that_does_not_answer_is_one_sentence(start, tmp_path):
    refused = start(DATABASE_URL=f"postgresql://drain@/drain?host={tmp_path}")
    said, _ = refused.process.communicate(timeout=60)

    assert refused.process.returncode == 1
    assert "The database cannot be used" in said
    assert "Traceback" not in said


def test_broker_that_does_not_answer_is_one_sentence(start, tmp_path):
    listen = ("--empty", "--listen", f"127.0.0.1:{free_port()}")
    refused = start(*listen, BROKER_URL=f"redis+socket://{tmp_path}/nobody.sock")
    said, _ = refused.process.communicate(timeout=90)

    assert refused.process.returncode == 1
    assert "The broker takes no message" in said
    assert "Traceback" not in said


def test_bare_copy_runs_from_the_one_command_of_the_readme(root, tmp_path):
    """Environment, tables, demo, pages: what a newcomer sees, with nothing prepared."""
    copy = tmp_path / "a copy"
    files = subprocess.run(
        ["git", "-c", "safe.directory=*", "ls-files", "-z"],
        cwd=root,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split("\0")
    for name in filter(None, files):
        (copy / name).parent.mkdir(parents=True, exist_ok=True)
        (copy / name).write_bytes((root / name).read_bytes())
    outside = os.path.realpath(getattr(sys, "_base_executable", None) or sys.executable)
    hidden = ("DRAIN_", "BROKER_URL", "DATABASE_URL", "DJANGO_", "COV_", "VIRTUAL_ENV")
    kept = {k: v for k, v in os.environ.items() if not k.startswith(hidden)}
    process = subprocess.Popen(
        [outside, "manage.py", "start"],
        cwd=copy,
        env=kept,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    said = ""
    try:
        for line in process.stdout:
            said += line
            if READY in line:
                break
        assert READY in said, said
        link = re.findall(r"http://127\.0\.0\.1:\d+/\S+", said)[-1]
        with urllib.request.urlopen(link, timeout=10) as page:
            assert page.status == 200
    finally:
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=90)
    assert process.returncode == 0
