"""The test command: every test on SQLite, then those that touch the database on PostgreSQL."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
COVERED = ["--cov", "--cov-branch", "--cov-report=term"]


def run_twice(words: list[str]) -> int:
    """Run pytest; with words of one's own, once and with these. Answers the exit code."""
    sys.path.insert(0, str(ROOT))
    (ROOT / ".cache").mkdir(exist_ok=True)
    if words:
        return run_pytest(words)
    try:
        name_the_real_parts()
    except RuntimeError as reason:
        print(reason)
        print('Nothing was run. Without the browser: python3 manage.py test -m "not browser"')
        return 1
    at_once = ["-n", "2"] if (os.cpu_count() or 1) > 1 else []
    tell("1 of 2: every test, on SQLite.")
    first = run_pytest([*at_once, *COVERED])
    tell("2 of 2: the tests that touch the database once more, on PostgreSQL.")
    second = run_pytest([*at_once, "-m", "not browser"], database="postgresql")
    return first or second


def name_the_real_parts() -> None:
    """Find what the tests stand on before an hour is lost. Errors: RuntimeError, in words."""
    from tests.browser import find_chromium
    from tests.postgresql import find_postgresql

    chromium = find_chromium().program
    tell(f"PostgreSQL from {find_postgresql()}, Chromium from {chromium}.")


def run_pytest(words: list[str], *, database: str = "sqlite") -> int:
    settings = {**os.environ, "DRAIN_TEST_DATABASE": database}
    if database == "sqlite":
        settings["DRAIN_TEST_DATABASE"] = os.environ.get("DRAIN_TEST_DATABASE", "sqlite")
    command = [sys.executable, "-m", "pytest", *words]
    return subprocess.run(command, cwd=ROOT, env=settings).returncode


def tell(sentence: str) -> None:
    print(sentence, flush=True)
