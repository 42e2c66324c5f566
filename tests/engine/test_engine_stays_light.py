"""No page waits for the engine: all of it loads without Django, scipy.stats, pandas or a clock."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
# Loads every module of the engine in a fresh interpreter, and says what came along.
PROGRAM = """
import importlib, pkgutil, sys
import drainservice.engine as engine
names = [m.name for m in pkgutil.walk_packages(engine.__path__, engine.__name__ + ".")]
for name in names:
    importlib.import_module(name)
heavy = ["django", "celery", "redis", "jobs", "numpy", "scipy", "scipy.stats", "pandas"]
heavy += ["uncertainties", "fluids", "wntr", "pyswmm", "lifelines", "pint", "lxml"]
print(len(names), [name for name in heavy if name in sys.modules])
"""


def test_every_module_loads_with_nothing_heavy():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], cwd=ROOT, capture_output=True, text=True, check=True
    )

    count, heavy = done.stdout.split(maxsplit=1)
    assert int(count) > 140
    assert heavy.strip() == "[]"


def test_counting_dates_loads_no_statistics():
    program = (
        "import sys\n"
        "from tests.engine.interval.makers import TODAY, make_system\n"
        "from drainservice.engine.interval.due_dates import due_dates\n"
        "assert len(due_dates(make_system(), today=TODAY)) > 3\n"
        "print([n for n in ('scipy.stats', 'pandas', 'django') if n in sys.modules])\n"
    )

    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"
