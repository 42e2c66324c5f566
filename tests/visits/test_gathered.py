"""Rows as a planner sees them: what each state allows, where the day goes on, what is missing."""

import math
from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from drainservice.accounts.models import Account
from drainservice.engine.rounds.check import drive_round, find_faults
from drainservice.engine.rounds.facts import Place, Plan, Window
from drainservice.visits import actions
from drainservice.visits.models import (
    Area,
    CrewMember,
    HomeBase,
    Lock,
    Round,
    Skill,
    State,
    Visit,
)
from drainservice.visits.queries import Window as Promise
from drainservice.visits.queries.gathered import Clock, gather_rounds
from drainservice.visits.queries.gathered_places import UNKNOWN_S
from drainservice.visits.queries.gathered_stops import is_within, usual_technicians
from tests import makers

H = 3600
MONDAY = makers.MONDAY.date()
TUESDAY = MONDAY + timedelta(days=1)
# From the yard at 47.20, -122.40 to the sites at 47.25, -122.44: 0.05 deg x 111.2 = 5.56 km north,
# 0.04 x 111.2 x cos(47.2) = 3.02 km west, 6.33 km as the crow flies. By road 8.22: 3 km at 30 km/h
# and 5.22 at 40 are 360 + 470 s; 120 s to park and walk, and rounded up.
FROM_YARD_S = 951
EIGHT_TO_TEN = (time(8), time(10))


@pytest.fixture
def andrea(technician):
    HomeBase.objects.create(name="the yard", latitude=47.20, longitude=-122.40)
    return Account.objects.get(pk=technician.account_id)


@pytest.fixture
def ben(andrea):
    return makers.make_account("ben")


def meant(address="9 Islay Ct", site=None, **values):
    """A planned visit to a site of its own."""
    visit = actions.plan_visit(
        site or makers.make_site(address),
        asker=makers.clock(),
        purpose="yearly look",
        systems={},
        meant_for=values.pop("meant_for", None),
    )
    if values:
        Visit.objects.filter(pk=visit.pk).update(**values)
        visit.refresh_from_db()
    return visit


def offered(who, day=TUESDAY, window=EIGHT_TO_TEN, address="9 Islay Ct", **values):
    """An offered visit with its slot."""
    visit = meant(address)
    actions.offer_visit(visit, to=Promise(day, *window), technician=who, asker=makers.clock())
    if values:
        Visit.objects.filter(pk=visit.pk).update(**values)
        visit.refresh_from_db()
    return visit


def gathered(at=makers.MONDAY, days=(MONDAY, TUESDAY), **more):
    return gather_rounds(at=at, days=days, **more)


def stop_of(found, visit):
    return found.inputs.stops[[v.pk for v in found.visits].index(visit.pk)]


def gates_of(found, who, day):
    """The keys of a round's stops in order."""
    number = [(s.technician.pk, s.day) for s in found.shifts].index((who.pk, day))
    return [
        found.inputs.stops[gate.stop].key
        for round_ in found.inputs.present
        if round_.shift == number
        for gate in round_.gates
    ]


pytestmark = pytest.mark.django_db


def test_seconds_are_those_of_the_wall_clock_even_where_a_night_has_an_hour_less():
    # Clocks went forward on Sunday 14 March 2027, 2:00, in the United States (15 U.S.C. 260a:
    # second Sunday of March). 8:00 on Monday is UTC-7, while Saturday's 8:00 was UTC-8.
    clock = Clock(date(2027, 3, 13), "America/Los_Angeles")

    assert clock.seconds_of(datetime(2027, 3, 13, 16, 0, tzinfo=UTC)) == 8 * H
    assert clock.seconds_of(datetime(2027, 3, 15, 15, 0, tzinfo=UTC)) == 2 * 86_400 + 8 * H
    assert clock.instant_of(2 * 86_400 + 8 * H) == datetime(2027, 3, 15, 15, 0, tzinfo=UTC)
    assert clock.day_of(2 * 86_400 + 8 * H) == date(2027, 3, 15)


