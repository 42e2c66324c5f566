"""Pump curves. Judges: EPANET's example pumps (tests/data/pumps/SOURCES.md), printed cases."""

import csv
from pathlib import Path

import numpy as np
import pytest

from drainservice.engine.hydraulics.curves import (
    AffinityPoint,
    PumpCurve,
    PumpPoint,
    PumpPointsUnusable,
    RisingPumpCurve,
    fit_least_squares,
    fit_power_curve,
    fit_pump_curve,
    fit_single_point,
    scale_by_affinity,
)
from drainservice.engine.units import FOOT_M, GPM_M3S, HORSEPOWER_W
from tests.engine.cases import case, convert

PUMPS = Path(__file__).parents[2] / "data" / "pumps" / "epanet_example_pump_curves.csv"


def points_of(network, pump):
    rows = csv.DictReader(PUMPS.read_text().splitlines())
    return [
        PumpPoint(float(row["flow_gpm"]) * GPM_M3S, float(row["head_ft"]) * FOOT_M)
        for row in rows
        if (row["network"], row["pump"]) == (network, pump)
    ]


def trade_coefficient(curve):
    """B of h = h0 - B Q^n in ft and gpm: B ft/(gpm)^n."""
    return curve.coefficient * GPM_M3S**curve.exponent / FOOT_M


def test_A11_affinity_rules():
    a11 = case("A11")
    point = AffinityPoint(
        convert(a11.raw("Q"), "gpm", "m3/s"), a11.raw("H") * FOOT_M, a11.raw("P") * HORSEPOWER_W
    )

    slower = scale_by_affinity(point, a11.raw("n2") / a11.raw("n1"))

    a11.assert_holds("Q2", slower.flow_m3s, "m3/s")
    a11.assert_holds("H2", slower.head_m, "m")
    a11.assert_holds("P2", slower.power_w, "W")


@pytest.mark.parametrize(
    ("pump", "shutoff_ft", "exponent", "coefficient"),
    # Computed from the published points: SOURCES.md beside the data.
    [("10", 104, 1.77259, 1.689702e-05), ("335", 200, 1.08836, 3.502840e-03)],
)
def test_fits_the_power_form_to_net3(pump, shutoff_ft, exponent, coefficient):
    curve = fit_pump_curve(points_of("Net3", pump))

    assert curve.fitted_by == "three points"
    assert curve.shutoff_head_m / FOOT_M == pytest.approx(shutoff_ft)
    assert curve.exponent == pytest.approx(exponent, abs=1e-5)
    assert trade_coefficient(curve) == pytest.approx(coefficient, rel=1e-6)


@pytest.mark.parametrize("pump", ["10", "335"])
def test_goes_through_all_three_points(pump):
    points = points_of("Net3", pump)

    curve = fit_power_curve(points)

    assert [curve.head_at(p.flow_m3s) for p in points] == pytest.approx([p.head_m for p in points])


def test_follows_the_single_point_rule_of_net1():
    # Shut-off 4/3 * 250 = 333.33 ft, no head at 2 * 1500 = 3000 gpm (SOURCES.md).
    curve = fit_pump_curve(points_of("Net1", "9"))

    assert curve.shutoff_head_m / FOOT_M == pytest.approx(333.333, abs=1e-3)
    assert curve.flow_at(0.0) / GPM_M3S == pytest.approx(3000)
    assert curve.head_at(1500 * GPM_M3S) == pytest.approx(76.2)


def test_reads_the_published_point_in_si():
    # SOURCES.md: 1500 gpm is 0.0946353 m3/s, 250 ft is 76.2 m.
    [point] = points_of("Net1", "9")

    assert point.flow_m3s == pytest.approx(0.0946353, abs=1e-7)
    assert point.head_m == pytest.approx(76.2)


def test_halves_flow_and_quarters_head_at_half_speed():
    # SOURCES.md: pump 10's (2000 gpm, 92 ft) becomes (1000 gpm, 23 ft).
    half = fit_pump_curve(points_of("Net3", "10")).at_speed(0.5)

    assert half.head_at(1000 * GPM_M3S) / FOOT_M == pytest.approx(23)


