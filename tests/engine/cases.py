"""The published and computed check cases, each with its source, status and tolerance."""

import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pint

FILE = Path(__file__).parents[1] / "data" / "engineering_cases.json"
units: pint.UnitRegistry = pint.UnitRegistry()
# Water horsepower aside, "a" is a year here and "gpm" is US gallons a minute.
ALIASES = {"a": "year", "gpm": "gallon/minute", "h": "hour", "1": "dimensionless", "d": "day"}


@dataclass(frozen=True)
class Case:
    """One case: raw inputs, expected values, and where they come from."""

    id: str
    title: str
    source: str
    source_status: str
    inputs: dict[str, dict[str, Any]]
    expected: list[dict[str, Any]]

    def raw(self, name: str) -> Any:
        """The input as the file writes it."""
        return self.inputs[name]["value"]

    def assert_holds(self, name: str, got: Any, unit: str = "1") -> None:
        """Compare one result, given in `unit`, with the expected value in its own unit."""
        want = next(e for e in self.expected if e["name"] == name)
        if isinstance(want["value"], bool | str):
            print(f"{self.id} {name}: {got!r} against {want['value']!r} [{self.about()}]")
            assert got == want["value"]
            return
        here = convert(got, unit, want["unit"])
        allowed = max(want.get("tol_abs", 0.0), want.get("tol_rel", 0.0) * abs(want["value"]))
        print(f"{self.id} {name}: {here} against {want['value']} +- {allowed} [{self.about()}]")
        assert abs(here - want["value"]) <= allowed

    def about(self) -> str:
        """Source and its status, for the printed line."""
        return f"{self.source}; {self.source_status}"


def convert(value: float, unit: str, to: str) -> float:
    """A number from one unit into another, by pint, which is not our own table."""
    if unit == to:
        return value
    return float(units.Quantity(value, _spell(unit)).to(_spell(to)).magnitude)


def _spell(unit: str) -> str:
    """Write a unit as pint reads it: m3/s as m**3/s, a (year) as year, gpm in full."""
    words = re.sub(r"([a-z])([23])(?![0-9])", r"\1**\2", unit)
    return re.sub(r"(?<![a-z])(a|h|d|gpm|1)(?![a-z0-9])", lambda m: ALIASES[m[1]], words)


@cache
def all_cases() -> dict[str, Case]:
    """Every case by its id."""
    keys = ("id", "title", "source", "source_status", "inputs", "expected")
    return {c["id"]: Case(**{k: c[k] for k in keys}) for c in json.loads(FILE.read_text())["cases"]}


def case(case_id: str) -> Case:
    """The case of that id."""
    return all_cases()[case_id]
