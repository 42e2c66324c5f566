"""An independent judge of a season's plan: counts all again by plain steps, one visit at a time.

Every plan passes here before it is shown. Nothing of the planner is imported but what goes in and
what comes out.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, exp, pi, sqrt

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import EARTH_KM, FAR_KM, haversine_km
from drainservice.engine.rounds.season.facts import (
    GivenCosts,
    PumpRisk,
    SeasonFacts,
    SeasonVisit,
)
from drainservice.engine.rounds.season.result import SeasonCost, SeasonPlan

NEAR_MIN = 1e-6
NEAR_SHARE = 1e-9
# Shortest way through random points, 0.7124 sqrt(n A): from memory (Johnson, McGeoch 1996).
POINTS_CONSTANT = 0.7124


class SeasonPlanBroken(ValueError):
    """A season's plan breaks a rule; the text says which, and where."""


@dataclass(frozen=True, slots=True)
class _Read:
    """A plan by visit: `cell_of` by key, `there` the visits by (cell, week) and by week."""

    visits: dict[int, SeasonVisit]
    cell_of: dict[int, int]
    in_week: dict[int, list[int]]
    weeks_of_cell: dict[int, set[int]]


def assert_season_sound(facts: SeasonFacts, plan: SeasonPlan) -> None:
    """Raise SeasonPlanBroken with the first faults, where there are any."""
    faults = find_season_faults(facts, plan)
    if faults:
        raise SeasonPlanBroken(" ".join(faults[:5]))


def find_season_faults(facts: SeasonFacts, plan: SeasonPlan) -> list[str]:
    """Every rule the plan breaks, as sentences; empty: it may be shown."""
    counted = list(_faults_of_count(facts, plan))
    if counted:
        return counted
    read = _read(facts, plan)
    return [
        *_faults_of_weeks(facts, plan, read),
        *_faults_of_cells(facts, plan, read),
        *_faults_of_loads(facts, plan, read),
        *_faults_of_cost(facts, plan),
        *_faults_of_set_aside(facts, plan, read),
    ]


def count_season_cost(facts: SeasonFacts, plan: SeasonPlan) -> SeasonCost:
    """What the plan costs by part, from the facts alone."""
    read = _read(facts, plan)
    risk = moved = left_out = 0.0
    for key, week in plan.weeks:
        visit = read.visits[key]
        costs, out = _week_units(facts, visit)
        if week is None:
            left_out += out
        else:
            risk += costs[week]
        if visit.promised is None and visit.offered is not None and visit.offered != week:
            moved += facts.settings.moved_units
    driving = sum(
        plan.cells[cell].drive_min * len(weeks) for cell, weeks in read.weeks_of_cell.items()
    )
    return SeasonCost(risk, driving, moved, left_out)


def _faults_of_count(facts: SeasonFacts, plan: SeasonPlan) -> Iterator[str]:
    named = [key for key, _ in plan.weeks] + [one.key for one in plan.set_aside]
    for key, times in Counter(named).items():
        if times > 1:
            yield f"Visit {key} stands {times} times in the plan."
    given = {visit.key for visit in facts.visits}
    for key in sorted(given.symmetric_difference(named)):
        yield (
            f"Visit {key} is neither planned, left out nor set aside."
            if key in given
            else f"Visit {key} is planned, but nobody asked for it."
        )
    placed = Counter(key for cell in plan.cells for key in cell.keys)
    planned = {key for key, _ in plan.weeks}
    if set(placed) != planned or any(times > 1 for times in placed.values()):
        yield "The neighbourhoods do not hold each planned visit just once."
    if len(plan.levels) != len(facts.weeks):
        yield f"The plan has {len(plan.levels)} weeks, the season {len(facts.weeks)}."
    for key, week in plan.weeks:
        if week is not None and not 0 <= week < len(facts.weeks):
            yield f"Visit {key} stands in week {week + 1}, which the season does not have."


