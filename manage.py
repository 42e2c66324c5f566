#!/usr/bin/env python3
"""The one command: `manage.py start` runs the server, `manage.py test` its tests."""

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent


def main() -> None:
    """Enter the right environment, then hand the words typed to the command they name."""
    if sys.version_info < (3, 11):  # noqa: UP036 - the one file an older Python may meet
        sys.exit(
            "This needs Python 3.11 or newer, and this is Python {}.{}.\n"
            "Install a newer one (Debian 12, Ubuntu 24.04 and Fedora bring one) and run it by "
            "name, for example: python3.11 manage.py start".format(*sys.version_info)
        )
    from drainservice import environment, places

    is_test = sys.argv[1:2] == ["test"]
    try:
        environment.enter(ROOT, environment.TESTS if is_test else environment.SERVER, sys.argv)
        if not is_test:
            places.choose_var(ROOT)
    except (environment.CannotPrepare, places.NowhereToWrite) as reason:
        sys.exit(str(reason))
    except KeyboardInterrupt:
        sys.stderr.write("Stopped. Nothing half-made was left behind.\n")
        sys.exit(130)
    if is_test:
        from tests.run import run_twice

        sys.exit(run_twice(sys.argv[2:]))
    obey(sys.argv)


def obey(words: list) -> None:
    """Let Django find the command; a setting that is wrong is told in one sentence."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "drainservice.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    from drainservice.keyring import KeyFileUnusable

    try:
        execute_from_command_line(words)
    except (ImproperlyConfigured, KeyFileUnusable) as reason:
        sys.exit(str(reason))
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
