"""How long a search may go on, in counts, not in seconds, so that it can be done again."""

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

from drainservice.engine.rounds.facts import PlanInputs


@dataclass(frozen=True, slots=True)
class Effort:
    """Counts of each part: iterations of the solver, looks of the local search, rebuilds.

    `cools_over` are the rebuilds over which rebuilding cools down; None: all of `rebuilds`. What
    a run has done is told in the same form, and asking for just that gives the same plan.
    """

    solver: int = 3_000
    looks: int = 50_000
    rebuilds: int = 3_000
    cools_over: int | None = None


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a run is: the part, what it has done of what was wanted, and the best cost so far, in
    sixtieths of a unit; the cost is None before the first plan holds."""

    part: str
    done: int
    wanted: int
    cost: int | None


Told = Callable[[Progress], None]
ShouldStop = Callable[[], bool]


def never() -> bool:
    """A run that goes on to its end."""
    return False


def unheard(progress: Progress) -> None:
    """A run whose progress nobody reads."""


def effort_for(inputs: PlanInputs, cpu_s: float) -> Effort:
    """Counts that take about so many seconds of one processor.

    A third is the solver's, the rest goes to rebuilding, which alone sees breaks, overtime and
    risk; nearly all is the solver's where there are none of them. The rates were seen on one
    machine, from 70 to 700 stops; whoever must not be late gives `should_stop` a clock besides.
    """
    kinds = {
        (s.starts_s, s.ends_s, s.overtime_s, s.pause, s.leaves_from, s.returns_to, s.room)
        for s in inputs.shifts
    }
    is_plain = all(stop.must for stop in inputs.stops) and not any(
        shift.pause or shift.overtime_s for shift in inputs.shifts
    )
    count = max(1, len(inputs.shifts))
    share = 0.9 if is_plain else 1 / 3
    solver_a_s = 17_500 / sqrt(max(1, len(kinds) * len(inputs.stops)))
    looks_a_s = 200_000 / count
    rebuilds_a_s = min(3_000.0, 275_000 / count**1.5)
    return Effort(
        solver=max(100, int(solver_a_s * cpu_s * share)),
        looks=max(1_000, int(looks_a_s * cpu_s / 4)),
        rebuilds=max(100, int(rebuilds_a_s * cpu_s * (1 - share))),
    )
