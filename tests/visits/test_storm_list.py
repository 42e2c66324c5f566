"""A list before a storm becomes urgent visits, one a site, which a repair finds their times."""

from datetime import date

import pytest

from drainservice.visits import queries
from drainservice.visits.actions.storm_list import NothingOnTheList, list_for_storm
from drainservice.visits.models import Visit
from tests import makers
from tests.visits.busy_week import TUESDAY, booked, crew, planned, site

pytestmark = pytest.mark.django_db


def put_on_list(*systems, day=TUESDAY):
    wanted = {system: ["pump"] for system in systems}
    minutes = {system.site_id: 30 for system in systems}
    return list_for_storm(day, wanted, asker=makers.clock(), minutes=minutes)


def test_two_systems_of_a_site_are_one_visit():
    crew()
    first, second = site(1), site(2)
    systems = [makers.make_system(first), makers.make_system(first), makers.make_system(second)]

    found = put_on_list(*systems)

    assert [visit.site for visit in found] == [first, second]
    assert [row.system for row in found[0].visit_systems.order_by("pk")] == systems[:2]
    assert all((v.is_urgent, v.wanted_by, v.minutes) == (True, TUESDAY, 30) for v in found)


def test_the_list_is_urgent_in_the_repair_of_the_day():
    crew()
    found = put_on_list(makers.make_system(site(1)))

    aid = queries.first_aid_for(TUESDAY, at=makers.MONDAY)

    assert aid.day.urgent == found
    placed = {gate.stop for round_ in aid.proposal.plan.rounds for gate in round_.gates}
    assert placed == set(aid.day.broken.urgent)


def test_a_planned_visit_of_the_site_becomes_urgent():
    crew()
    where = site(1)
    waiting = planned(where)
    system = makers.make_system(where)

    (found,) = put_on_list(system)

    assert (found.pk, found.is_urgent, found.wanted_by) == (waiting.pk, True, TUESDAY)
    assert found.visit_systems.get().looks_wanted == ["pump"]
    assert Visit.objects.count() == 1


def test_a_site_that_is_visited_that_day_needs_no_other():
    andrea, _ = crew()
    first, second = site(1), site(2)
    booked(first, andrea, TUESDAY, 8)

    found = put_on_list(makers.make_system(first), makers.make_system(second))

    assert [visit.site for visit in found] == [second]


def test_a_list_of_nothing_is_refused():
    andrea, _ = crew()
    where = site(1)
    booked(where, andrea, TUESDAY, 8)

    with pytest.raises(NothingOnTheList, match="choose others"):
        put_on_list(makers.make_system(where))
    with pytest.raises(NothingOnTheList, match="That day is over"):
        put_on_list(makers.make_system(site(2)), day=date(2027, 5, 9))
