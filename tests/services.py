"""The real servers the tests stand on, each private to this run: PostgreSQL and a broker.

Loaded by `-p tests.services` before the settings are read. Nothing is started that no test asks
for; what is asked for and cannot be started fails the test, in words.
"""

import atexit
import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from tests.postgresql import (
    FAST,
    CannotServe,
    find_postgresql,
    identity,
    postgresql_user,
    run_as,
    usable_by,
)

POSTGRESQL = "postgresql"
DATABASE_FIXTURES = {"db", "transactional_db", "live_server", "django_db_setup"}
PAGE_FIXTURES = {"client", "rf"}
# What a person tells the tests themselves; all other settings of the machine are put aside.
KEPT = {"DRAIN_TEST_DATABASE", "DRAIN_TESTS_WITHOUT"}


class Services:
    """A private folder, and the servers started in it."""

    def __init__(self) -> None:
        where = tempfile.gettempdir()
        self.folder = Path(
            tempfile.mkdtemp(prefix="drain-tests-", dir=where if len(where) < 40 else "/tmp")
        )
        self.folder.chmod(0o711)  # PostgreSQL's user passes through
        self.running: list[subprocess.Popen] = []
        self.postgresql_url = ""
        self.has_broker = False

    @property
    def broker_socket(self) -> Path:
        return self.folder / "var" / "broker.sock"

    @property
    def postgresql_folder(self) -> Path:
        return self.folder / "pg"

    def address_of(self, database: str) -> str:
        return f"postgresql://drain@/{database}?host={self.postgresql_folder}"

    def start_broker(self) -> None:
        """A Redis-protocol server on a socket; the programs on the PATH first, else the wheel's."""
        from drainservice.web.supervisor.broker import (
            NoBroker,
            command_of,
            find_program,
            wait_for_pong,
        )

        if self.has_broker:
            return
        try:
            program = (
                shutil.which("valkey-server") or shutil.which("redis-server") or find_program()
            )
            self.start(command_of(program, self.broker_socket), log="broker.log")
            wait_for_pong(self.broker_socket)
        except NoBroker as reason:
            raise CannotServe(str(reason)) from None
        self.has_broker = True

    def start_postgresql(self) -> str:
        """A PostgreSQL cluster made for this run; answers the address of its own database."""
        if self.postgresql_url:
            return self.postgresql_url
        user = postgresql_user()
        programs = usable_by(user, find_postgresql(), self.folder)
        data = self.postgresql_folder
        data.mkdir(mode=0o700)
        if user is not None:
            shutil.chown(data, user)
        run_as(
            user,
            programs / "initdb",
            *("-D", str(data / "data"), "-U", "drain", "-A", "trust", "-N"),
            *("--encoding=UTF8", "--locale=C.UTF-8" if sys.platform == "linux" else "--no-locale"),
        )
        fast = {**FAST, "unix_socket_directories": str(data)}
        words = [part for name, value in fast.items() for part in ("-c", f"{name}={value}")]
        self.start(
            [str(programs / "postgres"), "-D", str(data / "data"), *words],
            log="postgresql.log",
            user=user,
            end_by=signal.SIGINT,
        )
        self.wait_for_postgresql()
        self.postgresql_url = self.address_of("drain")
        return self.postgresql_url

    def wait_for_postgresql(self) -> None:
        import psycopg

        for _ in range(600):
            with contextlib.suppress(psycopg.OperationalError):
                with psycopg.connect(self.address_of("postgres"), autocommit=True) as line:
                    line.execute("CREATE DATABASE drain")
                return
            time.sleep(0.05)
        words = (self.folder / "postgresql.log").read_text()[-2000:]
        raise CannotServe(f"PostgreSQL did not answer within 30 s. It wrote:\n{words}")

    def start(self, command, *, log, user=None, end_by=signal.SIGTERM) -> None:
        from drainservice.web.supervisor.processes import die_with_parent

        with (self.folder / log).open("wb") as words:
            process = subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=words,
                stderr=words,
                cwd="/",
                start_new_session=True,
                preexec_fn=die_with_parent(),
                **identity(user),
            )
        process.end_by = end_by
        self.running.append(process)

    def end(self) -> None:
        """End all and leave nothing; safe to call twice."""
        for process in reversed(self.running):
            process.send_signal(process.end_by)
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                with contextlib.suppress(ProcessLookupError):
                    os.killpg(process.pid, signal.SIGKILL)
                process.wait()
        self.running.clear()
        shutil.rmtree(self.folder, ignore_errors=True)


def set_environment(services: Services) -> None:
    """What the settings read: private folders, and which database this run is about."""
    for name in [n for n in os.environ if n.startswith("DRAIN_") and n not in KEPT]:
        del os.environ[name]
    for name in ("SECRET_KEY", "DATABASE_URL"):
        os.environ.pop(name, None)
    var = services.folder / "var"
    (var / "static").mkdir(parents=True)
    os.environ["DRAIN_VAR"] = str(var)
    os.environ["BROKER_URL"] = f"redis+socket://{services.broker_socket}"
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # the browser's driver runs a loop
    if os.environ.get("DRAIN_TEST_DATABASE") == POSTGRESQL:
        os.environ["DATABASE_URL"] = services.address_of("drain")


SERVICES = Services()
atexit.register(SERVICES.end)
set_environment(SERVICES)


def pytest_report_header() -> str:
    return f"database: {os.environ.get('DRAIN_TEST_DATABASE') or 'sqlite'}"


def pytest_collection_modifyitems(config, items) -> None:
    """On PostgreSQL, run the tests that touch the database; the others already ran."""
    if os.environ.get("DRAIN_TEST_DATABASE") == POSTGRESQL:
        others = [item for item in items if not touches_database(item)]
        config.hook.pytest_deselected(items=others)
        items[:] = [item for item in items if touches_database(item)]


def touches_database(item) -> bool:
    is_marked = item.get_closest_marker("django_db") is not None
    return is_marked or bool(DATABASE_FIXTURES & set(item.fixturenames))


def pytest_runtest_setup(item) -> None:
    """Pages need their style sheets collected once, as the server has them."""
    if touches_database(item) or PAGE_FIXTURES & set(item.fixturenames):
        collect_static_once()


def collect_static_once() -> None:
    from django.conf import settings

    from drainservice.web.supervisor.static_files import collect_if_changed

    if not (settings.STATIC_ROOT / "staticfiles.json").exists():
        collect_if_changed(settings.STATIC_ROOT)


def pytest_unconfigure() -> None:
    SERVICES.end()


@pytest.fixture(scope="session")
def postgresql_url() -> str:
    """The address of a real PostgreSQL, in any run."""
    return SERVICES.start_postgresql()


@pytest.fixture(scope="session")
def broker_url() -> str:
    """The address of a real broker; the settings point there already."""
    SERVICES.start_broker()
    return os.environ["BROKER_URL"]
