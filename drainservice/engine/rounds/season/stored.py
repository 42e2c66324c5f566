"""A season's question and answer as JSON that is the same for the same values, to be kept and
asked again.

    {"form": 1, "kind": "season", "visits": [{"key": 12, "place": [44.1, -123.2], "work_min": 45.0,
     "costs": {"weeks": [..], "left_out": 60.0} or {"failure_per_week": .., "age_weeks": ..,
     "dead_units": ..}, "earliest": 0, "last": null, "promised": null, "offered": null}, ..],
     "weeks": [{"starts_on": "2027-06-07", "crew_min": 9600.0, "promised_min": 0.0}, ..],
     "homes": [[44.0, -123.1], ..], "storm_chances": [0.02, ..], "travel": {..}, "settings": {..},
     "begin_from": [[12, 3], ..]}

Minutes and units as in `season_facts`; `begin_from` is the week of each visit to begin at.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import date
from typing import Any

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.season.facts import (
    GivenCosts,
    PumpRisk,
    SeasonFacts,
    SeasonSettings,
    SeasonTravel,
    SeasonVisit,
    SeasonWeek,
)
from drainservice.engine.rounds.season.result import (
    CellDrive,
    Fault,
    SeasonCost,
    SeasonEffort,
    SeasonPlan,
    SetAside,
    WeekLevel,
)

FORM = 1
KIND = "season"


class SeasonCannotBeRead(ValueError):
    """The text is no season of this form; the message says where and what is expected."""


@dataclass(frozen=True, slots=True)
class SeasonQuestion:
    """A season, and the week of each visit to begin from, by key."""

    facts: SeasonFacts
    begin_from: Mapping[int, int | None]


def season_as_json(question: SeasonQuestion) -> str:
    """One text for one question: sorted names, no blanks, numbers as they are."""
    facts = question.facts
    return json.dumps(
        {
            "form": FORM,
            "kind": KIND,
            "visits": [_plain_visit(visit) for visit in facts.visits],
            "weeks": [asdict(w) | {"starts_on": w.starts_on.isoformat()} for w in facts.weeks],
            "homes": [[home.lat, home.lon] for home in facts.homes],
            "storm_chances": list(facts.storm_chances),
            "travel": asdict(facts.travel),
            "settings": asdict(facts.settings),
            "begin_from": [[key, week] for key, week in sorted(question.begin_from.items())],
        },
        sort_keys=True,
        separators=(",", ":"),
        allow_nan=False,
    )


def _plain_visit(visit: SeasonVisit) -> dict[str, Any]:
    plain = asdict(visit) | {"place": [visit.place.lat, visit.place.lon]}
    return plain | {"costs": asdict(visit.costs)}


def read_season(text: str) -> SeasonQuestion:
    """The question of a text. Raises SeasonCannotBeRead."""
    try:
        plain = json.loads(text)
    except ValueError as wrong:
        raise SeasonCannotBeRead(f"This is no JSON ({wrong}); give the file as it came.") from wrong
    if not isinstance(plain, dict) or (plain.get("form"), plain.get("kind")) != (FORM, KIND):
        raise SeasonCannotBeRead(
            f'This is no season: it must begin with "form": {FORM} and "kind": "{KIND}".'
        )
    try:
        return SeasonQuestion(_facts(plain), {int(k): _week(w) for k, w in plain["begin_from"]})
    except KeyError as missing:
        raise SeasonCannotBeRead(f"{missing} is missing in the season; add it.") from missing
    except (TypeError, ValueError, AttributeError) as wrong:
        raise SeasonCannotBeRead(
            f"A value of the season is not of its kind ({wrong}); mend it and try again."
        ) from wrong


def _facts(plain: dict[str, Any]) -> SeasonFacts:
    return SeasonFacts(
        visits=tuple(_visit(row) for row in plain["visits"]),
        weeks=tuple(
            SeasonWeek(
                date.fromisoformat(row["starts_on"]),
                float(row["crew_min"]),
                float(row["promised_min"]),
            )
            for row in plain["weeks"]
        ),
        homes=tuple(_place(row) for row in plain["homes"]),
        storm_chances=tuple(float(chance) for chance in plain["storm_chances"]),
        travel=SeasonTravel(**_numbers(plain["travel"], SeasonTravel)),
        settings=_settings(plain["settings"]),
    )


def _visit(row: dict[str, Any]) -> SeasonVisit:
    given = row["costs"]
    costs: GivenCosts | PumpRisk
    if "weeks" in given:
        weeks = tuple(float(cost) for cost in given["weeks"])
        costs = GivenCosts(weeks, float(given["left_out"]))
    else:
        costs = PumpRisk(**_numbers(given, PumpRisk))
    return SeasonVisit(
        key=int(row["key"]),
        place=_place(row["place"]),
        work_min=float(row["work_min"]),
        costs=costs,
        earliest=int(row["earliest"]),
        last=_week(row["last"]),
        promised=_week(row["promised"]),
        offered=_week(row["offered"]),
    )


def _settings(row: dict[str, Any]) -> SeasonSettings:
    whole = {"cell_visits", "cell_weeks"}
    numbers = _numbers(row, SeasonSettings)
    return SeasonSettings(**{k: int(v) if k in whole else v for k, v in numbers.items()})


def _numbers(row: dict[str, Any], kind: Any) -> dict[str, Any]:
    return {field.name: float(row[field.name]) for field in fields(kind)}


def _place(row: Any) -> Place:
    lat, lon = row
    return Place(float(lat), float(lon))


def _week(value: Any) -> int | None:
    return None if value is None else int(value)


def season_plan_as_plain(plan: SeasonPlan) -> dict[str, Any]:
    """The answer as JSON values: week by key, what was set aside, levels, cost, bound and gap."""
    return {
        "weeks": [[key, week] for key, week in plan.weeks],
        "set_aside": [asdict(one) | {"fault": str(one.fault)} for one in plan.set_aside],
        "levels": [
            asdict(level) | {"starts_on": level.starts_on.isoformat()} for level in plan.levels
        ],
        "cost": asdict(plan.cost) | {"total": plan.cost.total},
        "cells": [[list(c.keys), c.drive_min, c.between_min] for c in plan.cells],
        "bound": plan.bound,
        "gap": plan.gap,
        "seed": plan.seed,
        "effort": asdict(plan.effort),
    }


def read_season_plan(plain: Mapping[str, Any]) -> SeasonPlan:
    """The answer back from its JSON values. Raises SeasonCannotBeRead."""
    try:
        cost = {field.name: float(plain["cost"][field.name]) for field in fields(SeasonCost)}
        return SeasonPlan(
            weeks=tuple((int(key), _week(week)) for key, week in plain["weeks"]),
            set_aside=tuple(
                SetAside(int(one["key"]), Fault(one["fault"]), str(one["words"]))
                for one in plain["set_aside"]
            ),
            cost=SeasonCost(**cost),
            bound=float(plain["bound"]),
            levels=tuple(_level(row) for row in plain["levels"]),
            cells=tuple(
                CellDrive(tuple(keys), float(drive), float(between))
                for keys, drive, between in plain["cells"]
            ),
            seed=int(plain["seed"]),
            effort=read_season_effort(plain["effort"]),
        )
    except (KeyError, TypeError, ValueError) as wrong:
        raise SeasonCannotBeRead(
            f"A stored season's answer is not of this form ({wrong}); ask for the season anew."
        ) from wrong


def _level(row: Mapping[str, Any]) -> WeekLevel:
    return WeekLevel(
        starts_on=date.fromisoformat(row["starts_on"]),
        load_min=float(row["load_min"]),
        rim_min=float(row["rim_min"]),
        price=float(row["price"]),
        planned=int(row["planned"]),
    )


def read_season_effort(plain: Mapping[str, Any]) -> SeasonEffort:
    """An effort as it was stored; what is not told is as usual. Raises SeasonCannotBeRead."""
    known = {field.name for field in fields(SeasonEffort)}
    unknown = sorted(set(plain) - known)
    if unknown:
        raise SeasonCannotBeRead(
            f"A season's effort knows {', '.join(sorted(known))}; {unknown[0]} is none of them."
        )
    return SeasonEffort(**{name: _week(value) for name, value in plain.items()})  # type: ignore[arg-type]
