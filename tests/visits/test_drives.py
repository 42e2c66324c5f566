"""How long drives take by what is known, and what our own drives teach."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise

import pytest

from drainservice.accounts import history
from drainservice.accounts.models import Account
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import PlaceCannotBe, haversine_km
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.roads.travel import drive_s, drive_table
from drainservice.visits import actions, queries
from drainservice.visits.actions.drives import note_drive
from drainservice.visits.models import Barrier, Drive, DriveTime, PlanningTerms
from drainservice.visits.queries import Window, drives
from tests import makers

pytestmark = pytest.mark.django_db
TUESDAY = date(2027, 5, 11)
# The two sites are 0.05 degrees of a meridian apart: 5.55975 km as the crow flies.
SOUTH, NORTH = Place(47.25, -122.44), Place(47.30, -122.44)
# 1.3 times that: 7.22768 km of road; 3 at 30 km/h = 360 s, 4.22768 at 40 = 380.49 s; + 120.
MODEL_S = 861
PLACES = [SOUTH, NORTH, Place(47.20, -122.50)]


def keep_road(start, end, road_s, *, on=TUESDAY):
    DriveTime.objects.create(
        from_lat_e5=round(start.lat * 1e5),
        from_lon_e5=round(start.lon * 1e5),
        to_lat_e5=round(end.lat * 1e5),
        to_lon_e5=round(end.lon * 1e5),
        road_s=road_s,
        road_m=None if road_s is None else 8000,
        fetched_on=on,
    )


def test_without_any_road_all_is_estimated():
    told = queries.drive_table_for(PLACES)

    assert told.seconds == drive_table(PLACES, TravelTerms())
    assert told.seconds[0][1] == MODEL_S
    assert told.is_road == ((False,) * 3,) * 3
    assert told.estimated == 6


def test_a_fetched_road_stands_with_parking_and_walking_one_way_only():
    keep_road(SOUTH, NORTH, 700)
    keep_road(NORTH, SOUTH, 640)
    keep_road(SOUTH, PLACES[2], 500)

    told = queries.drive_table_for(PLACES)

    assert (told.seconds[0][1], told.seconds[1][0], told.seconds[0][2]) == (820, 760, 620)
    assert told.seconds[2][0] == drive_s(PLACES[2], SOUTH, TravelTerms())
    assert [told.is_road[0][1], told.is_road[1][0], told.is_road[2][0]] == [True, True, False]
    assert told.estimated == 3


def test_the_digest_changes_with_a_second_or_its_kind_and_with_nothing_else():
    before = queries.drive_table_for(PLACES)
    again = queries.drive_table_for(PLACES)
    # The road takes as long as the estimate: only its kind differs.
    keep_road(SOUTH, NORTH, MODEL_S - 120)
    after = queries.drive_table_for(PLACES)

    assert before == again
    assert len(before.digest) == 64
    assert after.seconds == before.seconds
    assert after.digest != before.digest


def test_two_visits_on_one_site_are_no_drive_apart_and_share_its_roads():
    keep_road(SOUTH, NORTH, 700)

    told = queries.drive_table_for([SOUTH, NORTH, SOUTH, Place(SOUTH.lat + 1e-7, SOUTH.lon)])

    assert [told.seconds[0][2], told.seconds[2][0], told.seconds[3][0]] == [0, 0, 0]
    assert [told.seconds[n][1] for n in (0, 2, 3)] == [820] * 3


def test_roads_of_other_places_are_left_alone():
    """Same parallels and meridians, crosswise: each number of it is one of ours."""
    other = Place(NORTH.lat, PLACES[2].lon)
    keep_road(SOUTH, other, 1)
    keep_road(other, NORTH, 1)

    assert queries.drive_table_for(PLACES).estimated == 6


def test_roads_too_old_by_a_day_are_left_out_where_the_day_is_told():
    keep_road(SOUTH, NORTH, 700, on=date(2027, 5, 11))

    # 180 days after 11 May are 7 November.
    assert queries.drive_table_for(PLACES, on=date(2027, 11, 6)).seconds[0][1] == 820
    assert queries.drive_table_for(PLACES, on=date(2027, 11, 7)).seconds[0][1] == MODEL_S
    assert queries.drive_table_for(PLACES).seconds[0][1] == 820


def test_more_places_than_are_asked_for_at_once(monkeypatch):
    monkeypatch.setattr(drives, "FROM_AT_ONCE", 2)
    places = [Place(47 + n / 100, -122) for n in range(7)]
    for start, end in pairwise(places):
        keep_road(start, end, 300)

    told = queries.drive_table_for(places)

    assert [told.seconds[n][n + 1] for n in range(6)] == [420] * 6
    assert told.estimated == 36


def test_no_places_and_one_place():
    assert queries.drive_table_for([]).seconds == ()
    assert queries.drive_table_for([SOUTH]).seconds == ((0,),)


def test_a_place_that_cannot_be_is_named():
    with pytest.raises(PlaceCannotBe, match="Place 2"):
        queries.drive_table_for([SOUTH, Place(0, 0)])


def test_the_firms_detour_and_barriers_count():
    history.enter(PlanningTerms(pk=1, detour=1.5), asker=makers.clock())
    river = {"line": [[47.27, -123.0], [47.27, -121.0]], "crossings": [[47.27, -122.50]]}
    history.enter(Barrier(name="the river", **river), asker=makers.clock())
    bridge = Place(47.27, -122.50)
    km = 1.5 * (haversine_km(SOUTH, bridge) + haversine_km(bridge, NORTH))

    told = queries.drive_table_for([SOUTH, NORTH])

    # 16.1 km of road: 3 at 30 km/h = 360 s, 12 at 40 = 1080 s, the rest at 60; + 120.
    assert 15 < km < 18
    assert told.seconds[0][1] == pytest.approx(360 + 1080 + (km - 15) * 60 + 120, abs=1)


@pytest.fixture
def andrea(technician):
    return Account.objects.get(pk=technician.account_id)


def agreed(address, place, account, *, at=(8, 10), on=TUESDAY):
    lat, lon = (None, None) if place is None else (place.lat, place.lon)
    site = makers.make_site(address, latitude=lat, longitude=lon)
    asker = makers.clock()
    visit = actions.plan_visit(site, asker=asker, purpose="yearly look", systems={}, meant_for=None)
    window = Window(on, time(at[0]), time(at[1]))
    actions.offer_visit(visit, to=window, technician=account, asker=asker)
    return actions.agree_visit(visit, asker=asker)


def tuesday(hour, minute, *, day=11):
    """A moment by the clock of America/Los_Angeles in summer, UTC-7."""
    return datetime(2027, 5, day, hour + 7, minute, tzinfo=UTC)


def arrive(visit, at):
    # Booking another visit of the round may have slid this one's start.
    visit.refresh_from_db()
    return actions.arrive(visit, asker=makers.clock(at))


def leave(visit, at):
    visit.refresh_from_db()
    return actions.make_visit(visit, asker=makers.clock(at))


@pytest.fixture
def two(andrea):
    """Andrea's first visit, made from 8:00 to 8:40, and her second one."""
    first = agreed("114 Maple Ridge Rd", SOUTH, andrea)
    second = agreed("9 Islay Ct", NORTH, andrea)
    arrive(first, tuesday(8, 0))
    leave(first, tuesday(8, 40))
    return first, second


