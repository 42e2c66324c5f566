"""One server to a data folder: a lock the kernel lets go when its holder ends."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO


class AlreadyRunning(RuntimeError):
    """Another server runs from the same data folder."""


@contextmanager
def only_server(path: Path) -> Iterator[IO[str]]:
    """Hold the lock; what is written into it tells the next one who holds it.

    Words still in it when it was free were left by a server that was killed.
    Errors: AlreadyRunning.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            file.seek(0)
            raise AlreadyRunning(
                f"The server already runs from {path.parent}{_where(file.read())}. "
                "To start it anew, end that one first: Ctrl-C in its window."
            ) from None
        file.seek(0)
        yield file
        file.truncate(0)


def write(file: IO[str], address: str) -> None:
    """Say in the lock who holds it and where it serves."""
    file.truncate(0)
    file.write(f"{os.getpid()} {address}\n")
    file.flush()


def _where(words: str) -> str:
    number, _, address = words.strip().partition(" ")
    return f" at {address} (process {number})" if address else ""
