"""Ask a stored plan's question once more and print the plan as JSON."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from django.core.management.base import BaseCommand
from django.db import DatabaseError
from django.utils import timezone

from drainservice.accounts import asker as askers
from drainservice.accounts.asker import NotFound
from drainservice.visits import queries
from drainservice.visits.models import Plan
from drainservice.visits.queries.replay import CannotBeReplayed, replay_plan, replay_text

MOST_BYTES = 64 * 1024 * 1024
BAD_USE, CANNOT = 2, 1


class Command(BaseCommand):
    """`replay_plan 17` or `replay_plan inputs.json`. Ends with 0, with 2 where there is no such
    plan or file, with 1 where the question cannot be read or has no answer."""

    help = __doc__ or ""
    # A file is asked without any database.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Which question, and two ways to ask it otherwise."""
        parser.add_argument(
            "which", metavar="NUMBER or FILE.json", help="as in /plans/NUMBER, or plan inputs"
        )
        parser.add_argument("--seed", type=int, metavar="N", help="another seed than the stored")
        parser.add_argument(
            "--effort",
            default="",
            metavar="TURNS",
            help="about so many seconds, such as 30, or counts, such as rebuilds=500,looks=2000",
        )

    def handle(self, *, which: str, seed: int | None, effort: str, **_: Any) -> None:
        """JSON alone on standard output; what it means as a sentence beside it."""
        if seed is not None and not 0 <= seed < 2**31:
            self._end("A seed is a whole number from 0 to 2147483647.", BAD_USE)
        try:
            if which.isdecimal():
                again = replay_plan(self._plan(which), seed=seed, effort=effort)
                plain = again.answer.as_plain() | {"is_equal": again.is_equal}
                words = again.words
            else:
                told_seed = 1 if seed is None else seed
                answer = replay_text(self._text(which), seed=told_seed, effort=effort)
                plain, words = answer.as_plain(), "Planned from the file; nothing was stored."
        except CannotBeReplayed as why:
            self._end(str(why), CANNOT)
        self.stdout.write(json.dumps(plain, indent=1, sort_keys=True))
        self.stderr.write(words)

    def _plan(self, number: str) -> Plan:
        asker = askers.command(timezone.now(), door="replay_plan")
        try:
            return queries.plan_for(asker, int(number))
        except (NotFound, ValueError):
            self._end(
                f"There is no plan {number[:20]}; its number stands in the address of its page, "
                "/plans/NUMBER.",
                BAD_USE,
            )
        except DatabaseError as fault:
            self._end(
                f"The database cannot be used now ({str(fault).strip()}). Run "
                "`python manage.py migrate`, or give a file of plan inputs.",
                CANNOT,
            )

    def _text(self, name: str) -> str:
        path = Path(name)
        if not path.is_file():
            self._end(
                f"There is no file {name}. Give the number of a plan, or a file of plan inputs.",
                BAD_USE,
            )
        try:
            if path.stat().st_size > MOST_BYTES:
                self._end(f"{name} is larger than 64 MB, which no plan's inputs are.", BAD_USE)
            return path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            self._end(f"{name} is no text in UTF-8, so it holds no plan inputs.", CANNOT)
        except OSError as fault:
            self._end(f"{name} cannot be read ({fault.strerror}).", BAD_USE)

    def _end(self, words: str, status: int) -> NoReturn:
        self.stderr.write(words)
        raise SystemExit(status)
