"""How good rounds are: published instances, and invented weeks against insertion alone.

Run by hand: python -m tests.bench.bench_rounds published|weeks [CPU seconds]

Gaps are above the best known values, one-decimal truncation (tests/data/routing/README.md).
Times are CPU seconds of this process, which is one thread.
"""

import sys
from statistics import mean
from time import process_time

from drainservice.engine.rounds.check import count_cost, find_faults
from drainservice.engine.rounds.search.effort import Effort, effort_for
from drainservice.engine.rounds.search.figures import make_figures
from drainservice.engine.rounds.search.solve import solve_rounds, start_draft
from tests.engine.rounds.published import BEST_KNOWN, HERE, read_instance
from tests.engine.rounds.weeks import make_week

SEEDS = (1, 2, 3)
# Per cent above best known, mean and worst of three seeds, at 30 s.
PUBLISHED_GOALS = (1.0, 2.0)
# technicians, days, visits, promised, CPU seconds, goal of cost over insertion only.
WEEKS = ((6, 5, 250, 87, 15, 0.70), (8, 10, 700, 244, 45, 0.74))


def solver_until(cpu_s):
    """Tells a run to end its solver, and all else, after so many CPU seconds from now."""
    began = process_time()
    return lambda: process_time() - began > cpu_s


def bench_published(cpu_s):
    """Each instance by three seeds; the solver has all the time, what follows ends of itself."""
    gaps = []
    for name, best in BEST_KNOWN.items():
        inputs = read_instance(HERE / (name + (".vrp" if name == "RC208" else ".txt")))
        own = []
        for seed in SEEDS:
            solved = solve_rounds(
                inputs,
                seed=seed,
                iterations=Effort(10**9, 10**6, 0),
                should_stop=solver_until(cpu_s),
            )
            own.append(100 * (solved.cost.total / best - 1))
        gaps += own
        print(f"{name}: mean {mean(own):.2f} %, worst {max(own):.2f} %, {cpu_s} s", flush=True)
    goal, worst_goal = PUBLISHED_GOALS
    print(
        f"all: mean {mean(gaps):.2f} % (goal {goal:.0f}), worst {max(gaps):.2f} % "
        f"(goal {worst_goal:.0f})"
    )


def bench_weeks(factor):
    """Each week with the solver and without it, at the same CPU time."""
    for technicians, days, visits, promised, cpu_s, goal in WEEKS:
        inputs = make_week(technicians, days, visits, promised)
        began = process_time()
        only = start_draft(make_figures(inputs)).cost
        print(
            f"{technicians} x {days} x {visits}, {promised} promised: insertion only "
            f"{only / 60:.0f} units in {process_time() - began:.2f} s"
        )
        effort = effort_for(inputs, cpu_s * factor)
        alone = Effort(0, effort.looks, effort.rebuilds * 3 // 2)
        for words, wanted in (("with the solver", effort), ("without it", alone)):
            for seed in SEEDS[:2]:
                began = process_time()
                solved = solve_rounds(inputs, seed=seed, iterations=wanted)
                took_s = process_time() - began
                assert not find_faults(inputs, solved.plan)
                total = count_cost(inputs, solved.plan).total
                print(
                    f"  {words}, seed {seed}: {total / 60:.0f} units, {total / only:.3f} of it "
                    f"(goal {goal}), {took_s:.0f} s, {len(solved.plan.left_out)} left out",
                    flush=True,
                )


def main():
    """Print what was measured."""
    what = sys.argv[1] if len(sys.argv) > 1 else "weeks"
    number = float(sys.argv[2]) if len(sys.argv) > 2 else None
    if what == "published":
        bench_published(number or 30)
    else:
        bench_weeks(number or 1.0)


if __name__ == "__main__":
    main()
