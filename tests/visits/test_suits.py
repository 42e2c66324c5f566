"""What suits a household: days it likes, and a promise by name that no planner gives to another."""

from datetime import date

import pytest

from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.history import ChangedMeanwhile
from drainservice.visits import actions, queries
from drainservice.visits.actions import NamedTechnician, NobodyToName, NotInThisState
from drainservice.visits.models import Round, State, Visit
from tests import makers
from tests.visits.busy_week import TUESDAY, WEDNESDAY, booked, crew, planned, site

pytestmark = pytest.mark.django_db


@pytest.fixture
def people():
    return crew()


def version_of(who, day=TUESDAY):
    return Round.objects.get(technician=who, day=day).version


def gathered_stop(visit, *days):
    """The visit as planners read it."""
    told = queries.gather_rounds(at=makers.MONDAY, days=days or [TUESDAY, WEDNESDAY])
    number = next(n for n, one in enumerate(told.visits) if one.pk == visit.pk)
    return told, told.inputs.stops[number]


@pytest.mark.parametrize("state", [State.OFFERED, State.AGREED])
def test_a_promise_by_name_leaves_planners_one_technician(people, state):
    andrea, basil = people
    visit = booked(site(1, north=0.05), andrea, TUESDAY, 8, state=state)
    assert gathered_stop(visit)[1].only is None

    actions.name_technician(visit, True, asker=makers.clock())

    assert gathered_stop(visit)[1].only == {andrea.pk}
    # A plan that was made before is not adopted unseen.
    assert version_of(andrea) == 2
    with pytest.raises(NamedTechnician, match="by name"):
        actions.hand_on(visit, technician=basil, asker=makers.clock())
    actions.name_technician(visit, False, asker=makers.clock())
    assert gathered_stop(visit)[1].only is None
    actions.hand_on(visit, technician=basil, asker=makers.clock())


def test_other_times_of_a_named_promise_are_that_technicians(people):
    andrea, basil = people
    visit = booked(site(1, north=0.05), basil, TUESDAY, 8)
    wanted = queries.wanted_of_visit(visit)
    anybody = queries.good_times(wanted, at=makers.MONDAY, most=9).times
    actions.name_technician(visit, True, asker=makers.clock())
    named = queries.good_times(queries.wanted_of_visit(visit), at=makers.MONDAY, most=9).times
    # Where both would cost the same, the first of them is told.
    assert andrea in {one.technician for one in anybody}
    assert {one.technician for one in named} == {basil}


def test_nobody_is_named_where_nobody_was_promised(people):
    andrea, _ = people
    loose = planned(site(1))
    placed = planned(site(2))
    actions.put_in_round(placed, technician=andrea, day=TUESDAY, asker=makers.clock())
    for visit in (loose, placed):
        with pytest.raises(NobodyToName, match="offer one first"):
            actions.name_technician(visit, True, asker=makers.clock())


def test_days_that_are_liked_are_the_days_a_planner_may_take(people):
    visit = planned(site(1))
    whole = gathered_stop(visit)[1].windows
    # Wednesday afternoons; days are counted from the first that is asked about.
    actions.like_times(visit, ["2", "afternoon", "2"], asker=makers.clock())
    found, stop = gathered_stop(visit)
    assert Visit.objects.get().likes == ["2", "afternoon"]
    assert {found.day0.toordinal() + window.from_s // 86_400 for window in stop.windows} == {
        WEDNESDAY.toordinal()
    }
    assert all(window.from_s % 86_400 >= 12 * 3600 for window in stop.windows)
    assert len(whole) == 2


def test_what_nobody_can_like_is_refused(people):
    with pytest.raises(CannotBeDone, match="Nobody likes 'full moon'"):
        actions.like_times(planned(site(1)), ["full moon"], asker=makers.clock())


def test_a_visit_that_is_over_is_left_alone(people):
    visit = booked(site(1), people[0], date(2027, 5, 11), 8, state=State.MADE)
    with pytest.raises(NotInThisState):
        actions.like_times(visit, ["morning"], asker=makers.clock())
    with pytest.raises(NotInThisState):
        actions.name_technician(visit, True, asker=makers.clock())


def test_nobody_writes_over_what_another_kept_meanwhile(people):
    first, second = planned(site(1)), Visit.objects.get()
    actions.like_times(first, ["morning"], asker=makers.clock())
    with pytest.raises(ChangedMeanwhile):
        actions.like_times(second, ["afternoon"], asker=makers.clock())


def test_minutes_and_skills_are_changed_while_a_visit_stands_in_no_round(people):
    visit = planned(site(1), minutes=45)
    needed = {"minutes": 60, "skills": ["Electric", "camera", "electric"]}
    actions.change_need(visit, **needed, asker=makers.clock())
    kept = Visit.objects.get()
    assert (kept.minutes, kept.skills_wanted) == (60, ["camera", "electric"])
    assert gathered_stop(visit)[1].work_s == 3600

    actions.put_in_round(planned(site(2)), technician=people[0], day=TUESDAY, asker=makers.clock())
    placed = Visit.objects.get(site__address="2 Alder Rd")
    with pytest.raises(NotInThisState, match="take it out of there first"):
        actions.change_need(placed, **needed, asker=makers.clock())


@pytest.mark.parametrize("minutes", [4, 721])
def test_minutes_that_no_visit_takes_are_refused(people, minutes):
    with pytest.raises(CannotBeDone, match="5 to 720 minutes"):
        actions.change_need(planned(site(1)), minutes=minutes, skills=[], asker=makers.clock())
