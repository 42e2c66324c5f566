"""Keeps the server's processes: starts them in order, starts the fallen again, ends them all."""

import contextlib
import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

FIRST_WAIT_S = 0.5
LONGEST_WAIT_S = 30.0
SETTLED_AFTER_S = 30.0
LOG_BYTES = 20_000_000
PR_SET_PDEATHSIG = 1


class FellAtOnce(RuntimeError):
    """A process ended while the server was still starting."""


@dataclass
class Service:
    """One process: how to start it, where it writes, how long it may take to end."""

    name: str
    command: Sequence[str]
    log: Path
    grace_s: float
    environment: Mapping[str, str] = field(default_factory=dict)
    process: "subprocess.Popen[bytes] | None" = None
    started_s: float = 0.0
    wait_s: float = FIRST_WAIT_S
    again_s: float = 0.0

    def start(self) -> None:
        """Start it in a session of its own: Ctrl-C reaches only the supervisor, which is polite."""
        if self.log.exists() and self.log.stat().st_size > LOG_BYTES:
            self.log.replace(self.log.with_suffix(".log.1"))
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                self.command,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                env={**os.environ, **self.environment},
                start_new_session=True,
                preexec_fn=die_with_parent(),
            )
        self.started_s = time.monotonic()

    def is_running(self) -> bool:
        """Whether the process is there."""
        return self.process is not None and self.process.poll() is None

    def end(self, *, grace_s: float) -> None:
        """Ask it to finish, wait, and take away whatever is left of its session."""
        if self.process is None:
            return
        self.process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(grace_s)
        self.clear()
        self.process = None

    def clear(self) -> None:
        """Kill what is left of the session: a worker whose main process died, for one."""
        assert self.process is not None
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def last_words(self) -> str:
        """The end of what it wrote, to show beside a failure."""
        lines = self.log.read_text(errors="replace").splitlines()[-6:]
        return "\n".join(f"    {line}" for line in lines)


class Keeper:
    """The services in the order they start; they end in the reverse order."""

    def __init__(self, say: Callable[[str], None]) -> None:
        self.say = say
        self.services: list[Service] = []
        self.is_hurried = False

    def start(self, service: Service) -> None:
        """Start one more."""
        self.services.append(service)
        service.start()

    def expect_all(self) -> None:
        """While starting, a fallen process is a failure to tell. Errors: FellAtOnce."""
        for service in self.services:
            if not service.is_running():
                raise FellAtOnce(
                    f"The {service.name} could not start. It wrote into {service.log}:\n"
                    f"{service.last_words()}"
                )

    def look(self) -> None:
        """One glance: whatever has fallen is started again, each time after a longer wait."""
        now_s = time.monotonic()
        for service in self.services:
            if service.is_running():
                if now_s - service.started_s > SETTLED_AFTER_S:
                    service.wait_s = FIRST_WAIT_S
            elif service.process is not None:
                service.clear()
                service.process = None
                service.again_s = now_s + service.wait_s
                self.say(
                    f"The {service.name} ended by itself; starting it again in "
                    f"{service.wait_s:g} s. What it wrote: {service.log}"
                )
                service.wait_s = min(2 * service.wait_s, LONGEST_WAIT_S)
            elif now_s >= service.again_s:
                service.start()

    def end(self) -> None:
        """End all, last started first."""
        for service in reversed(self.services):
            service.end(grace_s=0 if self.is_hurried else service.grace_s)


def die_with_parent() -> Callable[[], None] | None:
    """What a child runs first, so that the kernel ends it when its parent is killed (Linux)."""
    if not sys.platform.startswith("linux"):
        return None
    prctl, parent = ctypes.CDLL(None).prctl, os.getpid()

    def ask_kernel() -> None:
        prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
        if os.getppid() != parent:  # it died in between
            os._exit(1)

    return ask_kernel
