"""Writing many visits at once, so that at no moment two of a technician's times overlap."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Account
from drainservice.visits.models import Visit

# Where a time waits while two visits change places: far from every day that anybody plans.
PARKED = timedelta(days=40_000)


@dataclass(frozen=True, slots=True)
class NewTime:
    """What becomes of a visit: whose time it takes, from when until when (None: nobody's), and
    whatever else changes with it."""

    visit: Visit
    technician: Account | None
    starts_at: datetime | None
    ends_at: datetime | None
    more: dict[str, Any] = field(default_factory=dict)

    def values(self) -> dict[str, Any]:
        """What the row is set to."""
        return {
            "technician": self.technician,
            "slot_starts_at": self.starts_at,
            "slot_ends_at": self.ends_at,
        } | self.more


def write_times(changes: Sequence[NewTime], *, asker: Asker) -> None:
    """Write each change where its time is free by now; where all wait for each other, one of them
    is parked first. Errors: those of `history.keep`; the caller's transaction is then given up."""
    waiting = list(changes)
    while waiting:
        ready = next((c for c in waiting if not _is_barred(c, waiting)), None)
        if ready is None:
            _park(_bars(waiting[0], waiting)[0].visit, asker)
        else:
            waiting.remove(ready)
            history.keep(ready.visit, asker=asker, **ready.values())


def _is_barred(change: NewTime, waiting: Sequence[NewTime]) -> bool:
    """Whether another visit that is not yet written still stands in the time."""
    return bool(_bars(change, waiting))


def _bars(change: NewTime, waiting: Sequence[NewTime]) -> list[NewTime]:
    """Those that stand in the time."""
    if change.technician is None or change.starts_at is None or change.ends_at is None:
        return []
    return [
        other
        for other in waiting
        if other is not change
        and other.visit.technician_id == change.technician.pk
        and other.visit.slot_starts_at is not None
        and other.visit.slot_ends_at is not None
        and other.visit.slot_starts_at < change.ends_at
        and change.starts_at < other.visit.slot_ends_at
    ]


def _park(visit: Visit, asker: Asker) -> None:
    # A technician's visits do not overlap where they stand, so that neither do they out there.
    assert visit.slot_starts_at is not None
    assert visit.slot_ends_at is not None
    history.keep(
        visit,
        asker=asker,
        slot_starts_at=visit.slot_starts_at + PARKED,
        slot_ends_at=visit.slot_ends_at + PARKED,
    )
