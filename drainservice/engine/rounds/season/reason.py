"""Why a visit has the week it has: what it costs there, what it would cost elsewhere."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from drainservice.engine.rounds.season.facts import SeasonFacts, SeasonVisit
from drainservice.engine.rounds.season.result import CellDrive, SeasonPlan
from drainservice.engine.rounds.season.risk import week_costs


@dataclass(frozen=True, slots=True)
class WeekReason:
    """Why one visit has its week, costs in units.

    `units`: risk, a moved offer, and the drive if nobody else near is visited that week; left out,
    what that costs. `next_week`, `next_units`: the cheapest other week that has room. `full`:
    weeks that would be cheaper than this but have no room. `crowded`: cheaper weeks for which the
    neighbourhood would need one week of driving too many.
    """

    key: int
    week: int | None
    units: float
    is_promised: bool
    offered: int | None
    next_week: int | None
    next_units: float | None
    full: tuple[int, ...]
    crowded: tuple[int, ...]


def find_reasons(
    facts: SeasonFacts, plan: SeasonPlan, keys: Iterable[int] | None = None
) -> tuple[WeekReason, ...]:
    """A reason for each of these visits (all planned ones if not given), in the plan's order."""
    week_of = plan.week_of()
    wanted = set(week_of if keys is None else keys)
    numbers = [
        number
        for number, visit in enumerate(facts.visits)
        if visit.key in wanted and visit.key in week_of
    ]
    cell_of = {key: cell for cell in plan.cells for key in cell.keys}
    rows = week_costs(facts, numbers).tolist()
    return tuple(
        _reason(facts, plan, week_of, cell_of[facts.visits[number].key], number, row)
        for number, row in zip(numbers, rows, strict=True)
    )


def _reason(
    facts: SeasonFacts,
    plan: SeasonPlan,
    week_of: dict[int, int | None],
    cell: CellDrive,
    number: int,
    row: Sequence[float],
) -> WeekReason:
    visit = facts.visits[number]
    week = week_of[visit.key]
    near = {week_of[key] for key in cell.keys if key != visit.key} - {None}

    def units_in(other: int | None) -> float:
        charge = 0.0 if visit.offered in (None, other) else facts.settings.moved_units
        drive = 0.0 if other is None or other in near else cell.drive_min
        return row[-1 if other is None else other] + charge + drive

    if visit.promised is not None:
        return WeekReason(visit.key, week, row[visit.promised], True, None, None, None, (), ())
    own = units_in(week)
    possible, full, crowded = [], [], []
    for other in _allowed(facts, visit):
        if other == week:
            continue
        needed = visit.work_min + cell.between_min + (0.0 if other in near else cell.drive_min)
        level = plan.levels[other]
        if other not in near and len(near) >= facts.settings.cell_weeks:
            crowded.append(other)
        elif level.load_min + needed > level.rim_min:
            full.append(other)
        else:
            possible.append((units_in(other), other))
    next_units, next_week = min(possible, default=(None, None))
    return WeekReason(
        key=visit.key,
        week=week,
        units=own,
        is_promised=False,
        offered=visit.offered,
        next_week=next_week,
        next_units=next_units,
        full=tuple(other for other in full if units_in(other) < own),
        crowded=tuple(other for other in crowded if units_in(other) < own),
    )


def _allowed(facts: SeasonFacts, visit: SeasonVisit) -> list[int]:
    last = len(facts.weeks) - 1 if visit.last is None else visit.last
    return [
        week
        for week, given in enumerate(facts.weeks)
        if visit.earliest <= week <= last and given.crew_min > 0.0
    ]