def test_an_offer_is_a_must_within_its_window_and_stands_in_its_technicians_round(andrea):
    visit = offered(andrea)

    found = gathered()

    stop = stop_of(found, visit)
    assert (stop.must, stop.only, stop.move_units) == (True, None, None)
    # Tuesday is day 1: from 86,400 s + 8 h.
    assert stop.windows == (Window(86_400 + 8 * H, 86_400 + 10 * H),)
    assert gates_of(found, andrea, TUESDAY) == [visit.pk]
    assert stop.work_s == 45 * 60


def test_a_hold_that_ran_out_is_free_again_before_anybody_has_swept_it(andrea):
    visit = meant()
    actions.hold_visit(
        visit, to=Promise(TUESDAY, *EIGHT_TO_TEN), technician=andrea, asker=makers.clock()
    )

    standing = gathered(at=makers.later(minutes=9))
    over = gathered(at=makers.later(minutes=10))

    assert stop_of(standing, visit).must
    assert not stop_of(over, visit).must
    assert over.inputs.present == ()


@pytest.mark.parametrize(
    ("values", "is_hers"),
    [
        ({"state": State.AGREED}, False),
        ({"state": State.AGREED, "is_named": True}, True),
        ({"state": State.AGREED, "lock": Lock.TECHNICIAN}, True),
        ({"state": State.AGREED, "lock": Lock.DAY}, True),
        ({"lock": Lock.START}, True),
    ],
)
def test_a_promise_may_pass_to_another_technician_unless_named_or_locked(andrea, values, is_hers):
    visit = offered(andrea, **values)

    stop = stop_of(gathered(), visit)

    assert stop.only == (frozenset({andrea.pk}) if is_hers else None)
    start_s = 86_400 + 8 * H + FROM_YARD_S if values.get("lock") == Lock.START else None
    assert stop.fixed_s == start_s


def test_for_a_repair_each_earlier_move_makes_the_next_dearer(andrea):
    promise = offered(andrea, state=State.AGREED, sequence=2)
    offer = offered(andrea, window=(time(13), time(15)), address="3 Reed Ln")

    found = gathered(for_repair=True)

    # 240 for a promise and 60 for each of two earlier moves; 100 for an offer.
    assert stop_of(found, promise).move_units == 240 + 2 * 60
    assert stop_of(found, offer).move_units == 100


def test_a_visit_nobody_was_told_of_may_come_on_any_whole_shift_and_has_its_worth(andrea):
    visit = meant()

    stop = stop_of(gathered(), visit)

    # Shifts are 8 to 17 and an hour over, on Monday from now on, which is 8:00.
    assert stop.windows == (
        Window(8 * H, 18 * H),
        Window(86_400 + 8 * H, 86_400 + 18 * H),
    )
    assert not stop.must
    # Without any system nothing is at risk: the plain 60 units of leaving out.
    assert stop.worth == 60


