"""The window before a wet season and the plain rule that joins it with the interval."""

from datetime import date

import pytest

from drainservice.engine.interval.due import GovernedBy
from drainservice.engine.interval.season import (
    interval_days,
    join_interval_and_season,
    join_interval_and_seasons,
    window_before_season,
)
from tests.engine.cases import case


def test_F07_window_before_the_wet_season():
    c = case("F07")
    opens, due = c.raw("window_days_before")
    got = window_before_season(
        date.fromisoformat(c.raw("season_start")),
        date.fromisoformat(c.raw("last_pass")),
        c.raw("fresh_days"),
        opens,
        due,
    )

    c.assert_holds("needed", got.is_needed)
    c.assert_holds("window_open", got.opens_on.isoformat())
    c.assert_holds("window_close", got.due_on.isoformat())


def test_F09_interval_against_the_wet_season():
    c = case("F09")
    got = join_interval_and_season(
        date.fromisoformat(c.raw("last_pass")),
        c.raw("interval") / 12,
        date.fromisoformat(c.raw("season_start")),
        c.raw("cap_days"),
    )

    c.assert_holds("due", got.due_on.isoformat())
    c.assert_holds("governed_by", str(got.governed_by))


def test_interval_alone_is_counted_in_whole_days():
    # floor(365.25 x 9.4/12) = floor(286.1) = 286 days: 10 November 2026 to 23 August 2027.
    assert interval_days(9.4 / 12) == 286
    far_season = date(2028, 6, 1)
    got = join_interval_and_season(date(2026, 11, 10), 9.4 / 12, far_season)
    assert (got.due_on, got.governed_by) == (date(2027, 8, 23), GovernedBy.INTERVAL)


@pytest.mark.parametrize(
    ("months", "last_pass_on", "due_on", "governed_by"),
    [
        # 13.7 months exceed the cap; 5 May + 365 d lies before 25 May 2028.
        (13.7, date(2027, 5, 5), date(2028, 5, 4), GovernedBy.CAP),
        # 4 months end before the season's window.
        (4, date(2026, 11, 10), date(2027, 3, 11), GovernedBy.INTERVAL),
        # Tested 40 days before the season: fresh enough, so the cap holds.
        (13.7, date(2027, 4, 22), date(2028, 4, 21), GovernedBy.CAP),
        # 61 days before: no longer fresh.
        (13.7, date(2027, 4, 1), date(2027, 5, 25), GovernedBy.SEASON),
    ],
)
def test_earliest_of_interval_cap_and_season_governs(months, last_pass_on, due_on, governed_by):
    season_on = date(2027, 6, 1) if last_pass_on < date(2027, 5, 1) else date(2028, 6, 1)
    got = join_interval_and_season(last_pass_on, months / 12, season_on)

    assert (got.due_on, got.governed_by) == (due_on, governed_by)


@pytest.mark.parametrize(
    ("months", "due_on", "governed_by"),
    [
        (13.7, date(2027, 5, 25), GovernedBy.SEASON),  # the nearer of two
        (5.0, date(2027, 4, 11), GovernedBy.INTERVAL),  # 152 days, before either window
    ],
)
def test_the_nearest_of_several_seasons_governs(months, due_on, governed_by):
    seasons = [date(2027, 12, 15), date(2027, 6, 1)]
    got = join_interval_and_seasons(date(2026, 11, 10), months / 12, seasons)

    assert (got.due_on, got.governed_by) == (due_on, governed_by)


def test_a_pass_just_before_one_season_leaves_the_next_to_govern():
    # 20 April is 42 days before June: fresh. 239 days before 15 December: due 8 December.
    seasons = [date(2027, 6, 1), date(2027, 12, 15)]
    got = join_interval_and_seasons(date(2027, 4, 20), 13.7 / 12, seasons)

    assert (got.due_on, got.governed_by) == (date(2027, 12, 8), GovernedBy.SEASON)


def test_without_a_season_interval_and_cap_are_left():
    got = join_interval_and_seasons(date(2027, 4, 20), 13.7 / 12, [])

    assert (got.due_on, got.governed_by) == (date(2028, 4, 19), GovernedBy.CAP)


def test_the_edges_of_the_window_by_the_gap_rule():
    season = date(2027, 6, 1)

    # Sixty days are still fresh, sixty-one are not.
    assert not window_before_season(season, date(2027, 4, 2)).is_needed
    assert window_before_season(season, date(2027, 4, 1)).is_needed
    opened = window_before_season(season, date(2027, 4, 1))
    assert (opened.opens_on, opened.due_on) == (date(2027, 4, 17), date(2027, 5, 25))


def test_the_edges_of_the_plain_rule():
    season = date(2027, 6, 1)

    # 365 days and no more are governed by the interval: floor(365.25 T) = 365.
    at_cap = join_interval_and_season(date(2026, 11, 10), 1.0, date(2030, 6, 1))
    assert (at_cap.due_on, at_cap.governed_by) == (date(2027, 11, 10), GovernedBy.INTERVAL)
    # Due on the window's last day anyway: the interval keeps its word. 25 May is 196 days on.
    same_day = join_interval_and_season(date(2026, 11, 10), 196.1 / 365.25, season)
    assert (same_day.due_on, same_day.governed_by) == (date(2027, 5, 25), GovernedBy.INTERVAL)
    # A season on the day of the pass itself is past.
    on_the_day = join_interval_and_season(season, 13.7 / 12, season, fresh_days=-1)
    assert on_the_day.governed_by is GovernedBy.CAP


def test_sixty_days_are_fresh_for_several_seasons_too():
    seasons = [date(2027, 6, 1)]

    fresh = join_interval_and_seasons(date(2027, 4, 2), 13.7 / 12, seasons)
    stale = join_interval_and_seasons(date(2027, 4, 1), 13.7 / 12, seasons)

    assert (fresh.governed_by, stale.governed_by) == (GovernedBy.CAP, GovernedBy.SEASON)