def _read(facts: SeasonFacts, plan: SeasonPlan) -> _Read:
    cell_of = {key: number for number, cell in enumerate(plan.cells) for key in cell.keys}
    in_week: dict[int, list[int]] = defaultdict(list)
    weeks_of_cell: dict[int, set[int]] = defaultdict(set)
    for key, week in plan.weeks:
        if week is not None:
            in_week[week].append(key)
            weeks_of_cell[cell_of[key]].add(week)
    return _Read({v.key: v for v in facts.visits}, cell_of, in_week, weeks_of_cell)


def _faults_of_weeks(facts: SeasonFacts, plan: SeasonPlan, read: _Read) -> Iterator[str]:
    for key, week in plan.weeks:
        visit = read.visits[key]
        if visit.promised is not None:
            if week != visit.promised:
                yield f"Visit {key} is promised for week {visit.promised + 1} and was moved."
        elif week is not None:
            if week < visit.earliest or (visit.last is not None and week > visit.last):
                yield f"Visit {key} stands in week {week + 1}, outside of its own weeks."
            if facts.weeks[week].crew_min <= 0.0:
                yield f"Visit {key} stands in week {week + 1}, in which nobody works."


def _faults_of_cells(facts: SeasonFacts, plan: SeasonPlan, read: _Read) -> Iterator[str]:
    for number, cell in enumerate(plan.cells):
        named = f"The neighbourhood of visit {cell.keys[0]}"
        visits = [read.visits[key] for key in cell.keys]
        if len(cell.keys) > facts.settings.cell_visits:
            yield f"{named} has {len(cell.keys)} visits, above the limit."
        promised = {visit.promised for visit in visits if visit.promised is not None}
        most = max(facts.settings.cell_weeks, len(promised))
        if len(read.weeks_of_cell[number]) > most:
            yield f"{named} is driven to in {len(read.weeks_of_cell[number])} weeks, above {most}."
        drive, between = _drives_of([visit.place for visit in visits], facts)
        if abs(drive - cell.drive_min) > NEAR_MIN:
            yield f"{named} takes {drive:.1f} minutes to drive to, not {cell.drive_min:.1f}."
        if abs(between - cell.between_min) > NEAR_MIN:
            yield f"{named} takes {between:.2f} minutes between doors, not {cell.between_min:.2f}."


def _drives_of(places: list[Place], facts: SeasonFacts) -> tuple[float, float]:
    lats, lons = sorted(p.lat for p in places), sorted(p.lon for p in places)
    count = len(places)
    centre = Place(sum(lats) / count, sum(lons) / count)
    travel = facts.travel
    out_km = min(travel.detour * haversine_km(home, centre) for home in facts.homes)
    high_km = (lats[-1] - lats[0]) * pi / 180 * EARTH_KM
    wide_km = (lons[-1] - lons[0]) * pi / 180 * EARTH_KM * cos((lats[0] + lats[-1]) * pi / 360)
    each_km = POINTS_CONSTANT * sqrt(high_km * wide_km / count)
    between_h = travel.detour * each_km / travel.near_speed_kmh
    return 60 * 2 * out_km / travel.speed_kmh, travel.park_min + 60 * between_h


def _faults_of_loads(facts: SeasonFacts, plan: SeasonPlan, read: _Read) -> Iterator[str]:
    for number, level in enumerate(plan.levels):
        named = f"Week {number + 1}"
        keys = read.in_week[number]
        cells = {read.cell_of[key] for key in keys}
        load = sum(read.visits[k].work_min + plan.cells[read.cell_of[k]].between_min for k in keys)
        load += sum(plan.cells[cell].drive_min for cell in cells)
        given = facts.weeks[number]
        free = given.crew_min - facts.settings.reserve_share * given.crew_min - given.promised_min
        rim = max(free, 0.0)
        if abs(load - level.load_min) > NEAR_MIN * 10 or level.planned != len(keys):
            yield f"{named} is filled with {load:.1f} minutes, not {level.load_min:.1f}."
        if abs(rim - level.rim_min) > NEAR_MIN:
            yield f"{named} may be filled with {rim:.1f} minutes, not {level.rim_min:.1f}."
        over = load > rim + NEAR_MIN
        if over and any(read.visits[key].promised is None for key in keys):
            yield f"{named} is filled {load - rim:.1f} minutes above its rim."


