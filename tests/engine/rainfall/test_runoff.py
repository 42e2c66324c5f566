"""Runoff from roofs, ground and soil, against TR-55 and the cases."""

import pytest

from drainservice.engine.rainfall.runoff import (
    ROOF_COEFFICIENT,
    RunoffInputImpossible,
    curve_number_runoff_m,
    rational_flow_m3s,
    roof_runoff_m3,
    weighted_curve_number,
)
from drainservice.engine.units import (
    CUBIC_FOOT_M3,
    FOOT_M,
    GALLON_M3,
    INCH_M,
    INCH_PER_HOUR_MS,
    SQUARE_FOOT_M2,
)
from tests.engine.cases import case

ACRE_M2 = 43560 * SQUARE_FOOT_M2


def test_D01_runoff_of_six_inches_on_curve_number_75():
    given = case("D01")

    runoff_m = curve_number_runoff_m(given.raw("rain") * INCH_M, given.raw("CN"))

    given.assert_holds("runoff", runoff_m / INCH_M, "in")


def test_D02_runoff_depths_of_the_published_table():
    given = case("D02")

    for rain_in, number in given.raw("pairs"):
        runoff_in = curve_number_runoff_m(rain_in * INCH_M, number) / INCH_M
        given.assert_holds(f"P{rain_in:g}_CN{number}", runoff_in, "in")


def test_D04_rational_method():
    given = case("D04")

    peak_m3s = rational_flow_m3s(
        given.raw("C"), given.raw("intensity") * INCH_PER_HOUR_MS, given.raw("area") * ACRE_M2
    )

    given.assert_holds("peak", peak_m3s, "m3/s")


def test_the_rational_method_keeps_the_exact_factor():
    # 1 in/h on one acre: 43560 / 12 / 3600 = 1.00833 ft3/s.
    flow_m3s = rational_flow_m3s(1.0, INCH_PER_HOUR_MS, ACRE_M2)

    assert flow_m3s / CUBIC_FOOT_M3 == pytest.approx(1.008333, abs=1e-6)


def test_D06_roof_runoff_volume():
    given = case("D06")

    volume_m3 = roof_runoff_m3(given.raw("area") * SQUARE_FOOT_M2, given.raw("rain") * INCH_M)

    given.assert_holds("volume", volume_m3, "m3")


def test_an_inch_on_a_square_foot_is_0_6234_gallons():
    # 144 in3 / 231 in3 per gallon (NIST SP 811) = 0.623377 gal.
    assert roof_runoff_m3(SQUARE_FOOT_M2, INCH_M) / GALLON_M3 == pytest.approx(0.623377, abs=1e-6)


def test_one_inch_off_a_thousand_square_feet_is_83_cubic_feet():
    # 1000 x 1/12 = 83.33 ft3.
    volume_m3 = roof_runoff_m3(1000 * SQUARE_FOOT_M2, INCH_M)

    assert volume_m3 / FOOT_M**3 == pytest.approx(83.333, abs=1e-3)


def test_nothing_runs_off_below_the_initial_abstraction():
    # CN 75: S = 1000/75 - 10 = 3.333 in, 0.2 S = 0.667 in.
    assert curve_number_runoff_m(0.66 * INCH_M, 75) == 0.0
    assert curve_number_runoff_m(0.68 * INCH_M, 75) > 0.0


def test_pavement_of_curve_number_100_gives_all_its_rain():
    assert curve_number_runoff_m(0.05, 100) == pytest.approx(0.05)


def test_curve_numbers_are_weighted_by_area():
    # TR-55 (1986), worksheet 2: (70 x 61 + 30 x 98) / 100 = 72.1.
    assert weighted_curve_number([70, 30], [61, 98]) == pytest.approx(72.1)


@pytest.mark.parametrize("number", [0, -5, 101])
def test_refuses_curve_numbers_that_cannot_be(number):
    with pytest.raises(RunoffInputImpossible, match="above 0 and at most at 100"):
        curve_number_runoff_m(0.1, number)


@pytest.mark.parametrize(("area", "rain", "share"), [(-1, 1, 1), (1, -1, 1), (1, 1, 1.2)])
def test_refuses_areas_rains_and_shares_that_cannot_be(area, rain, share):
    with pytest.raises(RunoffInputImpossible):
        roof_runoff_m3(area, rain, share)


def test_a_roof_hands_on_nine_tenths_unless_measured():
    # Handbook range 0.85 to 0.95 (common practice, no source).
    assert 0.85 <= ROOF_COEFFICIENT <= 0.95
