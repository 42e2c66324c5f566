"""Manning. Judges: pipe tables, the `fluids` library, the classic part-full ratios."""

import fluids
import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.gravity_main import (
    MainOverfull,
    depth_at_flow,
    flow_at_depth,
    full_flow,
    pressure_slope,
)
from drainservice.engine.units import CUBIC_FOOT_M3, FOOT_M, INCH_M
from tests.engine.cases import case

MAIN = {"inside_diameter_m": 4.026 * INCH_M, "slope": 0.01, "manning_n": 0.010}


@pytest.mark.parametrize(("inches", "name"), [(18, "q18"), (24, "q24")])
def test_A18_capacity_of_a_full_gravity_main(inches, name):
    a18 = case("A18")

    flow_m3s = full_flow(inches * INCH_M, a18.raw("slope"), a18.raw("n"))

    a18.assert_holds(name, flow_m3s, "m3/s")


def test_agrees_with_the_trade_form():
    # Q = 1.486/n A R^(2/3) S^(1/2): 1.486/0.010 * 0.08841 ft2 * 0.083875^(2/3) * 0.1 ft3/s.
    d_ft = 4.026 / 12
    expected_cfs = 1.486 / 0.010 * (3.14159265 * d_ft**2 / 4) * (d_ft / 4) ** (2 / 3) * 0.1

    assert full_flow(**MAIN) / CUBIC_FOOT_M3 == pytest.approx(expected_cfs, rel=2e-4)


@pytest.mark.parametrize(
    ("filled", "flow_ratio", "velocity_ratio"),
    # Part-full ratios of a round pipe, handbooks' hydraulic-elements chart, from memory.
    [(0.25, 0.137, 0.701), (0.5, 0.5, 1.0), (0.75, 0.912, 1.134), (0.938, 1.076, 1.106)],
)
def test_draws_the_hydraulic_elements(filled, flow_ratio, velocity_ratio):
    full = flow_at_depth(MAIN["inside_diameter_m"], **MAIN)

    part = flow_at_depth(filled * MAIN["inside_diameter_m"], **MAIN)

    assert part.flow_m3s / full.flow_m3s == pytest.approx(flow_ratio, abs=0.002)
    assert part.velocity_ms / full.velocity_ms == pytest.approx(velocity_ratio, abs=0.03)


@pytest.mark.parametrize("filled", [0.05, 0.3, 0.8])
def test_agrees_with_fluids_on_velocity(filled):
    part = flow_at_depth(filled * MAIN["inside_diameter_m"], **MAIN)
    theirs = fluids.open_flow.V_Manning(Rh=part.hydraulic_radius_m, S=0.01, n=0.010)

    assert part.velocity_ms == pytest.approx(theirs)


@pytest.mark.parametrize("filled", [0.0, 0.1, 0.5, 0.82, 0.93])
def test_finds_the_depth_again(filled):
    depth_m = filled * MAIN["inside_diameter_m"]

    again = depth_at_flow(flow_at_depth(depth_m, **MAIN).flow_m3s, **MAIN)

    assert again.depth_m == pytest.approx(depth_m, abs=1e-9)


def test_stands_at_its_own_slope_when_just_full():
    # (Q/Q_full)^2 S: at full flow the grade line is parallel to the pipe; twice the flow, 4 S.
    assert pressure_slope(full_flow(**MAIN), **MAIN) == pytest.approx(0.01)
    assert pressure_slope(2 * full_flow(**MAIN), **MAIN) == pytest.approx(0.04)


def test_says_when_the_main_stands_under_pressure():
    with pytest.raises(MainOverfull, match="stands under pressure"):
        depth_at_flow(1.1 * full_flow(**MAIN), **MAIN)


def test_refuses_a_main_without_fall():
    with pytest.raises(ImpossibleAmount, match="slope of the main"):
        full_flow(0.1, 0.0, 0.010)


def test_refuses_a_depth_above_the_crown():
    with pytest.raises(ImpossibleAmount, match="between its invert and its crown"):
        flow_at_depth(FOOT_M, **MAIN)
