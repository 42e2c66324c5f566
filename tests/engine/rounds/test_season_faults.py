"""What was entered wrongly is named, with what to change; a visit is never dropped in silence."""

from dataclasses import replace
from datetime import timedelta
from math import nan

import pytest

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import PlaceCannotBe
from drainservice.engine.rounds.season import faults as faults
from drainservice.engine.rounds.season.facts import GivenCosts, PumpRisk, SeasonTravel
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import Fault, SeasonEffort
from tests.engine.rounds.season_makers import MONDAY, PLAIN, YARD, make_season, make_visit

LITTLE = SeasonEffort(10, 20, None, 0)
OTHER = make_visit(2, (0, 0))


def plan_with(**changes):
    """A season of a sound visit and one that is changed."""
    season = make_season([replace(make_visit(1, (0, 0)), **changes), OTHER], crew=(300, 300))
    return solve_season(season, effort=LITTLE)


@pytest.mark.parametrize(
    ("changes", "fault", "words"),
    [
        ({"place": Place(0.0, 0.0)}, Fault.PLACE, "mostly means that nothing was entered"),
        ({"place": Place(nan, 1.0)}, Fault.PLACE, "no numbers"),
        ({"place": Place(YARD.lon, YARD.lat)}, Fault.PLACE, "were the two swapped"),
        ({"place": Place(YARD.lat, -YARD.lon)}, Fault.PLACE, "the other sign of the longitude"),
        ({"work_min": -5.0}, Fault.MINUTES, "would take -5 minutes"),
        ({"work_min": 0.0}, Fault.MINUTES, "enter how long it takes"),
        ({"costs": GivenCosts((0.0,), 1.0)}, Fault.COSTS, "costs for 1 weeks, the season has 2"),
        ({"costs": GivenCosts((0.0, nan), 1.0)}, Fault.COSTS, "no number"),
        ({"costs": PumpRisk(-0.1, 4.0, 200.0)}, Fault.COSTS, "below nothing"),
        ({"earliest": 1, "last": 0}, Fault.ENDS_BEFORE_IT_BEGINS, "by week 1, but not before"),
        ({"last": -1}, Fault.OUTSIDE_SEASON, "plan it by hand"),
        ({"earliest": 2}, Fault.OUTSIDE_SEASON, "choose other weeks"),
        ({"earliest": -3, "last": -1}, Fault.OUTSIDE_SEASON, "plan it by hand"),
        ({"offered": 2}, Fault.OFFERED_OUTSIDE, "take the offer back"),
        ({"promised": 2}, Fault.PROMISED_OUTSIDE, "outside this season"),
        ({"work_min": 301.0}, Fault.TOO_LONG, "split it, or add crew"),
    ],
)
def test_a_visit_at_fault_is_set_aside_with_what_to_change(changes, fault, words):
    plan = plan_with(**changes)

    [aside] = plan.set_aside
    assert (aside.key, aside.fault) == (1, fault)
    assert words in aside.words
    assert aside.words.startswith("Visit 1 ")
    assert plan.week_of() == {2: 0} or plan.week_of() == {2: 1}


def test_a_promise_into_a_week_in_which_nobody_works_is_set_aside_by_name():
    season = make_season([make_visit(1, (0, 0), promised=0), OTHER], crew=(0, 300))

    [aside] = solve_season(season, effort=LITTLE).set_aside

    assert aside.fault is Fault.PROMISED_CLOSED
    assert "promised for the week of 2027-02-15, in which nobody works" in aside.words


def test_a_visit_that_may_only_come_in_closed_weeks_is_set_aside():
    season = make_season([make_visit(1, (0, 0), last=0), OTHER], crew=(0, 300))

    [aside] = solve_season(season, effort=LITTLE).set_aside

    assert aside.fault is Fault.ALL_CLOSED


def test_a_visit_that_fits_but_for_its_drive_is_left_out_not_set_aside():
    plan = plan_with(work_min=290.0)

    assert plan.set_aside == ()
    assert 1 in plan.left_out


SOUND = make_season([OTHER])


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"weeks": ()}, faults.NoWeeks),
        ({"weeks": SOUND.weeks * 27}, faults.NoWeeks),
        ({"homes": ()}, faults.NoYard),
        ({"homes": (Place(0.0, 0.0),)}, PlaceCannotBe),
        ({"visits": (OTHER, OTHER)}, faults.TwoVisitsOneKey),
        ({"storm_chances": (0.1,)}, faults.StormChancesCannotBe),
        ({"storm_chances": (0.1, 1.2)}, faults.StormChancesCannotBe),
        ({"storm_chances": (0.1, nan)}, faults.StormChancesCannotBe),
        ({"settings": replace(PLAIN, reserve_share=1.0)}, faults.SettingCannotBe),
        ({"settings": replace(PLAIN, moved_units=-1.0)}, faults.SettingCannotBe),
        ({"settings": replace(PLAIN, left_out_units=nan)}, faults.SettingCannotBe),
        ({"settings": replace(PLAIN, cell_weeks=4)}, faults.SettingCannotBe),
        ({"settings": replace(PLAIN, cell_visits=0)}, faults.SettingCannotBe),
        ({"travel": SeasonTravel(speed_kmh=0.0)}, faults.SettingCannotBe),
        ({"travel": SeasonTravel(detour=0.9)}, faults.SettingCannotBe),
        ({"travel": SeasonTravel(park_min=-1.0)}, faults.SettingCannotBe),
    ],
)
def test_a_season_that_lacks_something_is_refused_by_name(changes, error):
    with pytest.raises(error, match=r"\.$"):
        solve_season(replace(SOUND, **changes), effort=LITTLE)


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"crew_min": -1.0}, faults.WeekCannotBe),
        ({"crew_min": nan}, faults.WeekCannotBe),
        ({"promised_min": -1.0}, faults.WeekCannotBe),
        ({"starts_on": MONDAY + timedelta(days=1)}, faults.WeekCannotBe),
    ],
)
def test_a_week_that_cannot_be_is_refused_by_name(changes, error):
    weeks = (replace(SOUND.weeks[0], **changes), SOUND.weeks[1])

    with pytest.raises(error):
        solve_season(replace(SOUND, weeks=weeks), effort=LITTLE)


def test_a_season_without_any_crew_is_refused_whether_absent_or_promised_away():
    with pytest.raises(faults.NoCrew, match="enter shifts, or open days"):
        solve_season(make_season([OTHER], crew=(0, 0)), effort=LITTLE)
    away = tuple(replace(week, promised_min=600.0) for week in SOUND.weeks)
    with pytest.raises(faults.NoCrew):
        solve_season(replace(SOUND, weeks=away), effort=LITTLE)
