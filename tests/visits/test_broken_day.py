"""A day that went wrong is read with what must be known before anybody is disturbed."""

from datetime import date, timedelta

import pytest

from drainservice.engine.rounds.repair.broken import Told
from drainservice.engine.rounds.repair.disturb import Step
from drainservice.engine.rounds.repair.repair import first_aid
from drainservice.inspections.actions import find_due
from drainservice.visits import actions, queries
from drainservice.visits.models import State, Visit, VisitSystem
from tests import makers
from tests.visits import busy_week
from tests.visits.busy_week import TUESDAY, WEDNESDAY, booked, crew, planned, site, week

pytestmark = pytest.mark.django_db


def away(who, hours=(0, 24)):
    """Away on Tuesday."""
    midnight = makers.MONDAY + timedelta(hours=16)
    return actions.enter_absence(
        who,
        asker=makers.clock(),
        from_at=midnight + timedelta(hours=hours[0]),
        until_at=midnight + timedelta(hours=hours[1]),
        because="fever",
    )


def read(day=TUESDAY, at=makers.MONDAY, **more):
    return queries.read_broken_day(day, at=at, **more)


def test_a_day_on_which_nothing_is_wrong():
    week()

    found = read()

    assert (found.away, found.late, found.urgent) == ([], [], [])
    assert first_aid(found.gathered.inputs, found.broken, found.facts).disturbed == ()


def test_whoever_is_away_is_told_and_their_promises_are_taken_up():
    told = week()
    away(told["andrea"])

    found = read()
    aid = first_aid(found.gathered.inputs, found.broken, found.facts)

    assert [(one.technician, one.because) for one in found.away] == [(told["andrea"], "fever")]
    assert (aid.touched, aid.kept) == (2, 2)
    handed_on = [one for one in aid.disturbed if one.step == Step.OTHER_TECHNICIAN]
    assert [one.was for one in handed_on] == [told["andrea"].pk] * 2


def test_who_knows_what():
    andrea, _ = crew()
    offered = booked(site(1), andrea, TUESDAY, 8, state=State.OFFERED)
    agreed = booked(site(2), andrea, TUESDAY, 10, is_named=True, was_moved=True, sequence=2)
    held = booked(site(3), andrea, TUESDAY, 13)
    Visit.objects.filter(pk=held.pk).update(state=State.HELD, held_until=makers.later(minutes=5))

    facts = read().facts

    assert facts[offered.pk].told == Told.OFFERED
    assert (facts[agreed.pk].told, facts[agreed.pk].is_named) == (Told.AGREED, True)
    assert (facts[agreed.pk].moved_before, facts[offered.pk].moved_before) == (2, 0)
    assert (facts[held.pk].told, facts[held.pk].is_held) == (Told.AGREED, True)
    assert facts[agreed.pk].technician == andrea.pk


def test_a_hold_that_ran_out_is_told_to_nobody():
    andrea, _ = crew()
    held = booked(site(1), andrea, TUESDAY, 8)
    Visit.objects.filter(pk=held.pk).update(state=State.HELD, held_until=makers.MONDAY)

    found = read(at=makers.later(minutes=1))

    assert held.pk not in found.facts or found.facts[held.pk].told == Told.NOBODY


def test_living_space_and_how_long_it_can_wait_are_read():
    andrea, _ = crew()
    where = site(1)
    system = makers.make_system(where, consequence="living_space")
    find_due(asker=makers.clock(), force=True)
    visit = booked(where, andrea, TUESDAY, 8)
    VisitSystem.objects.create(visit=visit, system=system, looks_wanted=["pump"])
    due_on = system.dues.get(retired_at__isnull=True, kind="pump").due_on

    known = read().facts[visit.pk]

    assert known.is_living_space
    assert known.can_wait_days == (due_on - TUESDAY).days


def test_the_day_by_which_it_is_wanted_comes_before_its_due_date():
    andrea, _ = crew()
    visit = booked(site(1), andrea, TUESDAY, 8, wanted_by=date(2027, 5, 20))

    assert read().facts[visit.pk].can_wait_days == 9


def test_an_urgent_visit_without_a_time_is_brought_along():
    crew()
    urgent = planned(site(1), is_urgent=True, wanted_by=TUESDAY)
    planned(site(2), is_urgent=True, wanted_by=WEDNESDAY)
    planned(site(3))

    found = read()

    assert found.urgent == [urgent]
    assert [found.gathered.visits[n] for n in found.broken.urgent] == [urgent]
    aid = first_aid(found.gathered.inputs, found.broken, found.facts)
    assert aid.plan.left_out == ()


def test_who_cannot_keep_the_round_any_more_is_late():
    andrea, _ = crew()
    booked(site(1, north=0.05), andrea, TUESDAY, 8)
    # At 9:58 nobody drives 5.6 km in two minutes.
    at = makers.later(days=1, hours=1, minutes=58)

    found = read(at=at)

    assert [one.technician for one in found.late] == [andrea.pk]


def test_who_says_when_they_are_free_is_late_from_then():
    andrea, _ = crew()
    visit = booked(site(1), andrea, TUESDAY, 8)
    free = makers.later(days=1, hours=3)

    found = read(free={andrea.pk: free})

    assert [(one.technician, one.free_s) for one in found.late] == [(andrea.pk, 11 * 3600)]
    assert found.broken.late == tuple(found.late)
    aid = first_aid(found.gathered.inputs, found.broken, found.facts)
    assert {one.technician for one in aid.disturbed if one.stop == 0} != {andrea.pk}
    assert found.facts[visit.pk].technician == andrea.pk


def test_a_day_that_is_over_is_refused():
    crew()

    with pytest.raises(queries.DayIsOver, match="today or a day to come"):
        read(date(2027, 5, 9))


def test_its_names_are_the_streets_and_first_names():
    told = week()

    found = read()
    speech = queries.speech_of(found.gathered)

    assert speech.person(told["basil"].pk) == "Basil"
    assert speech.stop(found.gathered.inputs.stops[0]) == told["agreed"][0].site.address
    assert (speech.say_day(0), speech.clock(9 * 3600 + 1800)) == ("Tuesday 11 May", "9:30")


def test_a_fixed_number_of_statements(django_assert_max_num_queries):
    told = week()
    for hour in (10, 15):
        booked(site(hour, east=0.01), told["andrea"], TUESDAY, hour)

    with django_assert_max_num_queries(40):
        read()
    busy_week.booked(site(90, east=0.02), told["basil"], TUESDAY, 15)
    with django_assert_max_num_queries(40):
        read()


def test_whoever_is_away_in_part_is_not_called_late_as_well():
    andrea, _ = crew()
    booked(site(1), andrea, TUESDAY, 8)
    booked(site(2), andrea, TUESDAY, 14)
    away(andrea, (12, 24))

    found = read()

    assert [one.because for one in found.away] == ["fever"]
    assert found.late == []


def test_whoever_has_visits_on_a_closed_day_is_missed():
    andrea, _ = crew()
    booked(site(1), andrea, TUESDAY, 8)
    actions.close_days(
        asker=makers.clock(), first_on=TUESDAY, last_on=TUESDAY, name="Town fair", is_worked=False
    )

    found = read()

    assert [one.technician for one in found.away] == [andrea]
    assert "Town fair" in found.away[0].why
