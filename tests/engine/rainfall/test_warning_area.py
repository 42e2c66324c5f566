"""Polygons, circles and codes."""

from math import cos, radians

import pytest

from drainservice.engine.rainfall.warning_area import (
    Area,
    Circle,
    Cover,
    area_covers,
    codes_meet,
    is_inside_circle,
    is_inside_polygon,
    normal_codes,
)

SQUARE = ((0.0, 0.0), (0.0, 10.0), (10.0, 10.0), (10.0, 0.0), (0.0, 0.0))
# A letter U, open to the north (latitude is the first number).
HOLLOW = (
    (0.0, 0.0),
    (0.0, 9.0),
    (9.0, 9.0),
    (9.0, 6.0),
    (3.0, 6.0),
    (3.0, 3.0),
    (9.0, 3.0),
    (9.0, 0.0),
    (0.0, 0.0),
)


@pytest.mark.parametrize(
    ("latitude", "longitude", "inside"),
    [(5, 5, True), (5, 11, False), (-1, 5, False), (0, 5, True), (10, 10, True), (5, 0, True)],
)
def test_a_square_holds_what_lies_in_it_and_on_its_edge(latitude, longitude, inside):
    assert is_inside_polygon(SQUARE, latitude, longitude) is inside


@pytest.mark.parametrize(
    ("latitude", "longitude", "inside"),
    [(6, 1, True), (6, 8, True), (6, 4.5, False), (1, 4.5, True), (3, 1, True), (9.1, 1, False)],
)
def test_a_hollow_shape_leaves_its_hollow_out(latitude, longitude, inside):
    assert is_inside_polygon(HOLLOW, latitude, longitude) is inside


def test_the_direction_of_drawing_does_not_matter():
    assert is_inside_polygon(HOLLOW[::-1], 6, 1)
    assert not is_inside_polygon(HOLLOW[::-1], 6, 4.5)


def test_a_polygon_may_cross_the_180th_meridian():
    # As round the western Aleutians.
    aleutians = ((50.0, 178.0), (50.0, -178.0), (53.0, -178.0), (53.0, 178.0), (50.0, 178.0))

    assert is_inside_polygon(aleutians, 51.0, 179.5)
    assert is_inside_polygon(aleutians, 51.0, -179.5)
    assert not is_inside_polygon(aleutians, 51.0, 170.0)
    assert not is_inside_polygon(aleutians, 51.0, 0.0)


def test_a_circle_reaches_as_far_as_its_radius():
    # One degree of latitude is 2 pi 6371.0088 / 360 = 111.195 km.
    assert is_inside_circle(Circle(40.0, -90.0, 111_200.0), 41.0, -90.0)
    assert not is_inside_circle(Circle(40.0, -90.0, 111_190.0), 41.0, -90.0)


def test_a_circle_is_as_wide_as_the_latitude_makes_a_degree():
    one_degree_m = 111_195.0 * cos(radians(60.0))

    assert is_inside_circle(Circle(60.0, 0.0, one_degree_m * 1.001), 60.0, 1.0)
    assert not is_inside_circle(Circle(60.0, 0.0, one_degree_m * 0.999), 60.0, 1.0)


def test_a_circle_of_no_radius_is_its_centre():
    assert is_inside_circle(Circle(55.3, -134.9, 0.0), 55.3, -134.9)
    assert not is_inside_circle(Circle(55.3, -134.9, 0.0), 55.3001, -134.9)


@pytest.mark.parametrize(
    ("written", "normal"),
    [
        (["006109"], {"06109"}),
        (["106109"], {"06109"}),
        (["06109"], {"06109"}),
        (["azc015"], {"AZC015"}),
        (["MNZ020-021"], {"MNZ020", "MNZ021"}),
        (["AKZ026>029-BCZ110"], {"AKZ026", "AKZ027", "AKZ028", "AKZ029", "BCZ110"}),
        (["WYZ277 WYZ278"], {"WYZ277", "WYZ278"}),
        (["MNZ020-021-280000-"], {"MNZ020", "MNZ021"}),
        (["CAZALL"], {"CAZ000"}),
        (["", "it003", "5939010"], {"IT003", "5939010"}),
    ],
)
def test_codes_come_into_one_form(written, normal):
    assert normal_codes(written) == normal


def test_a_whole_state_takes_in_its_counties():
    assert codes_meet(normal_codes(["006000"]), normal_codes(["006109"]))
    assert codes_meet(normal_codes(["CAC000"]), normal_codes(["CAC109"]))
    assert not codes_meet(normal_codes(["006000"]), normal_codes(["004015"]))
    assert not codes_meet(normal_codes(["006109"]), frozenset())


def test_an_area_says_by_what_it_covers_a_place():
    # CAP 1.2, section 3.2.4: an area is the union of its polygons, circles and geocodes.
    area = Area("", (SQUARE,), (Circle(20.0, 20.0, 1000.0),), (), normal_codes(["AZC015"]))

    assert area_covers(area, 5, 5, frozenset()) is Cover.POLYGON
    assert area_covers(area, 20.0, 20.0, frozenset()) is Cover.CIRCLE
    assert area_covers(area, 30.0, 30.0, normal_codes(["AZC015"])) is Cover.CODE
    assert area_covers(area, 30.0, 30.0, normal_codes(["AZC017"])) is Cover.NONE


@pytest.mark.parametrize("shift", [-360.0, 0.0])
def test_a_polygon_may_run_on_beyond_the_180th_meridian(shift):
    # The same waters written as 178 to 182 and as -182 to -178.
    waters = tuple(
        (lat, lon + shift)
        for lat, lon in ((50.0, 178.0), (50.0, 182.0), (53.0, 182.0), (53.0, 178.0))
    )

    assert is_inside_polygon(waters, 51.0, 179.5)
    assert is_inside_polygon(waters, 51.0, -178.5)
    assert not is_inside_polygon(waters, 51.0, -177.5)
    assert not is_inside_polygon(waters, 51.0, 0.0)
