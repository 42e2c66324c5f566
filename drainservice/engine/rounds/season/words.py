"""A season's plan in the sentences a dispatcher reads."""

from collections.abc import Sequence
from datetime import date
from math import ceil

from drainservice.engine.rounds.season.crew import CrewWhatIf
from drainservice.engine.rounds.season.facts import SeasonFacts
from drainservice.engine.rounds.season.reason import WeekReason
from drainservice.engine.rounds.season.result import SeasonPlan, WeekLevel

HOUR_MIN = 60.0
ROUNDING_SHARE = 1e-9


def say_fit(plan: SeasonPlan) -> str:
    """Every visit has a week. / These 150 will not fit."""
    count = len(plan.left_out)
    if count == 0:
        return "Every visit has a week."
    return "This one will not fit." if count == 1 else f"These {count} will not fit."


def say_set_aside(plan: SeasonPlan) -> str:
    """How many visits could not be planned as entered; empty without any."""
    count = len(plan.set_aside)
    if count == 0:
        return ""
    if count == 1:
        return "One visit was not planned, for something about it must be mended first."
    return f"{count} visits were not planned, for something about them must be mended first."


def say_gap(plan: SeasonPlan) -> str:
    """Within 2 % of the best that any plan could be; rounded up, so that it always holds."""
    if plan.gap is None:
        return "How good this plan is could not be proven."
    if plan.gap <= ROUNDING_SHARE:
        return "No plan could be better."
    percent = plan.gap * 100
    if percent < 1.0:
        return "Within 1 % of the best that any plan could be."
    return f"Within {ceil(percent - ROUNDING_SHARE)} % of the best that any plan could be."


def say_price(level: WeekLevel) -> str:
    """What an hour more of crew would do in a week; empty where hours are to spare."""
    units = level.price * HOUR_MIN
    if units < 0.5:
        return ""
    return f"An hour more in the week of {say_day(level.starts_on)} saves {_units(units)} of risk."


def say_level(level: WeekLevel) -> str:
    """How full a week is, and what stands above its rim."""
    start = f"Week of {say_day(level.starts_on)}: "
    if round(level.rim_min) <= 0 and round(level.load_min) <= 0:
        return f"{start}nobody works."
    said = f"{start}{_hours(level.load_min)} of {_hours(level.rim_min)} h filled."
    if round(level.over_min / HOUR_MIN, 1) > 0.0:
        over = _hours(level.over_min)
        return f"{said} {over} h over, all of it promised: move a promise or add crew."
    return said


def say_what_if(what_if: CrewWhatIf, technicians: int = 1) -> str:
    """One more technician in the weeks of 3 to 31 May would place 120 of them and save 900 units.

    `technicians` is how many the added minutes stand for.
    """
    who = "One more technician" if technicians == 1 else f"{technicians} more technicians"
    gains = []
    if what_if.placed > 0:
        gains.append(f"place {what_if.placed} of them")
    if round(what_if.saved_units) > 0:
        gains.append(f"save {_units(what_if.saved_units)}")
    does = " and ".join(gains) or "change nothing"
    return f"{who} in {_span(what_if.first_on, what_if.last_on)} would {does}."


def say_reason(reason: WeekReason, facts: SeasonFacts) -> str:
    """Why one visit has its week, or none."""
    if reason.is_promised and reason.week is not None:
        return f"Promised for the week of {_day(facts, reason.week)}, so it stays there."
    said = [_say_own(reason, facts)]
    if reason.next_week is not None and reason.next_units is not None:
        said.append(
            f"Next best: the week of {_day(facts, reason.next_week)}, {_units(reason.next_units)}."
        )
    elif reason.week is not None:
        said.append("No other of its weeks has room.")
    is_shut_out = reason.week is None and reason.next_week is None
    if reason.full and not is_shut_out:
        said.append(f"Cheaper, but full: {_days(facts, reason.full)}.")
    if reason.crowded:
        said.append(
            f"Cheaper, but its neighbourhood is driven to in {_weeks(facts.settings.cell_weeks)} "
            f"already: {_days(facts, reason.crowded)}."
        )
    return " ".join(said)


def _say_own(reason: WeekReason, facts: SeasonFacts) -> str:
    if reason.week is None:
        if reason.next_units is not None and reason.next_units >= reason.units:
            return f"Left out, at {_units(reason.units)}: any week with room would cost more."
        if reason.next_week is None:
            return f"Left out, at {_units(reason.units)}: none of its weeks has room."
        return f"Left out, at {_units(reason.units)}."
    here = f"Week of {_day(facts, reason.week)}, {_units(reason.units)}"
    if reason.offered is None:
        return f"{here}."
    if reason.offered == reason.week:
        return f"{here}; it was offered for that week and stays there."
    charge = _units(facts.settings.moved_units)
    return f"{here}, {charge} of them for moving the offer of {_day(facts, reason.offered)}."


def say_day(day: date) -> str:
    """14 May"""
    return f"{day.day} {day:%B}"


def _day(facts: SeasonFacts, week: int) -> str:
    return say_day(facts.weeks[week].starts_on)


def _days(facts: SeasonFacts, weeks: Sequence[int]) -> str:
    days = [_day(facts, week) for week in weeks]
    if len(days) == 1:
        return f"the week of {days[0]}"
    return f"the weeks of {', '.join(days[:-1])} and {days[-1]}"


def _span(first: date, last: date) -> str:
    if first == last:
        return f"the week of {say_day(first)}"
    return f"the weeks of {say_day(first)} to {say_day(last)}"


def _weeks(count: int) -> str:
    return "1 week" if count == 1 else f"{count} weeks"


def _units(units: float) -> str:
    count = round(units)
    return "1 unit" if count == 1 else f"{count:,} units"


def _hours(minutes: float) -> str:
    return f"{minutes / HOUR_MIN:.0f}" if minutes >= 600 else f"{minutes / HOUR_MIN:.1f}"
