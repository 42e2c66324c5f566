"""The window before a wet season, and the plain rule that joins interval, season and cap."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor

from drainservice.engine.interval.due import GovernedBy
from drainservice.engine.units import YEAR_DAYS


@dataclass(frozen=True, slots=True)
class SeasonWindow:
    """Whether a look is needed before a season, from when it may be done and by when it is due."""

    is_needed: bool
    opens_on: date
    due_on: date


@dataclass(frozen=True, slots=True)
class JoinedDue:
    """A due date and what governed it."""

    due_on: date
    governed_by: GovernedBy


def window_before_season(
    season_on: date,
    last_pass_on: date,
    fresh_days: int = 60,
    opens_days: int = 45,
    due_days: int = 7,
) -> SeasonWindow:
    """By gap: needed when the last pass is more than `fresh_days` old as the season starts.

    Opens `opens_days`, is due `due_days` before the season. Judgement, no source; a public
    self-inspection list asks for all work before the rainy season (San Francisco).
    """
    age_days = (season_on - last_pass_on).days
    return SeasonWindow(
        is_needed=age_days > fresh_days,
        opens_on=season_on - timedelta(days=opens_days),
        due_on=season_on - timedelta(days=due_days),
    )


def interval_days(interval_a: float) -> int:
    """Whole days of an interval in years, floor(365.25 T)."""
    return floor(YEAR_DAYS * interval_a)


def join_interval_and_season(
    last_pass_on: date,
    interval_a: float,
    season_on: date,
    cap_days: int = 365,
    fresh_days: int = 60,
    due_days: int = 7,
) -> JoinedDue:
    """The earlier of interval and cap, moved up to before the season where that is needed.

    due = last pass + floor(365.25 min(T, cap)); if the season needs a look, begins after the last
    pass and the date lies behind its window, due = season - `due_days`. Judgement, no source.
    """
    return join_interval_and_seasons(
        last_pass_on, interval_a, [season_on], cap_days, fresh_days, due_days
    )


def join_interval_and_seasons(
    last_pass_on: date,
    interval_a: float,
    seasons_on: Sequence[date],
    cap_days: int = 365,
    fresh_days: int = 60,
    due_days: int = 7,
) -> JoinedDue:
    """The same with any number of wet seasons: the earliest that needs a look governs."""
    days = interval_days(interval_a)
    due_on = last_pass_on + timedelta(days=min(days, cap_days))
    governed_by = GovernedBy.CAP if days > cap_days else GovernedBy.INTERVAL
    for season_on in sorted(seasons_on):
        window = window_before_season(season_on, last_pass_on, fresh_days, due_days=due_days)
        if window.is_needed and last_pass_on < season_on and due_on > window.due_on:
            return JoinedDue(window.due_on, GovernedBy.SEASON)
    return JoinedDue(due_on, governed_by)
