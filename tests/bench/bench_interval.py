"""How long intervals take: one with 20 tests, one system's dates, a fleet in one pass.

Run by hand: python -m tests.bench.bench_interval
"""

from datetime import date, timedelta
from timeit import repeat

import numpy as np

from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.reliability.many import solve_intervals_a
from drainservice.engine.reliability.posterior import Sight, posterior_after
from drainservice.engine.reliability.proof_test import solve_interval_a
from tests.engine.interval.makers import TODAY, make_system, proof

INTERVAL_LIMIT_S = 0.002
FASTER_LIMIT = 50
SYSTEMS = 100_000
ALONE = 500


def fleet(count, seed=5):
    """Columns of a drawn fleet: nominal rate, passed exposure, failures, target."""
    random = np.random.default_rng(seed)
    nominal = random.uniform(0.05, 0.8, count)
    passed = random.uniform(0, 3, count) * nominal
    failed = random.uniform(0.1, 2, (count, 2)) * nominal[:, None]
    failed[random.random((count, 2)) < 0.7] = 0
    return nominal, passed, failed, random.choice([0.05, 0.10, 0.20], count)


def one_by_one(nominal, passed, failed, target):
    """The same intervals, each by the public single-system functions."""
    out = []
    for n, p, f, u in zip(nominal, passed, failed, target, strict=True):
        sights = [Sight(True, float(p)), *(Sight(False, float(m)) for m in f if m > 0)]
        out.append(solve_interval_a(posterior_after(sights, float(n)), float(u)))
    return np.array(out)


def best_s(work, number=1):
    """Least seconds of three runs."""
    return min(repeat(work, number=number, repeat=3)) / number


def main():
    """Print what was measured."""
    sights = [Sight(i % 7 != 0, 0.15 + 0.01 * i) for i in range(20)]
    alone_s = best_s(lambda: solve_interval_a(posterior_after(sights, 0.195), 0.10), 50)
    print(f"one interval with 20 tests: {alone_s * 1e3:.2f} ms")
    print(f"limit over measured: {INTERVAL_LIMIT_S / alone_s:.1f}")

    days = [date(2024, 6, 1) + timedelta(days=40 * i) for i in range(20)]
    system = make_system(tests=tuple(proof(day) for day in days))
    dates_s = best_s(lambda: due_dates(system, today=TODAY), 20)
    print(f"all dates of one system with 20 tests: {dates_s * 1e3:.2f} ms")

    columns = fleet(SYSTEMS)
    many_s = best_s(lambda: solve_intervals_a(*columns))
    few = [column[:ALONE] for column in columns]
    single_s = best_s(lambda: one_by_one(*few)) * SYSTEMS / ALONE
    differ = np.abs(solve_intervals_a(*few) / one_by_one(*few) - 1).max()
    print(f"{SYSTEMS} intervals in one pass: {many_s:.2f} s")
    faster = single_s / many_s
    print(f"one by one (from {ALONE}): {single_s:.1f} s, {faster:.0f} times slower")
    print(f"measured over wanted: {faster / FASTER_LIMIT:.1f}")
    print(f"largest relative difference: {differ:.1e}")


if __name__ == "__main__":
    main()
