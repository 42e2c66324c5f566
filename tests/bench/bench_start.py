"""How long a fresh interpreter takes to load the whole engine, and a first due date after it.

Run by hand: python -m tests.bench.bench_start
"""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
LIMIT_S = 0.5
LOAD = """
import time
begun = time.perf_counter()
import importlib, pkgutil, sys
import drainservice.engine as engine
names = [m.name for m in pkgutil.walk_packages(engine.__path__, engine.__name__ + ".")]
for name in names:
    importlib.import_module(name)
loaded_s = time.perf_counter() - begun
from tests.engine.interval.makers import TODAY, make_system
from drainservice.engine.interval.due_dates import due_dates
begun = time.perf_counter()
due_dates(make_system(), today=TODAY)
print(len(names), loaded_s, time.perf_counter() - begun)
print([n for n in ("django", "scipy.stats", "pandas") if n in sys.modules])
"""
BARE = "import time; begun = time.perf_counter(); import numpy; print(time.perf_counter() - begun)"


def run(program):
    """What a fresh interpreter prints."""
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return done.stdout.splitlines()


def main():
    """Print what was measured: the best of five fresh interpreters."""
    runs = [run(LOAD) for _ in range(5)]
    count = runs[0][0].split()[0]
    loaded_s = min(float(lines[0].split()[1]) for lines in runs)
    first_s = min(float(lines[0].split()[2]) for lines in runs)
    numpy_s = min(float(run(BARE)[0]) for _ in range(5))
    print(f"{count} modules of the engine load in {loaded_s * 1e3:.0f} ms")
    print(f"limit over measured: {LIMIT_S / loaded_s:.1f}")
    print(f"numpy alone loads in {numpy_s * 1e3:.0f} ms: {loaded_s / numpy_s:.1f} times that")
    print(f"the first due dates, numpy and scipy loaded on the way: {first_s * 1e3:.0f} ms")
    print(f"heavy modules loaded by then: {runs[0][1]}")


if __name__ == "__main__":
    main()
