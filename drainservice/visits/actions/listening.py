"""While a plan is worked out: progress is written, and a wish to end it read, once a second.

Nothing here is within a transaction, so that nobody waits for the search.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import OperationalError

from drainservice.visits.models import Plan, PlanState

log = logging.getLogger("drainservice.visits")

LOOK_EVERY_S = 1.0
# A search ends by itself with what it has by then; a worker's own limit for it lies beyond.
LONGEST_S = 150.0
# After so long without a word the worker that had it is taken for dead.
SILENT_FOR = timedelta(seconds=60)


class NotOursAnyMore(Exception):
    """Another worker took the plan, or it has ended; what was found here is dropped."""


@dataclass(slots=True)
class Ear:
    """One worker at one plan. `now` is the time of day, `elapsed_s` a clock nobody sets."""

    plan_id: int
    start: int
    now: Callable[[], datetime]
    elapsed_s: Callable[[], float]
    begun_s: float = 0.0
    looked_s: float = 0.0
    progress: dict[str, Any] = field(default_factory=dict)
    is_cancelled: bool = False

    def __post_init__(self) -> None:
        self.begun_s = self.elapsed_s()
        self.looked_s = self.begun_s - LOOK_EVERY_S

    def should_stop(self) -> bool:
        """Whether to end now, by a person's wish or by the time it took. Raises NotOursAnyMore."""
        at_s = self.elapsed_s()
        if at_s - self.looked_s >= LOOK_EVERY_S:
            self.looked_s = at_s
            try:
                self._look()
            except OperationalError as busy:
                # Somebody else writes for long; a second later it may be said as well.
                log.info("no look at plan %s this time (%s)", self.plan_id, busy)
        return self.is_cancelled or at_s - self.begun_s >= LONGEST_S

    def tell(self, **progress: Any) -> None:
        """Remember how far it is; written at the next look."""
        self.progress = progress

    @property
    def took_s(self) -> float:
        """Seconds since it was begun."""
        return self.elapsed_s() - self.begun_s

    def _look(self) -> None:
        mine = Plan.objects.filter(pk=self.plan_id, state=PlanState.THINKING, starts=self.start)
        told = {"progress": self.progress | {"took_s": round(self.took_s)}} if self.progress else {}
        if not mine.update(heartbeat_at=self.now(), **told):
            raise NotOursAnyMore
        wish = Plan.objects.filter(pk=self.plan_id).values_list("cancel_wanted_at", flat=True)
        self.is_cancelled = wish.get() is not None
