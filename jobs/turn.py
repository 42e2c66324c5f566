"""One worker's turn at the queue: who runs, by which clock, and when it must stop."""

import os
import socket
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from jobs.clocks import clock
from jobs.outcome import MessageKind

Reaction = Callable[..., object]


@dataclass(slots=True)
class Turn:
    """`stop_at_s` is on the monotonic clock. `only`: the kinds of fact to run; empty means all.

    `in_parts`: kinds whose reaction commits piece by piece and may be repeated from the start.
    """

    facts: Mapping[str, Reaction]
    messages: Mapping[str, MessageKind]
    stop_at_s: float
    worker: str = ""
    clock: Callable[[], datetime] = clock
    should_stop: Callable[[], bool] = field(default=lambda: False)
    only: frozenset[str] = frozenset()
    in_parts: frozenset[str] = frozenset()
    ran: int = 0

    @property
    def is_over(self) -> bool:
        """Time is up, or the worker is asked to end."""
        return self.should_stop() or time.monotonic() >= self.stop_at_s


def worker_name() -> str:
    """This process, told apart from any other."""
    return f"{socket.gethostname()}:{os.getpid()}"[:80]
