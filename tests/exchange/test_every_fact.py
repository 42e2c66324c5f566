"""Every fact a sheet can hold, at the ends of its range and in every word, through the database."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from drainservice.exchange import actions, queries
from drainservice.exchange.actions import bring
from drainservice.exchange.columns import FACTS
from drainservice.exchange.judging_kinds import _CHOICES, _SETTLED_NAMES
from drainservice.exchange.remarks_rules import RULES
from drainservice.exchange.report import TAKEN, Reading, Row
from drainservice.register.models import System

NOW = datetime(2025, 11, 3, 20, 0, tzinfo=UTC)
DATES = ("2018-06-08", "2018-06", "2018-summer", "2018")
# Written out where a fact's kind alone does not give its values.
OTHERS = {
    "household.tenant": ["Tess Tenant", "x" * 500],
    "household.language": ["Spanish", "Klingon"],
    "system.consequence": ["basement", "yard only", "who knows"],
    "system.installed_by": ["us", "Another Firm"],
    "pump.float": ["tethered", "some float"],
    "pump.model": ["SP 200"],
    "pump.present": [True, False],
    "pump.count": [2, 9],
    "line.material": ["PVC", "copper"],
    "access.kind": ["concrete", "mystery"],
    "access.covered_by": ["pavers", "a rug"],
    "valve.arrow": ["against_flow"],
    "valve.present": [True, False],
    "site.tenanted": [True],
}


def values_of(fact):
    """Values its column may give."""
    if fact.name in OTHERS:
        return OTHERS[fact.name]
    if fact.kind == "quantity":
        return [fact.low, fact.high, (fact.low + fact.high) / 2]
    if fact.kind == "date":
        return DATES
    if fact.kind == "count":
        return [0, 1, 3, 60]
    if fact.kind in {"yesno", "ran", "weep_hole"}:
        return [True, False]
    if fact.kind in {"text", "notes", "code"}:
        return ["plain words", "x" * 500]
    words = _CHOICES.get(fact.kind) or _CHOICES.get(fact.name, ())
    return sorted({word for _, word in words})


def every_pair():
    kinds = _SETTLED_NAMES | {"x": "x"}
    pairs = [
        (kinds.get(fact.kind, fact.name), value)
        for fact in FACTS
        if fact.name != "site.house_number"  # the reader joins it with its street
        and fact.kind not in {"names", "phones", "emails", "address", "first_name", "last_name"}
        for value in values_of(fact)
    ]
    pairs += [(name, value) for name, values in OTHERS.items() for value in values]
    return [*pairs, *((rule.fact, rule.value) for rule in RULES)]


def reading_of(rows):
    return Reading("made.csv", tuple(rows))


def row_of(number, **facts):
    told = {"site.address": f"{number} Fernhill Rd", "household.names": [f"Juno Number{number}"]}
    return Row("", number, TAKEN, facts=told | facts)


@pytest.mark.django_db
def test_every_value_of_every_fact_is_kept_or_refused_in_words(dispatcher, monkeypatch):
    pairs = every_pair()
    rows = []
    for number, (name, value) in enumerate(pairs, start=1):
        visit = {"inspection.on": "2024-03-11"} if name.startswith("inspection.") else {}
        rows.append(row_of(number, **(visit | {name: value})))
    monkeypatch.setattr(bring, "_read", lambda *_: reading_of(rows))

    sheet = actions.bring_in(b"x", name="made.csv", asker=replace(dispatcher, at=NOW), dry=False)

    told = queries.report_of(sheet)["rows"]
    held = [row for row in told if not row["made"]]
    # An address with a unit of 500 signs has no room in the register.
    assert [(row["questions"][0]["reason"], list(row["facts"])) for row in held] == [
        ("too_long", [])
    ]
    lost = [
        (name, row["facts"][name])
        for row, (name, _) in zip(told, pairs, strict=True)
        if not {name, "notes"} & set(row["made"].get("added", ()))
        and not row["refused"]
        and name in row["facts"]
    ]  # fmt: skip
    assert lost == []


@pytest.mark.django_db
def test_the_same_rows_with_all_facts_together_add_nothing_a_second_time(dispatcher, monkeypatch):
    together = {}
    for name, value in every_pair():
        together.setdefault(name, value)
    together.pop("pump.present")
    row = row_of(1, **together)
    monkeypatch.setattr(bring, "_read", lambda *_: reading_of([row]))
    office = replace(dispatcher, at=NOW)
    actions.bring_in(b"x", name="made.csv", asker=office, dry=False)
    other = replace(
        row, facts=row.facts | {"site.access_note": "plain", "system.place": "plain words"}
    )
    monkeypatch.setattr(bring, "_read", lambda *_: reading_of([other]))
    before = System.objects.count()

    actions.bring_in(b"y", name="other.csv", asker=office, dry=False)

    assert System.objects.count() == before
