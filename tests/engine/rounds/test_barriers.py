"""A river with bridges, reckoned by hand on a grid of degrees, and against brute force."""

from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.barriers import Barrier, BarrierCannotBe, way_km
from drainservice.engine.rounds.roads.great_circles import ways_km
from drainservice.engine.rounds.roads.places import PlaceCannotBe, haversine_km

# A river along 47.0 north, with bridges at 122.5 and 122.1 west.
BRIDGES = (Place(47.0, -122.5), Place(47.0, -122.1))
RIVER = Barrier((Place(47.0, -123.0), Place(47.0, -121.5)), BRIDGES)
# A second one along 47.2 north.
CANAL = Barrier((Place(47.2, -123.0), Place(47.2, -121.5)), (Place(47.2, -122.8),))


def legs_km(*places):
    return sum(haversine_km(a, b) for a, b in pairwise(places))


def test_on_one_side_the_way_is_straight():
    a, b = Place(47.1, -122.4), Place(47.05, -122.2)

    assert way_km(a, b, [RIVER]) == haversine_km(a, b)


@pytest.mark.parametrize(("lon", "bridge"), [(-122.45, BRIDGES[0]), (-122.15, BRIDGES[1])])
def test_across_the_way_goes_by_the_nearest_crossing(lon, bridge):
    a, b = Place(47.1, lon), Place(46.9, lon)

    assert way_km(a, b, [RIVER]) == pytest.approx(legs_km(a, bridge, b))


def test_two_barriers_are_crossed_one_after_the_other_either_way():
    a, b = Place(47.3, -122.3), Place(46.9, -122.3)
    by_hand = min(legs_km(a, CANAL.crossings[0], bridge, b) for bridge in BRIDGES)

    assert way_km(a, b, [RIVER, CANAL]) == pytest.approx(by_hand)
    assert way_km(b, a, [CANAL, RIVER]) == pytest.approx(by_hand)


def test_a_bend_crossed_twice_is_not_in_the_way():
    """A river that juts north between two places on its south side."""
    bend = Barrier(
        (Place(47.0, -123.0), Place(47.0, -122.3), Place(47.5, -122.2), Place(47.0, -122.1)),
        (Place(47.0, -122.8),),
    )
    a, b = Place(47.1, -122.5), Place(47.1, -122.0)

    # West of the jut the place at 47.1 lies north of the line; so does the one east of its end.
    assert way_km(a, b, [bend]) == haversine_km(a, b)
    inside = Place(47.1, -122.2)
    assert way_km(a, inside, [bend]) == pytest.approx(legs_km(a, bend.crossings[0], inside))


def test_a_way_through_a_corner_crosses_once():
    bent = Barrier(
        (Place(46.0, -122.3), Place(47.0, -122.3), Place(48.0, -122.3)), (Place(46.5, -122.3),)
    )
    a, b = Place(47.0, -122.5), Place(47.0, -122.1)

    assert way_km(a, b, [bent]) == pytest.approx(legs_km(a, bent.crossings[0], b))


@pytest.mark.parametrize(
    ("line", "crossings", "words"),
    [
        ((Place(47, -122),), BRIDGES, "two points or more"),
        ((Place(47, -122), Place(47, -121)), (), "mark at least one"),
    ],
)
def test_a_barrier_nobody_could_draw_is_refused_in_words(line, crossings, words):
    with pytest.raises(BarrierCannotBe, match=words):
        Barrier(line, crossings)


def test_a_crossing_beyond_the_pole_is_refused():
    with pytest.raises(PlaceCannotBe, match="A point of the barrier"):
        Barrier((Place(47, -122), Place(47, -121)), (Place(97, -122),))


COORDINATES = st.builds(
    Place, st.integers(4680, 4740).map(lambda n: n / 100), st.floats(-122.9, -121.6)
)


@given(COORDINATES, COORDINATES)
def test_a_long_straight_river_is_met_exactly_by_ways_between_its_sides(a, b):
    """Sides by latitude alone, a place on the line counting north as the river's own rule does."""
    crosses = (a.lat >= 47.0) != (b.lat >= 47.0)
    by_hand = min(legs_km(a, bridge, b) for bridge in BRIDGES) if crosses else legs_km(a, b)

    assert way_km(a, b, [RIVER]) == pytest.approx(by_hand)


def share_by_solving(a, b, barrier):
    """Where a to b meets the barrier's one line, by a linear solver; None where it does not."""
    p, q = barrier.line
    sides = [[b.lon - a.lon, p.lon - q.lon], [b.lat - a.lat, p.lat - q.lat]]
    if abs(np.linalg.det(sides)) < 1e-12:
        return None
    along, across = np.linalg.solve(sides, [p.lon - a.lon, p.lat - a.lat])
    # An end on the line itself lies on either side by rounding.
    assume(min(abs(along), abs(along - 1)) > 1e-9)
    return along if 0 <= along <= 1 and 0 <= across <= 1 else None


# Two slanted lines that do not meet, each with one crossing far off the other's.
SLANTED = (
    Barrier((Place(46.0, -122.9), Place(48.3, -122.2)), (Place(46.1, -122.87),)),
    Barrier((Place(46.2, -122.0), Place(48.1, -122.1)), (Place(48.0, -122.09),)),
)


@given(
    st.builds(Place, st.floats(46.5, 47.9), st.floats(-123.5, -121.5)),
    st.builds(Place, st.floats(46.5, 47.9), st.floats(-123.5, -121.5)),
    st.permutations(SLANTED),
)
def test_slanted_barriers_are_crossed_in_the_order_in_which_the_line_meets_them(a, b, barriers):
    shares = [(share_by_solving(a, b, barrier), barrier) for barrier in barriers]
    met = sorted(
        (at, barrier.crossings[0].lat, barrier.crossings[0])
        for at, barrier in shares
        if at is not None
    )

    assert way_km(a, b, barriers) == pytest.approx(legs_km(a, *(c for *_, c in met), b))


@given(COORDINATES, COORDINATES, COORDINATES)
def test_no_way_by_a_third_place_is_shorter(a, b, c):
    way = way_km(a, c, [RIVER])

    assert way <= way_km(a, b, [RIVER]) + way_km(b, c, [RIVER]) + 1e-9


@given(st.lists(COORDINATES, min_size=1, max_size=8))
def test_all_at_once_is_the_same_as_one_by_one(places):
    crooked = Barrier(
        (Place(46.8, -122.6), Place(47.1, -122.3), Place(46.9, -122.0), Place(47.4, -121.9)),
        (Place(47.0, -122.4), Place(47.2, -121.95)),
    )
    for barriers in ([], [RIVER], [RIVER, CANAL], [CANAL, crooked, RIVER]):
        table = ways_km(places, barriers)

        assert table.shape == (len(places), len(places))
        for (i, a), (j, b) in product(enumerate(places), repeat=2):
            assert table[i, j] == pytest.approx(way_km(a, b, barriers), abs=1e-9)
        from_two = ways_km(places[:2], barriers, places)
        assert from_two == pytest.approx(table[:2], abs=1e-12)
