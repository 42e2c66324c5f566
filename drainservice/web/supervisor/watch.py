"""Starts a worker anew that lives but no longer hears the clock (a lost subscription, for one)."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from drainservice.web.supervisor.processes import Service

LOOK_EVERY_S = 5.0
FIRST_PATIENCE_S = 90.0  # a turn of the queue may take 20 s, a stuck task is ended after 120 s
LONGEST_PATIENCE_S = 1800.0


@dataclass
class Watch:
    """Compares the age of the last tick with our patience, which grows while nothing helps."""

    worker: Service
    tick_age_s: Callable[[], float | None]
    say: Callable[[str], None]
    patience_s: float = FIRST_PATIENCE_S
    next_look_s: float = field(default_factory=time.monotonic)

    def look(self) -> None:
        """One glance; asks the database only every few seconds."""
        now_s = time.monotonic()
        if now_s < self.next_look_s or not self.worker.is_running():
            return
        self.next_look_s = now_s + LOOK_EVERY_S
        age_s, silent_s = self.tick_age_s(), now_s - self.worker.started_s
        if age_s is not None:
            silent_s = min(silent_s, age_s)
        if age_s is not None and age_s < FIRST_PATIENCE_S:
            self.patience_s = FIRST_PATIENCE_S
        elif silent_s > self.patience_s:
            self.say(f"The worker has not heard the clock for {silent_s:.0f} s; starting it anew.")
            self.patience_s = min(2 * self.patience_s, LONGEST_PATIENCE_S)
            self.worker.end(grace_s=10)
