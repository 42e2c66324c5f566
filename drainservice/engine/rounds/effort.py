"""How long a search may go on, in counts, not in seconds, so that it can be done again."""

from collections.abc import Callable
from dataclasses import dataclass


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


def effort_for(shifts: int, stops: int, cpu_s: float) -> Effort:
    """Counts that take about so many seconds of one quiet processor, a third of them the solver's.

    The rates are what was seen on one machine, for days of up to ten visits; whoever must not be
    late gives `should_stop` a clock besides.
    """
    solver_a_s = 2_000 / (1 + shifts * stops / 1_500)
    rebuilds_a_s = 2_500 / (1 + shifts / 30)
    return Effort(
        solver=max(100, int(solver_a_s * cpu_s / 3)),
        looks=1_000_000,
        rebuilds=max(200, int(rebuilds_a_s * cpu_s * 2 / 3)),
    )
