"""Runs the queue without Celery or Redis, with the same guarantees."""

import signal
import time
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.db import OperationalError, close_old_connections

from jobs import reactions


class Command(BaseCommand):
    """`python3 manage.py run_jobs`."""

    help = "Run every job that is due, again and again, without Celery or Redis."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Once or for ever."""
        parser.add_argument("--once", action="store_true", help="run what is due and end")

    def handle(self, *, once: bool, **_: Any) -> None:
        """Look, run, rest; a signal ends it after the job under way."""
        self.is_ending = False
        if once:
            self.stdout.write(f"Ran {self.run_until_idle()} jobs.")
            return
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, self.asked_to_end)
        self.stdout.write("Running the queue until you press Ctrl-C here.")
        while not self.is_ending:
            self.look()
            self.rest()
        self.stdout.write("Ended after the job under way; the rest waits in the database.")

    def look(self) -> None:
        """One round; a database that is away for a while ends nothing."""
        close_old_connections()
        try:
            self.run_until_idle()
        except OperationalError as reason:
            self.stderr.write(f"The database does not answer ({str(reason).strip()}); waiting.")

    def run_until_idle(self) -> int:
        """Turn after turn, until one finds nothing to do."""
        ran = 0
        while not self.is_ending:
            done = reactions.run_due(should_stop=self.should_stop)
            done += reactions.run_due(long=True, should_stop=self.should_stop)
            if not done:
                break
            ran += done
        return ran

    def rest(self) -> None:
        """Wait for the next tick, in small steps."""
        wakes_s = time.monotonic() + settings.TICK_SECONDS
        while not self.is_ending and time.monotonic() < wakes_s:
            time.sleep(0.1)

    def should_stop(self) -> bool:
        """Asked between jobs."""
        return self.is_ending

    def asked_to_end(self, *_: object) -> None:
        """Ctrl-C or SIGTERM."""
        self.is_ending = True
