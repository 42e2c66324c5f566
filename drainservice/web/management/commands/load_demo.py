"""Loads an invented firm with three years of history into an empty database."""

from argparse import ArgumentParser
from datetime import date, datetime, time
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from drainservice.accounts import wall
from drainservice.accounts.asker import CannotBeDone
from drainservice.web.demo import loading
from drainservice.web.demo.cast import LEAST_SYSTEMS
from drainservice.web.demo.county import ZONE
from jobs import queue

MORNING = time(7, 30)


class Command(BaseCommand):
    """`python3 manage.py load_demo`."""

    help = "Load an invented firm, its systems, and three years of history into an empty database."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How many, drawn from which number, as of which day."""
        parser.add_argument("--seed", type=int, default=7, help="another number, other people")
        parser.add_argument("--systems", type=int, default=240)
        parser.add_argument("--small", action="store_true", help="only the homes with a story")
        parser.add_argument(
            "--today", type=date.fromisoformat, help="load as of 7:30 of this day: 2027-05-10"
        )

    def handle(self, *, seed: int, systems: int, small: bool, today: date | None, **_: Any) -> None:
        """One call, one sentence."""
        now = moment_of(today)
        try:
            # The broker may not run yet, and a newcomer need not read of that.
            with queue.without_waking():
                loaded = loading.load(
                    seed=seed,
                    systems=LEAST_SYSTEMS if small else systems,
                    today=wall.today_in(ZONE, now),
                    now=now,
                )
        except CannotBeDone as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write(
            f"Loaded an invented firm with {loaded.systems} systems at {loaded.sites} sites and "
            "three years of history. No mail leaves this machine; it is kept on the mailbox page."
        )


def moment_of(today: date | None) -> datetime:
    """Now, or the morning of the day told."""
    return timezone.now() if today is None else wall.instant(today, MORNING, ZONE)
