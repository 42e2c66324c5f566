"""What is said of the roads: who tells them, and how many of a day's drives are estimated."""

from datetime import date

import pytest

from drainservice.visits import queries
from drainservice.visits.actions import road_service
from drainservice.visits.models import DriveTime
from tests import makers
from tests.visits.busy_week import TUESDAY, YARD, booked, crew, site

pytestmark = pytest.mark.django_db


def point(lat, lon):
    return round(lat * 100_000), round(lon * 100_000)


def told(start, end, road_s=300):
    """A road as a service told it."""
    (from_lat, from_lon), (to_lat, to_lon) = point(*start), point(*end)
    DriveTime.objects.create(
        from_lat_e5=from_lat,
        from_lon_e5=from_lon,
        to_lat_e5=to_lat,
        to_lon_e5=to_lon,
        road_s=road_s,
        fetched_on=date(2027, 5, 9),
    )


def estimated():
    return queries.estimated_drives(queries.rounds_of_day(makers.clock(), TUESDAY).rounds)


def test_nothing_is_said_where_no_service_is_set(settings):
    settings.ROUTING_URL = ""
    road_service.service_failed(at=makers.MONDAY, words="The road service answers 500.")
    assert queries.roads_in_words() == ""


def test_its_last_failure_is_said_until_it_answers(settings):
    settings.ROUTING_URL = "http://127.0.0.1:9"
    road_service.service_failed(at=makers.MONDAY, words="The road service answers 500.")
    assert queries.roads_in_words() == (
        "The road service answers 500. What it has not told is estimated."
    )
    road_service.service_answers()
    assert queries.roads_in_words().startswith("A road service tells how long drives take")


def test_drives_of_a_day_are_counted_from_base_to_base():
    andrea, _ = crew()
    north, south = site(1, north=0.05), site(2, north=-0.05)
    booked(north, andrea, TUESDAY, 8)
    booked(south, andrea, TUESDAY, 13)
    # Yard to north, north to south, south to yard.
    assert estimated() == (3, 3)
    told(YARD, (north.latitude, north.longitude))
    told((south.latitude, south.longitude), YARD)
    # The road back is its own: south to north was asked, north to south was not.
    told((south.latitude, south.longitude), (north.latitude, north.longitude))
    assert estimated() == (1, 3)


def test_two_visits_at_one_place_have_no_drive_between_them():
    andrea, _ = crew()
    here = site(1, north=0.05)
    booked(here, andrea, TUESDAY, 8)
    booked(here, andrea, TUESDAY, 10)
    assert estimated() == (2, 2)


def test_where_there_is_no_road_or_no_place_the_drive_is_estimated():
    andrea, _ = crew()
    north, nowhere = site(1, north=0.05), site(2, latitude=None, longitude=None)
    booked(north, andrea, TUESDAY, 8)
    booked(nowhere, andrea, TUESDAY, 13)
    told(YARD, (north.latitude, north.longitude), road_s=None)
    assert estimated() == (3, 3)


def test_a_day_without_visits_has_no_drives():
    crew()
    assert estimated() == (0, 0)


def test_a_drive_that_no_road_serves_is_named_with_both_its_ends():
    andrea, _ = crew()
    north, south = site(1, north=0.05), site(2, north=-0.05)
    booked(north, andrea, TUESDAY, 8)
    booked(south, andrea, TUESDAY, 13)
    told(YARD, (north.latitude, north.longitude), road_s=None)
    # No road the other way: that is driven by nobody.
    told((north.latitude, north.longitude), YARD, road_s=None)
    told((north.latitude, north.longitude), (south.latitude, south.longitude))
    rounds = queries.rounds_of_day(makers.clock(), TUESDAY).rounds
    assert queries.without_road(rounds) == [
        "The road service knows no road from The yard to 1 Alder Rd, so that drive is estimated; "
        "look at the coordinates of both."
    ]
