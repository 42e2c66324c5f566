"""Read a customer list or service log and bring its good rows into the register."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.db import OperationalError, ProgrammingError
from django.utils import timezone

from drainservice.accounts import asker as askers
from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.text import TextRefused
from drainservice.exchange import actions, queries
from drainservice.exchange.grid import MOST_BYTES, SheetRefused
from drainservice.exchange.models import Sheet


class Command(BaseCommand):
    """`bring_in FILE`: the same answer as the page. Ends with 0, or 1 where the file is refused."""

    help = __doc__ or ""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The file, and two switches."""
        parser.add_argument("file", metavar="FILE", help="a list as CSV or XLSX")
        parser.add_argument("--dry-run", action="store_true", help="only say what would be done")
        parser.add_argument("--report", metavar="FILE.json", help="write the whole answer there")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, bring in, and say what came of it."""
        path = Path(options["file"])
        try:
            content = _load(path)
            asker = askers.command(timezone.now(), door="bring_in")
            sheet = actions.bring_in(content, name=path.name, asker=asker, dry=options["dry_run"])
            if options["report"]:
                _write_report(Path(options["report"]), sheet)
        except (SheetRefused, TextRefused, CannotBeDone, _NotUsable) as refused:
            self.stderr.write(str(refused))
            raise SystemExit(1) from refused
        except (OperationalError, ProgrammingError) as fault:
            self.stderr.write(
                f"The database cannot be used now ({fault}); nothing was brought in. Run "
                "`python manage.py migrate`, or wait until another long sheet is in, and try again."
            )
            raise SystemExit(1) from fault
        self.stdout.write(_say(sheet))


class _NotUsable(Exception):
    """A file that cannot be opened or written; the text says what to do."""


def _load(path: Path) -> bytes:
    if not path.exists():
        raise _NotUsable(f"There is no file {path}. Check its name and folder.")
    if not path.is_file():
        raise _NotUsable(f"{path} is not a file. Name one list, as CSV or XLSX.")
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as fault:
        raise _NotUsable(
            f"{path} cannot be read ({fault.strerror}). Check that you may read it."
        ) from fault


def _write_report(path: Path, sheet: Sheet) -> None:
    told = json.dumps(queries.report_of(sheet), indent=1, ensure_ascii=False)
    try:
        path.write_text(told, encoding="utf-8")
    except OSError as fault:
        done = "Nothing was brought in" if sheet.is_dry else "The good rows were brought in"
        raise _NotUsable(
            f"The report cannot be written to {path} ({fault.strerror}). {done}; name another file."
        ) from fault


def _say(sheet: Sheet) -> str:
    counts = sheet.report["counts"]
    done = "would be brought in" if sheet.is_dry else "were brought in"
    return (
        f"{sheet.name}: {counts['good']} good rows {done}, {counts['duplicate']} were known "
        f"already, {counts['refused']} were refused whole, and {counts['question']} need a person."
    )