def test_an_arrival_notes_the_drive_since_leaving_the_visit_before(two, andrea):
    first, second = two

    arrive(second, tuesday(8, 58))

    (drive,) = Drive.objects.all()
    assert (drive.technician, drive.from_visit, drive.to_visit) == (andrea, first, second)
    assert drive.began_at == tuesday(8, 40)
    assert (drive.crow_m, drive.model_s, drive.actual_s) == (5560, MODEL_S, 18 * 60)


def test_the_first_arrival_of_a_day_is_no_drive_between_visits(two):
    assert Drive.objects.count() == 0


def test_pressing_twice_notes_it_once(two):
    _, second = two
    arrive(second, tuesday(8, 58))
    arrive(second, tuesday(9, 30))

    assert note_drive(second) == Drive.objects.get()
    assert Drive.objects.get().actual_s == 18 * 60


@pytest.mark.parametrize(
    ("minutes", "is_noted"),
    # A fifth of 861 s is 172.2 s, five times 4305 s: 71 min 45 s.
    [(2, False), (3, True), (71, True), (72, False), (190, False)],
)
def test_what_was_no_drive_alone_is_not_noted(two, minutes, is_noted):
    arrive(two[1], tuesday(8, 40) + timedelta(minutes=minutes))

    assert Drive.objects.exists() is is_noted


