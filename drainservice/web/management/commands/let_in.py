"""Prints an address that lets somebody in once; on an empty database, its first person."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from drainservice.accounts.asker import CannotBeDone
from drainservice.web.anyone import first_person


class Command(BaseCommand):
    """`python3 manage.py let_in dispatcher`."""

    help = "Print an address that lets somebody in once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Whom."""
        parser.add_argument(
            "who",
            nargs="?",
            default="",
            help="a person's name in addresses, or owner, dispatcher, technician, everyone",
        )

    def handle(self, *, who: str, **_: Any) -> None:
        """One call, one sentence."""
        try:
            words = first_person.let_in(who, at=timezone.now())
        except CannotBeDone as reason:
            raise CommandError(str(reason)) from None
        self.stdout.write(words)
