"""First aid for a broken day, worked out at once; nothing is stored."""

from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256

from drainservice.engine.rounds.repair.repair import Proposal, first_aid
from drainservice.visits.queries.broken_day import BrokenDay, read_broken_day

MARK = 32


@dataclass(frozen=True, slots=True)
class FirstAid:
    """A proposal for a day as it stands."""

    day: BrokenDay
    proposal: Proposal

    @property
    def mark(self) -> str:
        """Tells this proposal from any other: who goes where, in which order and window."""
        inputs, rounds = self.proposal.inputs, self.proposal.plan.rounds
        said = [
            (inputs.shifts[round_.shift].technician, inputs.stops[gate.stop].key, gate.window)
            for round_ in rounds
            for gate in round_.gates
        ]
        return sha256(repr(said).encode()).hexdigest()[:MARK]


def first_aid_for(day: date, *, at: datetime, free: dict[int, datetime] | None = None) -> FirstAid:
    """First aid for the day as it stands. Errors: DayIsOver."""
    found = read_broken_day(day, at=at, free=free)
    return FirstAid(found, first_aid(found.gathered.inputs, found.broken, found.facts))
