"""What the page of the season says: does it fit, each week, how a proposal differs."""

from drainservice.visits.models import Plan
from drainservice.visits.queries import SeasonStanding, SeasonTold, WeekLoad
from drainservice.visits.queries.said import say_day


def say_lead(stand: SeasonStanding) -> str:
    """Whether it fits as it stands, before any search."""
    starts = say_day(stand.season.starts_on)
    over = [week for week in stand.weeks if week.over_min >= 30]
    planned = sum(week.planned_min for week in stand.weeks)
    if over:
        worst = max(over, key=lambda week: week.over_min)
        many = "one week stands" if len(over) == 1 else f"{len(over)} weeks stand"
        return (
            f"The wet season begins on {starts}, and {many} above the rim; the fullest is the week "
            f"of {say_day(worst.monday)}, {_hours(worst.over_min)} h over."
        )
    if not planned:
        return (
            f"The wet season begins on {starts}, and nothing is planned for the weeks before it "
            "yet; work out the season."
        )
    return f"The wet season begins on {starts}; every week before it stands below the rim."


def say_weeks(stand: SeasonStanding) -> list[tuple[WeekLoad, str]]:
    """Each week as a sentence."""
    return [(week, _say_week(week)) for week in stand.weeks]


def _say_week(week: WeekLoad) -> str:
    said = (
        f"{_hours(week.planned_min)} h planned and {_hours(week.promised_min)} h promised, of "
        f"{_hours(week.rim_min)} h"
    )
    if week.crew_min > week.rim_min:
        said += f" ({_hours(week.crew_min - week.rim_min)} h more are kept for what is urgent)"
    return said + (f": {_hours(week.over_min)} h over." if week.over_min >= 30 else ".")


def say_progress(plan: Plan | None) -> str:
    """How far a search is: 20,000 of 50,000 rebuilds; within 4 % of the best by now."""
    if plan is None:
        return ""
    if plan.cancel_wanted_at is not None:
        return "It stops in a moment and keeps the best it has found."
    done, wanted = plan.progress.get("done", 0), plan.progress.get("wanted", 0)
    if not wanted:
        return "The season is being worked out; this page asks again by itself."
    cost, bound = plan.progress.get("cost"), plan.progress.get("bound")
    said = f"The season is being worked out: {done:,} of {wanted:,} turns"
    if cost and bound and cost > 0 and bound > 0:
        said += f", within {max(0.0, (cost - bound) / bound * 100):.1f} % of the best by now"
    return said + "."


def say_change(adopted: Plan | None, plan: Plan, told: SeasonTold) -> list[str]:
    """A proposal beside the one that was adopted: risk, driving, offers that move."""
    moved = len(told.moved_offers)
    said = [
        f"{moved} offers that nobody has answered would get another week."
        if moved != 1
        else "One offer that nobody has answered would get another week."
    ]
    if adopted is None or not adopted.cost:
        return said
    for part, words in (("risk", "Risk"), ("driving", "Driving")):
        was, now = adopted.cost.get(part), plan.cost.get(part)
        if was is not None and now is not None:
            said.append(f"{words}: {now:,.0f} units; the adopted one had {was:,.0f}.")
    return said


def _hours(minutes: float) -> str:
    return f"{minutes / 60:.0f}"
