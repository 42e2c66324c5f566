"""Neighbourhoods: how visits are cut into them, and what driving there takes."""

from math import cos, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.season.cells import cut_into_cells
from drainservice.engine.rounds.season.facts import SeasonTravel

KM = 360 / 40030.23  # degrees of latitude; the circumference is 2 pi 6371.0088 km = 40,030.23 km
TRAVEL = SeasonTravel(detour=1.3, speed_kmh=45.0, near_speed_kmh=30.0, park_min=2.0)
YARD = Place(0.0, 10.0)


def test_the_drives_of_a_square_of_1_km_are_those_worked_by_hand():
    # Corners of a square of 1 km (the equator runs along its middle), 20 km east of the yard.
    # There and back: 2 x 20 km x 1.3 / 45 km/h = 69.33 min.
    # Each visit adds 0.7124 sqrt(1 km2 / 4) x 1.3 / 30 km/h = 0.926 min, and 2 min to park.
    east, half = 10.0 + 20 * KM, KM / 2
    corners = [Place(y, east + x) for y in (-half, half) for x in (-half, half)]

    [cell] = cut_into_cells(corners, [YARD], TRAVEL, most=12)

    assert cell.drive_min == pytest.approx(69.33, abs=0.01)
    assert cell.between_min == pytest.approx(2.926, abs=0.001)


def test_the_nearest_of_several_yards_counts():
    far, near = Place(0.0, 9.0), Place(0.0, 10.0 + 19 * KM)

    [cell] = cut_into_cells([Place(0.0, 10.0 + 20 * KM)], [far, YARD, near], TRAVEL, most=12)

    # 2 x 1 km x 1.3 / 45 km/h
    assert cell.drive_min == pytest.approx(3.467, abs=0.001)


def test_a_lone_house_adds_no_driving_between_doors():
    [cell] = cut_into_cells([Place(47.0, 8.0)], [Place(47.0, 8.1)], TRAVEL, most=12)

    assert cell.between_min == 2.0


def test_a_strip_is_cut_across_its_longer_side():
    # At 60 degrees north a degree of longitude is half as long (cos 60 = 1/2): 0.03 degrees east
    # are shorter than 0.02 north, so the cut runs east to west.
    assert cos(radians(60)) == pytest.approx(0.5)
    places = [Place(60 + y, 10 + x) for y in (0, 0.02) for x in (0, 0.03)]

    cells = cut_into_cells(places, [YARD], TRAVEL, most=2)

    assert [cell.members for cell in cells] == [(0, 1), (2, 3)]


def test_800_visits_make_96_neighbourhoods():
    # 800 halved six times is 12 or 13; half of those 64 have one too many and are halved again.
    places = [Place(40 + n // 40 * 0.01, 10 + n % 40 * 0.01) for n in range(800)]

    assert len(cut_into_cells(places, [YARD], TRAVEL, most=12)) == 96


coordinates = st.builds(Place, st.floats(40, 41), st.floats(10, 11))


@given(st.lists(coordinates, max_size=60), st.integers(1, 12))
def test_each_visit_is_in_just_one_neighbourhood_and_none_is_too_large(places, most):
    cells = cut_into_cells(places, [YARD], TRAVEL, most)

    assert sorted(m for cell in cells for m in cell.members) == list(range(len(places)))
    assert all(1 <= len(cell.members) <= most for cell in cells)
    assert all(len(cell.members) >= (most + 1) // 2 for cell in cells) or len(places) <= most


@given(st.integers(1, 30), st.integers(1, 12))
def test_visits_on_one_site_can_be_cut_all_the_same(count, most):
    cells = cut_into_cells([Place(40.0, 10.0)] * count, [YARD], TRAVEL, most)

    assert sum(len(cell.members) for cell in cells) == count
