"""Great circles against closed forms and another formula; coordinates that cannot be meant."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import (
    EARTH_KM,
    PlaceCannotBe,
    PlacesSwapped,
    check_near,
    haversine_km,
    make_place,
)

PLACES = st.builds(Place, st.floats(-90, 90), st.floats(-180, 180))
YARD = Place(47.25, -122.44)


def by_vectors_km(a, b):
    """The angle between two unit vectors, by atan2 of their cross and dot products: good at all
    angles, and no haversine in it."""

    def unit(place):
        lat, lon = math.radians(place.lat), math.radians(place.lon)
        return math.cos(lat) * math.cos(lon), math.cos(lat) * math.sin(lon), math.sin(lat)

    u, v = unit(a), unit(b)
    cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    return EARTH_KM * math.atan2(math.hypot(*cross), sum(map(float.__mul__, u, v)))


def test_agrees_with_a_published_distance():
    """Documentation of the Rust crate `geo`, HaversineMeasure, same radius: 132,433.09929460194 m
    between (42.698334, 23.319941) and (42.136097, 24.742168)."""
    km = haversine_km(Place(42.698334, 23.319941), Place(42.136097, 24.742168))

    assert km == pytest.approx(132.43309929460194, rel=1e-12)


def test_agrees_with_a_second_published_distance_on_its_own_radius():
    """Rosetta Code, "Haversine formula": 2886.444442837983 km on a sphere of 6371.0 km."""
    km = haversine_km(Place(36.12, -86.67), Place(33.94, -118.40))

    assert km * 6371.0 / EARTH_KM == pytest.approx(2886.444442837983, rel=1e-12)


@pytest.mark.parametrize(
    ("a", "b", "turns"),
    [
        (Place(0, 10), Place(90, 10), 1 / 4),  # equator to pole: a quarter of a meridian
        (Place(-90, 0), Place(90, 123), 1 / 2),  # pole to pole
        (Place(10, 20), Place(-10, -160), 1 / 2),  # opposite: the root would pass 1
        (Place(0, 179.5), Place(0, -179.5), 1 / 360),  # across the date line
    ],
)
def test_agrees_with_shares_of_a_turn(a, b, turns):
    # Near the far side of the earth a haversine knows the angle to the root of rounding, 0.2 m.
    assert haversine_km(a, b) == pytest.approx(turns * 2 * math.pi * 6371.0088, abs=5e-4)


@given(PLACES, PLACES)
def test_agrees_with_the_angle_between_vectors(a, b):
    assert haversine_km(a, b) == pytest.approx(by_vectors_km(a, b), abs=5e-4)


@given(PLACES, PLACES)
def test_is_the_same_both_ways_and_nothing_to_itself(a, b):
    assert haversine_km(a, b) == haversine_km(b, a)
    assert haversine_km(a, a) == 0


@pytest.mark.parametrize(
    ("lat", "lon", "words"),
    [
        (None, -122.4, "no latitude"),
        (47.2, None, "no longitude"),
        (0.0, 0.0, "nothing was entered"),
        (-122.44, 47.25, "were the two swapped?"),
        (90.001, 200.0, "latitudes lie between -90 and 90"),
        (47.25, -180.5, "longitudes lie between -180 and 180"),
        (math.nan, -122.4, "no numbers"),
        (47.25, math.inf, "no numbers"),
    ],
)
def test_coordinates_that_cannot_be_are_refused_by_what_to_mend(lat, lon, words):
    with pytest.raises(PlaceCannotBe, match="9 Islay Ct") as refused:
        make_place(lat, lon, "9 Islay Ct")

    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("lat", "lon", "is_hinted"),
    [(180, 90, True), (-180, -90, True), (180.5, 47, False), (122, 90.5, False)],
)
def test_swapping_is_advised_only_where_it_would_help(lat, lon, is_hinted):
    with pytest.raises(PlaceCannotBe) as refused:
        make_place(lat, lon)

    assert ("swapped" in str(refused.value)) is is_hinted


def test_poles_date_line_and_places_on_the_equator_can_be():
    for lat, lon in [(90, 0), (-90, 180), (0, -180), (0, 0.001)]:
        assert make_place(lat, lon) == Place(lat, lon)


@pytest.mark.parametrize(
    ("place", "words"),
    [
        # The site is at 47.31, -122.40; each line spoils it as sheets do.
        (Place(47.31, 122.40), "with the other sign of the longitude only"),
        (Place(-47.31, -122.40), "with the other sign of the latitude only"),
    ],
)
def test_a_lost_sign_is_told_with_what_to_enter(place, words):
    with pytest.raises(PlacesSwapped, match=r"latitude 47\.31 and longitude -122\.4") as told:
        check_near(place, YARD)

    assert words in str(told.value)


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (Place(-80.1, 40.4), "with latitude and longitude swapped"),
        (Place(80.1, 40.4), "swapped, and with the other sign of the longitude"),
        (Place(-80.1, -40.4), "swapped, and with the other sign of the latitude"),
    ],
)
def test_swapped_coordinates_are_told_where_the_two_could_be_either(place, words):
    yard = Place(40.3, -80.0)

    with pytest.raises(PlacesSwapped) as told:
        check_near(place, yard)

    assert words in str(told.value)
    assert "enter latitude 40.4 and longitude -80.1" in str(told.value)


def test_places_near_the_yard_and_far_ones_without_an_explanation_pass():
    check_near(Place(47.9, -122.0), YARD)
    # 3.6 degrees south: just over 400 km, and no slip brings it nearer.
    check_near(Place(43.6, -122.44), YARD)
    check_near(Place(10.0, 20.0), YARD)


def test_far_begins_at_400_km():
    """Mirrored at the equator: twice 1.798 degrees of a meridian are 399.86 km, twice 1.8 are
    400.30 km."""
    check_near(Place(-1.798, -122), Place(1.798, -122))

    with pytest.raises(PlacesSwapped, match=r"400 km from the yard, .* only 0 km"):
        check_near(Place(-1.8, -122), Place(1.8, -122))


def test_a_slip_must_bring_it_within_400_km():
    """The other sign of the longitude leaves 3.59 or 3.60 degrees of a meridian: 399.2, 400.3."""
    with pytest.raises(PlacesSwapped, match="only 399 km"):
        check_near(Place(50.84, 122.44), YARD)

    check_near(Place(50.85, 122.44), YARD)