@pytest.mark.parametrize(
    ("values", "days"),
    [
        ({"meant_for": MONDAY}, [0, 1, 2]),
        ({"meant_for": MONDAY + timedelta(days=7)}, [7]),
        # Two weeks ago and not made since: any day.
        ({"meant_for": MONDAY - timedelta(days=14)}, [0, 1, 2, 7]),
        ({"wanted_by": TUESDAY}, [0, 1]),
        # Past due already: as soon as may be, and later rather than never.
        ({"wanted_by": MONDAY - timedelta(days=30)}, [0, 1, 2, 7]),
        ({"likes": [1]}, [1]),
        ({"likes": ["1", "2"]}, [1, 2]),
        # Nobody works on Sunday: what cannot be had is not insisted on.
        ({"likes": [6]}, [0, 1, 2, 7]),
        ({"meant_for": MONDAY + timedelta(days=7), "is_urgent": True}, [0, 1, 2, 7]),
    ],
)
def test_the_week_it_is_meant_for_its_last_day_and_what_is_liked_choose_the_days(
    andrea, values, days
):
    visit = meant(**values)
    asked = [MONDAY + timedelta(days=n) for n in (0, 1, 2, 7)]

    stop = stop_of(gathered(days=asked), visit)

    assert [window.from_s // 86_400 for window in stop.windows] == days


def test_a_half_of_the_day_that_is_liked_ends_or_begins_at_noon(andrea):
    morning, afternoon = meant(likes=["morning"]), meant("3 Reed Ln", likes=["afternoon"])

    found = gathered(days=[TUESDAY])

    assert stop_of(found, morning).windows == (Window(8 * H, 12 * H),)
    assert stop_of(found, afternoon).windows == (Window(12 * H, 18 * H),)


def test_what_stands_in_a_round_keeps_its_day_whatever_is_liked(andrea):
    visit = meant(
        likes=["morning"],
        technician=andrea,
        day=TUESDAY,
        slot_starts_at=makers.later(days=1, hours=6),
        slot_ends_at=makers.later(days=1, hours=7),
    )

    found = gathered(days=[TUESDAY])

    stop = stop_of(found, visit)
    gate = found.inputs.present[0].gates[0]
    # 14:00 is no morning, and still a start the present round may keep.
    assert stop.windows[gate.window].from_s <= 14 * H <= stop.windows[gate.window].to_s
    assert not stop.must


def test_the_rest_of_the_day_starts_where_somebody_is_and_when_they_are_free(andrea):
    first = offered(andrea, day=MONDAY, state=State.AT_PIT, arrived_at=makers.later(minutes=30))
    later = offered(andrea, day=MONDAY, window=(time(13), time(15)), address="3 Reed Ln")

    found = gathered(at=makers.later(hours=1))

    shift = found.inputs.shifts[0]
    # At the pit since 8:30 for 45 minutes: free at 9:15.
    assert shift.starts_s == 9 * H + 15 * 60
    assert found.inputs.stops[0].key == later.pk
    assert first.pk not in [visit.pk for visit in found.visits]
    assert shift.leaves_from != shift.returns_to
    # Where it leaves from is the first site: no drive from there to itself, some to the yard.
    assert found.inputs.drives[shift.leaves_from][shift.returns_to] > 0


def test_who_has_set_out_is_expected_to_be_free_after_the_planned_start(andrea):
    offered(andrea, day=MONDAY, state=State.AGREED, set_out_at=makers.later(minutes=5))

    shift = gathered(at=makers.later(minutes=6)).inputs.shifts[0]

    # It starts as early as may be, once the drive is done, and takes 45 minutes.
    assert shift.starts_s == 8 * H + FROM_YARD_S + 45 * 60


def test_after_a_visit_that_was_made_the_day_goes_on_from_there_now(andrea):
    offered(andrea, day=MONDAY, state=State.MADE, left_at=makers.later(hours=1))

    shift = gathered(at=makers.later(hours=2)).inputs.shifts[0]

    assert shift.starts_s == 10 * H
    assert shift.leaves_from != shift.returns_to


def test_a_break_is_still_to_come_until_its_time_is_over_or_it_was_had(andrea):
    # The assumed break is 30 min, to begin between 11:30 and 13:30.
    assert gathered(at=makers.later(hours=5)).inputs.shifts[0].pause is not None
    assert gathered(at=makers.later(hours=5.75)).inputs.shifts[0].pause is None
    Round.objects.create(technician=andrea, day=MONDAY, break_starts_at=makers.later(hours=4))

    assert gathered(at=makers.later(hours=5)).inputs.shifts[0].pause is None


def test_a_shift_that_is_over_is_none_any_more(andrea):
    found = gathered(at=makers.later(hours=10))

    assert [shift.day for shift in found.shifts] == [TUESDAY]
    assert [shift.day for shift in found.inputs.shifts] == [1]


def test_a_promise_whose_window_is_over_is_said_and_not_planned(andrea):
    visit = offered(andrea, day=MONDAY, state=State.AGREED)

    found = gathered(at=makers.later(hours=3))

    assert found.visits == []
    assert [note for note in found.notes if visit.site.address in note and "is over" in note]


def test_a_site_without_coordinates_counts_twenty_minutes_each_way_and_is_named(andrea):
    lost = meant(site=makers.make_site("7 Nowhere Rd", latitude=None, longitude=None))

    found = gathered()

    place = stop_of(found, lost).place
    assert found.inputs.drives[0][place] == found.inputs.drives[place][0] == UNKNOWN_S == 1200
    assert found.inputs.drives[place][place] == 0
    assert any("7 Nowhere Rd" in note and "20 min" in note for note in found.notes)


def test_swapped_coordinates_are_named_with_what_was_meant(andrea):
    swapped = makers.make_site("7 Nowhere Rd", latitude=-82.44, longitude=47.25)
    base = HomeBase.objects.get()
    HomeBase.objects.filter(pk=base.pk).update(latitude=47.2, longitude=-82.4)
    visit = meant(site=swapped)

    found = gathered()

    assert any("7 Nowhere Rd" in note and "swapped" in note for note in found.notes)
    assert found.inputs.drives[0][stop_of(found, visit).place] == UNKNOWN_S


def test_without_any_base_rounds_begin_in_the_middle_and_the_page_says_so(technician):
    west = makers.make_site("1 West St", latitude=47.0, longitude=-122.6)
    east = makers.make_site("2 East St", latitude=47.0, longitude=-122.2)
    meant(site=west)
    meant(site=east)

    found = gathered()

    home = found.inputs.shifts[0].leaves_from
    ways = {found.inputs.drives[home][stop.place] for stop in found.inputs.stops}
    # Halfway between the two: as far to the one as to the other.
    assert len(ways) == 1
    assert any("middle" in note for note in found.notes)


def test_the_usual_technician_made_most_of_the_last_five_and_of_equals_was_there_last(andrea, ben):
    def made(site, who, *days_ago):
        for days in days_ago:
            left = makers.later(days=-days)
            Visit.objects.create(
                site=site,
                purpose="look",
                state=State.MADE,
                technician=who,
                left_at=left,
                slot_starts_at=left - timedelta(hours=1),
                slot_ends_at=left,
            )

    mostly, tie, old = (makers.make_site(name) for name in ("1 A St", "2 B St", "3 C St"))
    made(mostly, andrea, 10, 20, 30)
    made(mostly, ben, 5, 15)
    made(tie, andrea, 10, 40)
    made(tie, ben, 5, 20)
    # Of six, the sixth is too long ago to count: three of the last five are Ben's.
    made(old, andrea, 31, 41, 61)
    made(old, ben, 11, 21, 51)

    found = usual_technicians([mostly.pk, tie.pk, old.pk])

    assert found == {mostly.pk: andrea.pk, tie.pk: ben.pk, old.pk: ben.pk}


def test_who_serves_another_area_costs_more(andrea, ben):
    Area.objects.create(
        account=ben, name="north", corners=[[48.0, -123.0], [48.0, -122.0], [49.0, -122.5]]
    )
    visit = meant()

    # The site lies at 47.25: outside of Ben's; Andrea has no areas and goes anywhere.
    assert stop_of(gathered(), visit).apart == ((ben.pk, 30),)


@given(
    st.integers(3, 9),
    st.floats(-1.5, 1.5),
    st.floats(-1.5, 1.5),
    st.floats(0, 6.28),
)
def test_a_point_lies_in_a_regular_polygon_where_it_lies_left_of_every_side(n, lat, lon, turn):
    corners = tuple(
        (math.sin(turn + math.tau * k / n), math.cos(turn + math.tau * k / n)) for k in range(n)
    )
    sides = zip(corners, [*corners[1:], corners[0]], strict=True)
    # Corners run counter-clockwise with lon to the east: the cross product is positive inside.
    left = [
        (b_lon - a_lon) * (lat - a_lat) - (b_lat - a_lat) * (lon - a_lon)
        for (a_lat, a_lon), (b_lat, b_lon) in sides
    ]
    if min(abs(x) for x in left) > 1e-9:
        assert is_within(Place(lat, lon), corners) == (min(left) > 0)


def test_what_nobody_can_do_or_no_day_can_hold_is_named(andrea):
    meant("1 A St", skills_wanted=["electric"])
    meant("2 B St", minutes=700)
    locked = offered(andrea, address="3 C St", lock=Lock.DAY)
    makers.make_account("ben")

    found = gather_rounds(
        at=makers.MONDAY, days=[TUESDAY], technicians=None, also=[], with_unplaced=True
    )

    assert any("1 A St" in note and "electric" in note for note in found.notes)
    assert any("2 B St" in note and "700 min" in note for note in found.notes)
    assert not any(locked.site.address in note for note in found.notes)
    Skill.objects.create(account=andrea, word="electric")
    assert not any("1 A St" in note for note in gathered().notes)


def test_rounds_as_they_stand_are_in_order_of_time_and_can_be_driven(andrea, ben):
    late = offered(andrea, window=(time(13), time(15)))
    early = offered(andrea, address="3 Reed Ln")
    offered(ben, address="4 Reed Ln")

    found = gathered()

    assert gates_of(found, andrea, TUESDAY) == [early.pk, late.pk]
    plan = Plan(found.inputs.present)
    assert find_faults(found.inputs, plan) == []
    assert all(drive_round(found.inputs, round_) for round_ in found.inputs.present)


def test_versions_are_those_of_the_rounds_and_nought_where_there_is_none(andrea):
    Round.objects.create(technician=andrea, day=TUESDAY, version=7)

    found = gathered()

    assert found.versions == {(andrea.pk, MONDAY): 0, (andrea.pk, TUESDAY): 7}


def test_a_technicians_own_base_is_where_their_rounds_begin(andrea):
    own = HomeBase.objects.create(name="her garage", latitude=47.30, longitude=-122.50)
    CrewMember.objects.create(account=andrea, base=own)
    visit = meant()

    found = gathered()

    home = found.inputs.shifts[0].leaves_from
    assert found.inputs.shifts[0].returns_to == home
    # 47.30, -122.50 is 7.2 km from the site at 47.25, -122.44: 0.05 deg x 111.2 = 5.56 km north,
    # 0.06 x 111.2 x cos(47.27) = 4.53 km west, together 7.17 km. By road 9.32: 3 km at 30 and
    # 6.32 at 40 km/h are 360 + 569 s, and 120 s to park and walk: about 1049 s.
    assert found.inputs.drives[home][stop_of(found, visit).place] == pytest.approx(1049, abs=3)


def test_visits_that_are_only_asked_about_come_last_and_once(andrea):
    mine = meant(meant_for=MONDAY + timedelta(days=70))
    other = meant("3 Reed Ln")

    found = gathered(also=[mine, other])

    assert [visit.pk for visit in found.visits] == [other.pk]
    Visit.objects.filter(pk=mine.pk).update(meant_for=None)
    mine.refresh_from_db()
    found = gathered(also=[mine], with_unplaced=False)
    assert [visit.pk for visit in found.visits] == [mine.pk]


def test_many_visits_take_as_many_statements_as_few(andrea, ben):
    def fill(n):
        for number in range(n):
            system = makers.make_system(makers.make_site(f"{n}{number} A St"), parts=False)
            actions.plan_visit(
                system.site,
                asker=makers.clock(),
                purpose="look",
                systems={system: ["pump"]},
                meant_for=MONDAY,
            )

    def count():
        with CaptureQueriesContext(connection) as seen:
            gathered()
        return len(seen)

    fill(2)
    few = count()
    fill(12)

    assert count() == few <= 25


def test_the_terms_are_read_once_and_for_room_alone_nobody_is_asked_who_usually_goes(andrea):
    # A planned visit in a round wants all that a gathering may read.
    offered(andrea)
    actions.put_in_round(meant("3 Mill Lane"), technician=andrea, day=TUESDAY, asker=makers.clock())

    def statements(**more):
        with CaptureQueriesContext(connection) as seen:
            gathered(with_unplaced=False, **more)
        return [one["sql"] for one in seen.captured_queries]

    plain, for_room = statements(), statements(for_room=True)

    assert sum("visits_planningterms" in sql for sql in plain) == 1
    assert sum("ROW_NUMBER" in sql for sql in plain) == 1
    assert sum("ROW_NUMBER" in sql for sql in for_room) == 0
    assert len(for_room) < len(plain)


def test_the_terms_are_read_anew_by_the_next_gathering(andrea):
    offered(andrea)
    before = gathered().inputs.tariff.overtime

    actions.set_planning_terms(asker=makers.clock(), overtime_units=before + 3)

    assert gathered().inputs.tariff.overtime == before + 3
