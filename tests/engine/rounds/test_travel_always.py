"""Laws of every drive reckoned without a road map."""

import math

from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.learning import Factor, Factors
from drainservice.engine.rounds.roads.terms import Stretch, TravelTerms
from drainservice.engine.rounds.roads.travel import (
    drive_s,
    drive_table,
    drives_between,
    haversine_km,
)

PLACES = st.builds(Place, st.floats(46.5, 47.9), st.floats(-123.5, -121.5))
FACTORS = st.builds(
    lambda values: Factors(tuple(Factor(band, None, v, 30) for band, v in enumerate(values))),
    st.lists(st.floats(0.7, 1.6), max_size=4),
)


NONE = st.just(Factors())


@st.composite
def some_terms(draw, factors=NONE):
    speeds = sorted(draw(st.lists(st.floats(5, 130), min_size=1, max_size=4)))
    lengths = [draw(st.floats(0.1, 40)) for _ in speeds[1:]] + [math.inf]
    stretches = tuple(map(Stretch, lengths, speeds))
    return TravelTerms(
        draw(st.floats(1, 3)), stretches, draw(st.integers(0, 600)), (), draw(factors)
    )


@given(some_terms(), PLACES, PLACES, PLACES)
def test_no_drive_by_a_third_place_is_quicker(terms, a, b, c):
    assert drive_s(a, c, terms) <= drive_s(a, b, terms) + drive_s(b, c, terms)


@given(some_terms(FACTORS), PLACES, PLACES, PLACES)
def test_a_longer_way_is_never_quicker(terms, a, b, c):
    near, far = sorted([b, c], key=lambda place: haversine_km(a, place))

    # Within rounding: two ways of the same length may be told apart by a bit.
    if near != a and haversine_km(a, far) - haversine_km(a, near) > 1e-9:
        assert drive_s(a, near, terms) <= drive_s(a, far, terms)


@given(some_terms(FACTORS), PLACES, PLACES)
def test_both_ways_take_the_same_and_no_car_flies(terms, a, b):
    s = drive_s(a, b, terms)

    assert s == drive_s(b, a, terms)
    # 0.7 is the least factor, 130 km/h the highest speed.
    assert s >= 0.7 * haversine_km(a, b) * 3600 / 130


@given(some_terms(FACTORS), st.lists(PLACES, max_size=7))
def test_the_table_is_the_loop(terms, places):
    loop = tuple(tuple(drive_s(a, b, terms) for b in places) for a in places)

    assert drive_table(places, terms) == loop


@given(some_terms(FACTORS), st.lists(PLACES, max_size=5), st.lists(PLACES, max_size=5))
def test_from_some_places_to_others_is_the_loop_too(terms, places, ends):
    loop = [[drive_s(a, b, terms) for b in ends] for a in places]

    assert drives_between(places, ends, terms).tolist() == loop
