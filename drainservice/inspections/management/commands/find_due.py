"""Count every system's due dates now, and flag what is past."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from drainservice.accounts import asker as askers
from drainservice.inspections import actions


class Command(BaseCommand):
    """`find_due`: the same counting that the night does by itself."""

    help = __doc__ or ""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """One switch."""
        parser.add_argument(
            "--force", action="store_true", help="count anew even where nothing changed"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Count and say what came of it."""
        asker = askers.command(timezone.now(), door="find_due")
        found = actions.find_due(asker=asker, force=options["force"])
        self.stdout.write(
            f"Looked at {found.systems} systems, counted {found.counted} anew, {found.changed} "
            f"dates changed. {found.past_pump_tests} pump tests are past their date and "
            f"{found.clogged_pits} pits clog."
        )
