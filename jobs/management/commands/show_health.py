"""Says in sentences whether the queue is well, and by its exit code to those who watch."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.db import DatabaseError

from jobs import queries
from jobs.clocks import clock


class Command(BaseCommand):
    """`python3 manage.py show_health`."""

    help = "Say whether the queue is well; the exit code is 1 where it is not."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """How old the oldest due job, and the last look at the queue, may be."""
        parser.add_argument("--max-age", type=int, default=900, metavar="SECONDS")

    def handle(self, *, max_age: int, **_: Any) -> None:
        """One sentence each."""
        try:
            health = queries.health(at=clock(), max_age_s=max_age)
        except DatabaseError as reason:
            self.stderr.write(f"The database does not answer: {str(reason).strip()}")
            sys.exit(1)
        for sentence in [*health["amiss"], *health["warnings"]]:
            self.stdout.write(sentence)
        if health["amiss"]:
            sys.exit(1)
        self.stdout.write(
            f"The queue is well: the oldest due job waits {health['oldest_due_age_s']:.0f} s."
        )
