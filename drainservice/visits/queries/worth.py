"""What it would cost to leave a visit out that nobody was promised, in units."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from drainservice.engine.rounds.season.facts import PumpRisk
from drainservice.engine.rounds.season.risk import DEAD_UNITS, risk_curves
from drainservice.inspections.models import Due
from drainservice.register.models import System, WetSeason
from drainservice.visits.models import Visit, VisitSystem

# All judgement: the chance of a storm that matters in a week, within a wet season and outside;
# the chance that a pump is dead after a year where nothing was counted; the units that leaving
# out costs beyond the risk; and how many weeks are looked ahead.
STORM_IN_SEASON = 0.25
STORM_OUTSIDE = 0.02
DEAD_CHANCE = 0.05
LEFT_OUT_UNITS = 60.0
WEEKS = 16
YEAR_WEEKS = 365.25 / 7
# An urgent visit is left out for nothing but another promise.
URGENT_UNITS = 10_000


@dataclass(slots=True)
class Wanted:
    """What is known of why a visit is meant: the earliest day its looks are open, and its risks."""

    opens_on: date | None = None
    jurisdiction: int | None = None
    risks: list[PumpRisk] = field(default_factory=list)


def wanted_of(visits: Iterable[Visit], today: date) -> dict[int, Wanted]:
    """Why each of these visits is meant, in two statements."""
    numbers = [visit.pk for visit in visits if visit.pk is not None]
    rows = VisitSystem.objects.standing().filter(visit__in=numbers).order_by("pk")
    wanted = list(
        rows.values_list(
            "visit_id",
            "system_id",
            "looks_wanted",
            "system__consequence",
            "system__site__jurisdiction_id",
        )
    )
    dues: dict[int, list[Due]] = {}
    current = Due.objects.current().filter(system__in={row[1] for row in wanted})
    for due in current.only("system", "kind", "opens_on", "due_on", "dead_chance"):
        dues.setdefault(due.system_id, []).append(due)
    found: dict[int, Wanted] = {}
    for visit_id, system_id, looks, consequence, jurisdiction in wanted:
        one = found.setdefault(visit_id, Wanted(jurisdiction=jurisdiction))
        of_system = dues.get(system_id, [])
        opens = [due.opens_on for due in of_system if due.kind in looks]
        one.opens_on = min([day for day in (one.opens_on, *opens) if day], default=None)
        one.risks.append(_risk(consequence, of_system, today))
    return found


def _risk(consequence: str, dues: Iterable[Due], today: date) -> PumpRisk:
    """The pump's failure rate and age as its due date tells them: it is due a year after it was
    last seen to run, or sooner where it matters more; so the age is a bound from above."""
    pump = next((due for due in dues if due.kind == "pump"), None)
    chance = DEAD_CHANCE if pump is None or not pump.dead_chance else pump.dead_chance
    rate = -math.log1p(-min(chance, 0.999)) / YEAR_WEEKS
    left_weeks = 0.0 if pump is None else (pump.due_on - today).days / 7
    units = DEAD_UNITS.get(consequence, DEAD_UNITS["near_structure"])
    return PumpRisk(rate, max(0.0, YEAR_WEEKS - left_weeks), units)


def worth_of(visits: Iterable[Visit], wanted: Mapping[int, Wanted], today: date) -> dict[int, int]:
    """Units for leaving each visit out: the risk of the weeks ahead beyond the best of them, by
    the season's own curve (`risk_curves`), summed over its systems. One statement."""
    chances = _storm_chances({one.jurisdiction for one in wanted.values()}, today)
    curves = {
        place: risk_curves(risks, chances[place], WEEKS, LEFT_OUT_UNITS)[:, -1]
        for place, risks in _by_place(wanted).items()
    }
    taken = dict.fromkeys(curves, 0)
    worth = {}
    for number, one in wanted.items():
        if one.risks:
            begin = taken[one.jurisdiction]
            taken[one.jurisdiction] = begin + len(one.risks)
            worth[number] = round(sum(curves[one.jurisdiction][begin : begin + len(one.risks)]))
    plain = round(LEFT_OUT_UNITS)
    return {
        visit.pk: URGENT_UNITS if visit.is_urgent else worth.get(visit.pk, plain)
        for visit in visits
    }


def waiting_of(systems: Iterable[System], today: date, days: Iterable[date]) -> dict[date, int]:
    """What going on each day risks more than going on the best of them, in units, by the season's
    own curve summed over the systems; nothing where there are none. Two statements."""
    rows = list(systems)
    if not rows:
        return {}
    dues: dict[int, list[Due]] = {}
    for due in Due.objects.current().filter(system__in=rows):
        dues.setdefault(due.system_id, []).append(due)
    place = rows[0].site.jurisdiction_id
    chances = _storm_chances({place}, today)[place]
    risks = [_risk(row.consequence, dues.get(row.pk, []), today) for row in rows]
    by_week = risk_curves(risks, chances, WEEKS, LEFT_OUT_UNITS)[:, :-1].sum(axis=0)
    return {day: round(by_week[min((day - today).days // 7, WEEKS - 1)]) for day in days}


def _by_place(wanted: Mapping[int, Wanted]) -> dict[int | None, list[PumpRisk]]:
    found: dict[int | None, list[PumpRisk]] = {}
    for one in wanted.values():
        if one.risks:
            found.setdefault(one.jurisdiction, []).extend(one.risks)
    return found


def _storm_chances(places: set[int | None], today: date) -> dict[int | None, list[float]]:
    seasons: dict[int | None, list[tuple[str, str]]] = {place: [] for place in places}
    rows = WetSeason.objects.standing().filter(jurisdiction__in=places - {None})
    for place, starts, ends in rows.values_list("jurisdiction_id", "starts", "ends"):
        seasons[place].append((starts, ends))
    weeks = [f"{today + timedelta(weeks=week):%m-%d}" for week in range(WEEKS)]
    return {
        place: [
            STORM_IN_SEASON if any(_is_in(day, *ends) for ends in found) else STORM_OUTSIDE
            for day in weeks
        ]
        for place, found in seasons.items()
    }


def _is_in(day: str, starts: str, ends: str) -> bool:
    if starts <= ends:
        return starts <= day <= ends
    return day >= starts or day <= ends
