"""Starts the server and all it needs, keeps it running, ends it politely."""

import math
import os
import signal
import time
from argparse import ArgumentParser
from io import StringIO
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from drainservice.accounts import queries as account_queries
from drainservice.broker import socket_path
from drainservice.web.supervisor import address, broker, database, lock, plan, static_files
from drainservice.web.supervisor.processes import FellAtOnce, Keeper
from drainservice.web.supervisor.watch import Watch
from jobs import queries as jobs_queries
from jobs.celery import app as celery

FAILURES = (
    address.NoAddress,
    address.PortTaken,
    broker.NoBroker,
    database.NotCopied,
    lock.AlreadyRunning,
    FellAtOnce,
    OSError,
)
GLANCE_S = 0.2
POKE_EVERY_S = 5.0
READY_WITHIN_S = 90.0


class CannotStart(CommandError):
    """The server cannot start; the message says why and what to do."""


class Command(BaseCommand):
    """`python3 manage.py start`."""

    help = "Start the server and everything it needs, and print where to go."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to listen, and what a new database holds."""
        parser.add_argument("--listen", metavar="HOST:PORT", help="default: 127.0.0.1:8765")
        parser.add_argument(
            "--empty", action="store_true", help="begin a new database without the demo"
        )

    def handle(self, *, listen: str | None, empty: bool, **_: Any) -> None:
        """Start, keep, end; each failure is one sentence."""
        self.keeper = Keeper(self.say)
        self.is_ending = False
        os.umask(0o077)  # what is written is for this user only
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self.asked_to_end)
        try:
            with lock.only_server(settings.VAR / "start.lock") as held:
                self.run(held, listen=listen, empty=empty)
        except DatabaseError as reason:
            raise CannotStart(f"The database cannot be used: {str(reason).strip()}") from None
        except FAILURES as reason:
            raise CannotStart(str(reason)) from None

    def run(self, held: Any, *, listen: str | None, empty: bool) -> None:
        """Bring everything up in order, then watch it until somebody asks to end."""
        began_s = time.monotonic()
        was_killed = bool(held.read())
        self.say("Starting the server: some seconds; on the first run about a minute.")
        try:
            host, port = self.choose_address(listen, after_kill=was_killed)
            lock.write(held, settings.PUBLIC_URL)
            self.bring_up(host, port, empty=empty)
            self.say(f"Ready after {time.monotonic() - began_s:.0f} s at {settings.PUBLIC_URL}")
            self.let_in()
            self.say("The server runs until you press Ctrl-C here.")
            while True:
                time.sleep(GLANCE_S)
                self.keeper.look()
                self.watch.look()
        except KeyboardInterrupt:
            self.say("Ending: what is under way is finished first.")
        finally:
            self.is_ending = True
            self.keeper.end()
        self.say("Ended. Everything is kept; start it again any time.")

    def choose_address(self, listen: str | None, *, after_kill: bool) -> tuple[str, int]:
        """Where to listen: as told, or the first free port if nobody was told another."""
        is_told = bool(listen or os.environ.get("DRAIN_PUBLIC_URL"))
        own = settings.PUBLIC_URL.partition("://")[2] if settings.IS_LOOPBACK else ""
        host, port = address.split(listen or (own if ":" in own else "127.0.0.1:8765"))
        host = "127.0.0.1" if host == "localhost" else host
        if not os.environ.get("DRAIN_PUBLIC_URL") and not address.is_loopback(host):
            raise address.NoAddress(
                f"{host} can be reached by other machines. Set DRAIN_PUBLIC_URL to the address "
                "that people will type, such as https://drains.example.com, and run it again."
            )
        if after_kill:
            address.wait_until_free(host, port, within_s=10)
        if is_told and not address.is_free(host, port):
            raise address.PortTaken(
                f"Port {port} on {host} is taken by another program. End that one, or choose "
                f"another port: python3 manage.py start --listen {host}:{port + 1}"
            )
        if not is_told and (free := address.next_free(host, port)) != port:
            self.say(f"Port {port} is taken by another program, so this server uses {free}.")
            port = free
        if not os.environ.get("DRAIN_PUBLIC_URL"):
            # Links must lead here, those made by this process and those by its children.
            settings.PUBLIC_URL = os.environ["DRAIN_PUBLIC_URL"] = f"http://127.0.0.1:{port}"
        return host, port

    def bring_up(self, host: str, port: int, *, empty: bool) -> None:
        """Broker, tables, pages' files, demo, workers, web, clock: each stands on those before."""
        os.environ["DJANGO_SETTINGS_MODULE"] = "drainservice.settings"
        os.chdir(settings.BASE_DIR)
        logs = settings.VAR / "logs"
        logs.mkdir(parents=True, exist_ok=True)
        if not os.environ.get("BROKER_URL"):
            socket = socket_path(settings.VAR)
            broker.clear_way(socket)
            self.keeper.start(plan.broker(logs, broker.find_program(), socket))
            broker.wait_for_pong(socket)
        database.bring_up_to_date(backups=settings.VAR / "backups", at=timezone.now(), say=self.say)
        static_files.collect_if_changed(Path(settings.STATIC_ROOT))
        if not empty:
            self.load_demo()
        connection.close()
        conf = settings.BASE_DIR / "deploy" / "gunicorn.conf.py"
        processes = 1 if connection.vendor == "sqlite" else 2
        worker = plan.worker(logs)
        self.watch = Watch(worker, known_tick_age_s, self.say)
        self.keeper.start(worker)
        self.keeper.start(plan.long_worker(logs))
        self.keeper.start(plan.web(logs, conf, host=host, port=port, processes=processes))
        if not address.wait_for_answer(
            host, port, within_s=READY_WITHIN_S, expect=self.keeper.expect_all
        ):
            raise FellAtOnce(f"The web server does not answer. What it wrote: {logs / 'web.log'}")
        self.wait_for_worker(logs)
        self.keeper.start(plan.beat(logs))

    def wait_for_worker(self, logs: Path) -> None:
        """Poke the queue until a worker has looked into it: then the parts work together."""
        began_s, poked_s, before_s = time.monotonic(), -math.inf, tick_age_s()
        while time.monotonic() - began_s < READY_WITHIN_S:
            self.keeper.expect_all()
            if time.monotonic() - poked_s > POKE_EVERY_S:
                poke()
                poked_s = time.monotonic()
            age_s = tick_age_s()
            if age_s is not None and (before_s is None or age_s < before_s):
                return
            time.sleep(GLANCE_S)
        raise FellAtOnce(f"The worker takes up nothing. What it wrote: {logs / 'worker.log'}")

    def load_demo(self) -> None:
        """An empty database on one's own machine shows an invented firm."""
        if account_queries.firm() is None and (settings.IS_LOOPBACK or settings.DEMO_IN_PUBLIC):
            self.say("The database is new: loading an invented firm, most of a minute.")
            call_command("load_demo", stdout=self.stdout)

    def let_in(self) -> None:
        """Print the address that lets the newcomer in."""
        words = StringIO()
        call_command("let_in", "everyone", stdout=words)
        self.say(words.getvalue().strip())

    def asked_to_end(self, *_: object) -> None:
        """Ctrl-C or SIGTERM: end in order; asked again while ending, hurry."""
        if not self.is_ending:
            self.is_ending = True
            raise KeyboardInterrupt
        self.keeper.is_hurried = True

    def say(self, sentence: str) -> None:
        """One sentence, at once."""
        self.stdout.write(sentence)
        self.stdout.flush()


def poke() -> None:
    """Ask a worker to look into the queue. Errors: NoBroker."""
    try:
        celery.send_task("jobs.tasks.run_due", expires=READY_WITHIN_S)
    except Exception as reason:  # each transport raises errors of its own
        raise broker.NoBroker(
            f"The broker takes no message ({reason}). If you set BROKER_URL, mend it or "
            "leave it out."
        ) from None


def tick_age_s() -> float | None:
    """How long ago a worker last heard the clock, None before it ever did."""
    try:
        return jobs_queries.tick_age_s(at=timezone.now())
    finally:
        connection.close()


def known_tick_age_s() -> float | None:
    """The same while running: a database that is away for a while is no fault of the worker."""
    try:
        return tick_age_s()
    except DatabaseError:
        return 0.0