def test_adds_the_flows_of_equal_pumps():
    one = fit_pump_curve(points_of("Net3", "335"))

    three = one.in_parallel(3)

    assert three.flow_at(30.0) == pytest.approx(3 * one.flow_at(30.0))
    assert three.head_at(0.3) == pytest.approx(one.head_at(0.1))


def test_adds_the_heads_of_equal_pumps_in_series():
    one = fit_pump_curve(points_of("Net3", "335"))

    two = one.in_series(2)

    assert two.head_at(0.3) == pytest.approx(2 * one.head_at(0.3))
    assert two.flow_at(60.0) == pytest.approx(one.flow_at(30.0))


def test_gives_nothing_above_its_shutoff_head():
    curve = PumpCurve(10.0, 1e6, 2.0, 0.003, "least squares")

    assert curve.flow_at(10.0) == 0
    assert curve.flow_at(12.0) == 0


def test_agrees_with_numpy_by_least_squares():
    points = [PumpPoint(q, h) for q, h in [(0.0, 7.9), (0.001, 7.2), (0.002, 5.1), (0.003, 1.4)]]
    slope, intercept = np.polyfit([p.flow_m3s**2 for p in points], [p.head_m for p in points], 1)

    curve = fit_pump_curve(points)

    assert curve.fitted_by == "least squares"
    assert curve.shutoff_head_m == pytest.approx(intercept)
    assert curve.coefficient == pytest.approx(-slope)


@pytest.mark.parametrize("fit", [fit_power_curve, fit_least_squares, fit_pump_curve])
def test_refuses_a_curve_that_rises(fit):
    points = [PumpPoint(0.0, 7.0), PumpPoint(0.001, 7.5), PumpPoint(0.002, 4.0)]

    with pytest.raises(RisingPumpCurve, match=r"does not fall from 7\.00 m to 7\.50 m"):
        fit(points)


def test_refuses_a_flat_curve():
    with pytest.raises(RisingPumpCurve, match="only the falling part"):
        fit_pump_curve([PumpPoint(0.0, 7.0), PumpPoint(0.001, 7.0), PumpPoint(0.002, 4.0)])


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([], "enter one from its data sheet"),
        ([PumpPoint(0.0, 7.0)], "must have a flow"),
        ([PumpPoint(0.001, 7.0), PumpPoint(0.001, 6.0)], "same flow"),
        ([PumpPoint(-0.001, 7.0), PumpPoint(0.001, 6.0)], "sign"),
        ([PumpPoint(float("nan"), 7.0)], "not a number"),
        ([PumpPoint(0.0, 0.0)], "lifts nothing"),
    ],
)
def test_refuses_points_that_no_pump_has(points, words):
    with pytest.raises(PumpPointsUnusable, match=words):
        fit_pump_curve(points)


def test_refuses_the_power_form_without_shutoff():
    with pytest.raises(PumpPointsUnusable, match="first at no flow"):
        fit_power_curve([PumpPoint(0.001, 7.0), PumpPoint(0.002, 6.0), PumpPoint(0.003, 4.0)])


def test_refuses_one_point_by_least_squares():
    with pytest.raises(PumpPointsUnusable, match="two points or more"):
        fit_least_squares([PumpPoint(0.001, 7.0)])


def test_single_point_takes_the_lone_point():
    assert fit_single_point(PumpPoint(0.002, 6.0)).head_at(0.002) == pytest.approx(6.0)


def test_parallel_pumps_are_known_as_far_as_all_of_them():
    one = PumpCurve(10.0, 1e6, 2.0, 0.003, "three points")

    assert one.in_parallel(2).largest_flow_m3s == pytest.approx(0.006)


def test_two_points_are_enough_for_least_squares():
    # h = 10 - c Q^2 through (0, 10) and (2, 2): c = 2.
    curve = fit_least_squares([PumpPoint(0.0, 10.0), PumpPoint(2.0, 2.0)])

    assert (curve.shutoff_head_m, curve.coefficient) == pytest.approx((10.0, 2.0))


def test_a_fit_reaches_to_the_last_of_its_points():
    points = [PumpPoint(q, 10.0 - q) for q in (0.0, 1.0, 2.0, 3.0, 5.0)]

    assert fit_least_squares(points).largest_flow_m3s == 5.0
