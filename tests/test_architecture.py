"""What holds for the whole house: bounds on every column, one writer, one door on every address."""

import ast
import re

import pytest
from django.apps import apps
from django.db import models
from django.urls import get_resolver

from drainservice.accounts.models import Kept
from drainservice.doors.checks import every_way_in_is_a_door, ways_in

OURS = [m for m in apps.get_models() if m.__module__.startswith(("drainservice", "jobs"))]
# Computed or append-only tables, which `history.keep` does not write.
WRITES_ITSELF = {
    "drainservice/accounts/history.py",
    "drainservice/accounts/actions.py",  # one-time links and slow-down marks
    "drainservice/exchange",
    "drainservice/reminders",
    "drainservice/inspections/actions/due.py",
    "drainservice/visits/actions/answer.py",  # answers are append-only
    "drainservice/register/actions",  # the sites of a shared main
}


def conditions(model):
    return [str(c.condition) for c in model._meta.constraints if hasattr(c, "condition")]


@pytest.mark.parametrize("model", OURS, ids=lambda m: m._meta.label)
def test_every_text_column_has_a_named_check_on_its_length(model):
    checked = " ".join(conditions(model))

    missing = [
        f.name
        for f in model._meta.local_concrete_fields
        if isinstance(f, models.CharField | models.TextField)
        and not (f.primary_key and model._meta.label == "accounts.Throttle")
        and f"{f.name}__length" not in checked
        and f"('{f.name}__in'" not in checked
    ]

    assert missing == []


@pytest.mark.parametrize("model", OURS, ids=lambda m: m._meta.label)
def test_every_number_column_has_a_named_check_on_its_range(model):
    checked = " ".join(conditions(model))
    counters = {
        "open_starts",
        "version",
        "sequence",
        "attempts",
        "unsure_count",
        "number",
        "row",
        "failures",
    }

    missing = [
        f.name
        for f in model._meta.local_concrete_fields
        if isinstance(f, models.FloatField | models.PositiveIntegerField)
        and f.name not in counters | {"next_at", "dead_chance"}
        and f"{f.name}__range" not in checked
    ]

    assert missing == []


def test_every_constraint_is_named_once_and_reads_as_words():
    names = [c.name for m in OURS for c in m._meta.constraints]

    assert len(names) == len(set(names))
    assert all(re.fullmatch(r"[a-z0-9_]+", name) for name in names)


def test_every_address_has_its_door():
    assert every_way_in_is_a_door(None) == []
    assert len(list(ways_in(get_resolver().url_patterns))) > 5


def test_kept_rows_are_written_by_history_alone(root):
    kept = {m.__name__ for m in OURS if issubclass(m, Kept)}
    found = []
    for file in sorted((root / "drainservice").rglob("*.py")):
        place = file.relative_to(root).as_posix()
        if "/migrations/" in place or any(place.startswith(p) for p in WRITES_ITSELF):
            continue
        for node in ast.walk(ast.parse(file.read_text())):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
                continue
            on = ast.unparse(node.func.value)
            writes = node.func.attr in {"create", "bulk_create", "bulk_update", "delete", "save"}
            if writes and (
                any(f"{name}.objects" in on for name in kept) or node.func.attr == "save"
            ):
                found.append(f"{place}:{node.lineno} {on}.{node.func.attr}")

    assert found == []


def test_no_door_asks_a_table_itself(root):
    places = [root / "drainservice" / "web", root / "drainservice" / "doors"]
    found = [
        f"{file.relative_to(root)}:{number}"
        for place in places
        for file in sorted(place.rglob("*.py"))
        if "management" not in file.parts and "demo" not in file.parts
        for number, line in enumerate(file.read_text().splitlines(), start=1)
        if ".objects." in line
    ]

    assert found == []
