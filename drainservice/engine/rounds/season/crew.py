"""What more crew in some weeks would do: the season is planned again with it, and compared."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from drainservice.engine.rounds.season.facts import SeasonFacts
from drainservice.engine.rounds.season.faults import SeasonCannotBePlanned
from drainservice.engine.rounds.season.plan import never, solve_season, unheard
from drainservice.engine.rounds.season.result import SeasonEffort, SeasonPlan, SeasonProgress


class CrewWeeksCannotBe(SeasonCannotBePlanned):
    """More crew is asked for in weeks that the season does not have or in which nobody works."""


@dataclass(frozen=True, slots=True)
class CrewWhatIf:
    """A season with `added_min` more minutes of crew in each open week from one to another.

    `placed`: how many more visits have a week; `saved_units`: by how much the season is cheaper,
    the added crew not counted.
    """

    first_on: date
    last_on: date
    added_min: float
    placed: int
    saved_units: float
    plan: SeasonPlan


def what_if_crew(
    facts: SeasonFacts,
    plan: SeasonPlan,
    first_week: int,
    last_week: int,
    added_min: float,
    seed: int = 1,
    effort: SeasonEffort | None = None,
    should_stop: Callable[[], bool] = never,
    told: Callable[[SeasonProgress], None] = unheard,
) -> CrewWhatIf:
    """Plan the facts of `plan` again with more crew, beginning from it. Closed weeks stay closed.

    `added_min` is per week, the reserve to be taken off. Raises CrewWeeksCannotBe and what
    solve_season raises.
    """
    inside = range(max(first_week, 0), min(last_week, len(facts.weeks) - 1) + 1)
    is_open = any(facts.weeks[week].crew_min > 0.0 for week in inside)
    if not (0 <= first_week <= last_week < len(facts.weeks) and is_open and added_min > 0.0):
        raise CrewWeeksCannotBe(
            f"More crew needs minutes above 0, and weeks from 1 to {len(facts.weeks)} of which at "
            "least one is open; choose other weeks."
        )
    weeks = tuple(
        replace(week, crew_min=week.crew_min + added_min)
        if number in inside and week.crew_min > 0.0
        else week
        for number, week in enumerate(facts.weeks)
    )
    then = solve_season(
        replace(facts, weeks=weeks), seed, effort, plan.week_of(), should_stop, told
    )
    return CrewWhatIf(
        first_on=facts.weeks[first_week].starts_on,
        last_on=facts.weeks[last_week].starts_on,
        added_min=added_min,
        placed=len(plan.left_out) - len(then.left_out),
        saved_units=plan.cost.total - then.cost.total,
        plan=then,
    )