def test_a_site_without_coordinates_teaches_nothing_and_is_arrived_at(two, andrea):
    third = agreed("1 Nowhere Rd", None, andrea)

    arrive(third, tuesday(8, 55))

    assert third.state == "at_pit"
    assert Drive.objects.count() == 0


def test_a_second_visit_on_the_same_site_is_no_drive(two, andrea):
    garden = Place(SOUTH.lat + 1e-6, SOUTH.lon)
    third = agreed("114 Maple Ridge Rd, garden", garden, andrea)

    # By the model 121 s to park and walk, so that five minutes could be a drive.
    arrive(third, tuesday(8, 45))

    assert Drive.objects.count() == 0


def test_another_technicians_visit_is_not_where_this_one_came_from(two):
    ben = makers.make_account("ben", "technician")
    third = agreed("2 Fern Hollow Ln", NORTH, ben)

    arrive(third, tuesday(8, 58))

    assert Drive.objects.count() == 0


def test_yesterdays_visit_is_not_where_this_one_came_from(two, andrea):
    third = agreed("2 Fern Hollow Ln", NORTH, andrea, on=date(2027, 5, 12))

    arrive(third, tuesday(8, 0, day=12))

    assert Drive.objects.count() == 0


def test_after_a_visit_that_was_not_left_nobody_knows_when_the_drive_began(two, andrea):
    _, second = two
    arrive(second, tuesday(8, 58))
    third = agreed("2 Fern Hollow Ln", Place(47.35, -122.44), andrea)

    arrive(third, tuesday(9, 20))

    assert list(Drive.objects.values_list("to_visit", flat=True)) == [second.pk]


def test_a_visit_that_was_missed_is_where_the_next_drive_begins(two, andrea):
    _, second = two
    second.refresh_from_db()
    actions.miss_visit(second, asker=makers.clock(tuesday(8, 58)), because="the gate was locked")
    third = agreed("2 Fern Hollow Ln", Place(47.35, -122.44), andrea)

    arrive(third, tuesday(9, 15))

    (drive,) = Drive.objects.all()
    assert (drive.from_visit, drive.actual_s) == (second, 17 * 60)


def note_drives(two, ratios, *, began_at):
    first, second = two
    for number, ratio in enumerate(ratios):
        Drive.objects.create(
            technician=second.technician,
            from_visit=first,
            to_visit=actions.plan_visit(
                second.site, asker=makers.clock(), purpose="look", systems={}, meant_for=None
            ),
            began_at=began_at + timedelta(seconds=number),
            crow_m=5560,
            model_s=MODEL_S,
            actual_s=round(MODEL_S * ratio),
        )


def test_thirty_drives_teach_the_next_plan(two, andrea):
    """1.2 times the model at ten in the morning by the site's clock, which is 17:00 UTC."""
    note_drives(two, [1.2] * 30, began_at=tuesday(10, 0))

    terms = queries.travel_terms()

    (all_hours, at_ten) = terms.factors.found
    # 861 x 1.2 = 1033.2 was stored as 1033 s.
    assert all_hours.value == pytest.approx(1033 / 861)
    assert (all_hours.hour_band, at_ten.hour_band) == (None, 1)
    # 860.49 s of the model times 1033 / 861.
    assert queries.drive_table_for([SOUTH, NORTH]).seconds[0][1] == 1033
    # What was fetched of roads is not multiplied.
    keep_road(SOUTH, NORTH, 700)
    assert queries.drive_table_for([SOUTH, NORTH]).seconds[0][1] == 820
    # Drives are measured against the model as it was before anything was learned.
    third = agreed("2 Fern Hollow Ln", NORTH, andrea)
    arrive(third, tuesday(8, 58))
    assert Drive.objects.get(to_visit=third).model_s == MODEL_S


def test_the_newest_drives_teach(two, monkeypatch):
    monkeypatch.setattr(drives, "MOST_DRIVES", 30)
    note_drives(two, [1.5] * 30 + [1.1] * 30, began_at=tuesday(10, 0))

    assert drives.learned_factors().of(1) == pytest.approx(1.1, abs=1e-3)
