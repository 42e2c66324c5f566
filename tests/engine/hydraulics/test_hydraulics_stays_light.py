"""No page waits for the hydraulics: they need neither numpy nor scipy."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
PROGRAM = """
import importlib, pkgutil, sys
import drainservice.engine.hydraulics as subject
for module in pkgutil.iter_modules(subject.__path__):
    importlib.import_module(f"{subject.__name__}.{module.name}")
heavy = {"numpy", "scipy", "django", "uncertainties", "fluids", "wntr"}
print(len(list(pkgutil.iter_modules(subject.__path__))), sorted(heavy & set(sys.modules)))
"""


def test_imports_nothing_heavy():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], cwd=ROOT, capture_output=True, text=True, check=True
    )

    count, heavy = done.stdout.split(maxsplit=1)
    assert int(count) > 20
    assert heavy.strip() == "[]"
