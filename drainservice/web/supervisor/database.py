"""Brings the database up to date, after a copy of it has been put aside."""

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


class NotCopied(RuntimeError):
    """The database could not be copied before a change of its tables."""


def bring_up_to_date(*, backups: Path, at: datetime, say: Callable[[str], None]) -> None:
    """Copy the database, then migrate it, if anything is to be migrated. Errors: NotCopied."""
    executor = MigrationExecutor(connection)
    if not executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return
    if executor.loader.applied_migrations:
        copy = copy_aside(backups / f"before-migrate-{at:%Y%m%d-%H%M%S}")
        if copy is None:
            say("PostgreSQL was not copied before its tables change: no pg_dump was found here.")
        else:
            say(f"The tables change with this version; a copy from before is {copy}.")
    else:
        say("Making the tables of a new database.")
    call_command("migrate", interactive=False, verbosity=0)
    connection.close()


def copy_aside(stem: Path) -> Path | None:
    """A copy of the database beside it, readable by its owner only; None where no tool can.

    Errors: NotCopied.
    """
    stem.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    is_sqlite = connection.vendor == "sqlite"
    part, whole = stem.with_suffix(".part"), stem.with_suffix(".sqlite3" if is_sqlite else ".dump")
    part.touch(mode=0o600)
    try:
        if is_sqlite:
            _copy_sqlite(part)
        elif not _dump_postgresql(part):
            return None
        with part.open("rb") as file:
            os.fsync(file.fileno())
        part.replace(whole)
    except (OSError, sqlite3.Error) as reason:
        raise NotCopied(
            f"The database could not be copied into {stem.parent} ({reason}), so nothing was "
            "changed. Make room there and run it again."
        ) from None
    finally:
        part.unlink(missing_ok=True)
    return whole


def _copy_sqlite(target: Path) -> None:
    """One step: in several, each change by a running worker would begin the copy again."""
    with (
        closing(sqlite3.connect(connection.settings_dict["NAME"], timeout=20)) as source,
        closing(sqlite3.connect(target)) as copy,
    ):
        source.backup(copy)


def _dump_postgresql(target: Path) -> bool:
    program = find_pg_dump()
    if program is None:
        return False
    where = connection.settings_dict
    names = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER", "PGPASSWORD": "PASSWORD"}
    access = {name: str(where[key]) for name, key in names.items() if where[key]}
    done = subprocess.run(
        [program, "--format=custom", f"--file={target}", f"--dbname={where['NAME']}"],
        env={**os.environ, **access},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise NotCopied(
            f"{program} could not copy the database: {done.stderr.strip()[-400:]}\n"
            "Nothing was changed. Mend that, or make a copy your own way and then run: "
            "python3 manage.py migrate"
        )
    return True


def find_pg_dump() -> str | None:
    """The newest pg_dump: Debian's by version, else the one on the PATH."""
    ours = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/pg_dump"),
        key=lambda path: int(path.parts[-3]) if path.parts[-3].isdigit() else 0,
    )
    return str(ours[-1]) if ours else shutil.which("pg_dump")