def _faults_of_cost(facts: SeasonFacts, plan: SeasonPlan) -> Iterator[str]:
    own = count_season_cost(facts, plan)
    for part in ("risk", "driving", "moved", "left_out"):
        counted, said = getattr(own, part), getattr(plan.cost, part)
        if abs(counted - said) > NEAR_MIN + NEAR_SHARE * abs(counted) * len(plan.weeks):
            yield f"The part {part} of the cost is {counted:.3f} units, not {said:.3f}."
    if plan.bound > own.total + NEAR_MIN + NEAR_SHARE * own.total * len(plan.weeks):
        yield f"The bound of {plan.bound:.3f} units stands above the plan's {own.total:.3f}."


def _faults_of_set_aside(facts: SeasonFacts, plan: SeasonPlan, read: _Read) -> Iterator[str]:
    for one in plan.set_aside:
        if _could_be_planned(facts, read.visits[one.key]):
            yield f"Visit {one.key} was set aside without need."


def _could_be_planned(facts: SeasonFacts, visit: SeasonVisit) -> bool:
    lat, lon = visit.place.lat, visit.place.lon
    on_earth = abs(lat) <= 90 and abs(lon) <= 180 and (lat, lon) != (0, 0)
    if not on_earth or min(haversine_km(home, visit.place) for home in facts.homes) > FAR_KM:
        return False
    given = visit.costs
    if isinstance(given, GivenCosts):
        if len(given.weeks) != len(facts.weeks):
            return False
        values = [*given.weeks, given.left_out]
    else:
        values = [given.failure_per_week, given.age_weeks, given.dead_units]
    if not all(0 <= value <= 1e9 for value in values) or not 0 < visit.work_min <= 7 * 24 * 60:
        return False
    count = len(facts.weeks)
    if visit.promised is not None:
        return 0 <= visit.promised < count and facts.weeks[visit.promised].crew_min > 0
    if visit.offered is not None and not 0 <= visit.offered < count:
        return False
    last = count - 1 if visit.last is None else visit.last
    return any(
        visit.earliest <= week <= last
        and facts.weeks[week].crew_min > 0
        and facts.rim_min(week) >= visit.work_min
        for week in range(count)
    )


def _week_units(facts: SeasonFacts, visit: SeasonVisit) -> tuple[list[float], float]:
    if isinstance(visit.costs, GivenCosts):
        return list(visit.costs.weeks), visit.costs.left_out
    return _risk_units(facts, visit.costs)


def _risk_units(facts: SeasonFacts, risk: PumpRisk) -> tuple[list[float], float]:
    """The risk curve by steps from week to week: what is alive decays by r = exp(-rate) a week, so
    the storms a visit in week w is good for follow from those of week w + 1."""
    r = exp(-risk.failure_per_week)
    alive = exp(-risk.failure_per_week * risk.age_weeks)
    before = [0.0]
    for chance in facts.storm_chances:
        before.append(before[-1] + chance * (1.0 - alive))
        alive *= r
    good, storms = 0.0, 0.0
    after = []
    for chance in reversed(facts.storm_chances):
        good = chance + r * good
        storms += chance
        after.append(storms - good)
    after.reverse()
    raw = [risk.dead_units * (before[week] + after[week]) for week in range(len(facts.weeks))]
    least = min(raw)
    out = risk.dead_units * before[-1] + facts.settings.left_out_units
    return [units - least for units in raw], out - least
