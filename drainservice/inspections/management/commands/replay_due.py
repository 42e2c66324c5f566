"""Count a stored due date once more from its stored inputs, and print both answers as JSON."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from drainservice.accounts import asker as askers
from drainservice.accounts.asker import NotFound
from drainservice.inspections import queries


class Command(BaseCommand):
    """`replay_due NUMBER`: the number stands at the end of the address of a date's sum."""

    help = __doc__ or ""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which date."""
        parser.add_argument("number", type=int, help="as in the address of its sum: /due/NUMBER")

    def handle(self, *args: Any, **options: Any) -> None:
        """JSON alone on standard output; what it means as a sentence beside it."""
        asker = askers.command(timezone.now(), door="replay_due")
        try:
            due = queries.due_for(asker, options["number"])
        except NotFound:
            raise CommandError(
                f"There is no due date {options['number']}; its number stands in the address of "
                "its sum, /due/NUMBER."
            ) from None
        again = queries.replay_due(due)
        told = {
            "due": due.pk,
            "system": due.system.code,
            "kind": due.kind,
            "model_version": due.reckoning.model_version,
            "then": again.then,
            "now": again.now,
            "is_equal": again.is_equal,
        }
        self.stdout.write(json.dumps(told, indent=2, sort_keys=True, ensure_ascii=False))
        self.stderr.write(again.words)
