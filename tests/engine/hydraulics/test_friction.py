"""Friction in straight pipe. Judges: printed cases, the `fluids` library, textbook limits."""

import fluids
import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.friction import (
    C_AGED_LINE,
    C_NEW_PVC,
    DarcyColebrook,
    HazenWilliams,
    HazenWilliamsForm,
    darcy_loss,
    friction_factor,
    friction_loss,
    hazen_williams_loss,
    pipe_velocity,
    reynolds_number,
    turbulent_friction_factor,
)
from drainservice.engine.hydraulics.water import VISCOSITY_M2S, water_density, water_viscosity
from drainservice.engine.units import FOOT_M, GPM_M3S, INCH_M
from tests.engine.cases import case, convert


@pytest.mark.parametrize("form", list(HazenWilliamsForm))
def test_A01_hazen_williams_loss_in_every_form(form):
    a01 = case("A01")

    loss_m = hazen_williams_loss(
        convert(a01.raw("flow"), "gpm", "m3/s"),
        a01.raw("length") * FOOT_M,
        a01.raw("inside_diameter") * INCH_M,
        HazenWilliams(a01.raw("C"), form),
    )

    a01.assert_holds("head_loss", loss_m, "m")


def test_A03_darcy_loss_with_colebrook():
    a03 = case("A03")
    flow_m3s = convert(a03.raw("flow"), "ft3/s", "m3/s")
    bore_m, roughness_m = a03.raw("diameter") * INCH_M, a03.raw("roughness") * FOOT_M
    viscosity_m2s = convert(a03.raw("kinematic_viscosity"), "ft2/s", "m2/s")

    reynolds = reynolds_number(flow_m3s, bore_m, viscosity_m2s)
    factor = friction_factor(reynolds, roughness_m / bore_m)
    loss_m = darcy_loss(
        flow_m3s,
        a03.raw("length") * FOOT_M,
        bore_m,
        DarcyColebrook(roughness_m, viscosity_m2s),
    )

    a03.assert_holds("reynolds", reynolds)
    a03.assert_holds("friction_factor_darcy", factor)
    a03.assert_holds("head_loss", loss_m, "m")


def test_A08_reynolds_number_and_factor_of_smooth_pipe():
    a08 = case("A08")
    flow_m3s = convert(a08.raw("flow"), "L/min", "m3/s")
    bore_m = a08.raw("inside_diameter") / 1000

    reynolds = reynolds_number(flow_m3s, bore_m, a08.raw("kinematic_viscosity"))

    a08.assert_holds("reynolds", reynolds)
    a08.assert_holds("friction_factor_darcy", friction_factor(reynolds, 0.0))


def test_A08_viscosity_follows_from_the_temperature():
    # Crane TP-410M problem 7-1: 30 degrees, 8.03e-7 m2/s. Vogel's equation is good to 2 %.
    a08 = case("A08")

    viscosity_m2s = water_viscosity(a08.raw("temperature"))

    assert viscosity_m2s == pytest.approx(a08.raw("kinematic_viscosity"), rel=0.02)


@pytest.mark.parametrize("reynolds", [500, 5e3, 4e4, 2e5, 1e7])
@pytest.mark.parametrize("relative_roughness", [0.0, 1e-5, 1e-3, 0.03])
def test_agrees_with_the_fluids_library(reynolds, relative_roughness):
    theirs = fluids.friction.friction_factor(Re=reynolds, eD=relative_roughness)

    assert friction_factor(reynolds, relative_roughness) == pytest.approx(theirs, rel=1e-6)


def test_ends_in_the_rough_limit():
    assert friction_factor(1e12, 1e-3) == pytest.approx(turbulent_friction_factor(1e-3), rel=1e-5)


def test_keeps_the_two_trade_forms_apart_by_at_most_two_percent():
    # Measured when the cases were written: 1.5 % apart, so neither may quietly become the other.
    one, two = (
        hazen_williams_loss(40 * GPM_M3S, 30.0, 1.61 * INCH_M, HazenWilliams(150, form))
        for form in (HazenWilliamsForm.TRADE, HazenWilliamsForm.EPANET)
    )

    assert 0.005 < abs(one / two - 1) < 0.02


def test_writes_the_same_formula_in_si_as_in_feet():
    # 4.727 ft/(ft3/s)^1.852 and 10.67 m/(m3/s)^1.852 are one formula, rounded twice.
    metric, feet = (
        hazen_williams_loss(40 * GPM_M3S, 30.0, 1.61 * INCH_M, HazenWilliams(150, form))
        for form in (HazenWilliamsForm.SI, HazenWilliamsForm.EPANET)
    )

    assert metric == pytest.approx(feet, rel=0.003)


def test_follows_the_customary_velocity_formula():
    # v = 0.4085 Q/d^2 in ft/s, gpm, in (trade handbooks, from memory): 0.4085*40/1.61^2 = 6.304.
    assert pipe_velocity(40 * GPM_M3S, 1.61 * INCH_M) / FOOT_M == pytest.approx(6.304, abs=0.002)


def test_loses_nothing_at_no_flow():
    assert friction_loss(0.0, 30.0, 0.05, HazenWilliams()) == 0
    assert friction_loss(0.0, 30.0, 0.05, DarcyColebrook(1e-5)) == 0


@pytest.mark.parametrize(
    ("temperature_c", "density_kgm3", "viscosity_m2s"),
    # IAPWS tables, from memory.
    [(5, 999.97, 1.519e-6), (20, 998.21, 1.0034e-6), (40, 992.22, 0.658e-6)],
)
def test_knows_water_by_its_temperature(temperature_c, density_kgm3, viscosity_m2s):
    assert water_density(temperature_c) == pytest.approx(density_kgm3, abs=0.02)
    assert water_viscosity(temperature_c) == pytest.approx(viscosity_m2s, rel=0.02)


def test_takes_water_at_twenty_degrees_unless_told():
    assert pytest.approx(water_viscosity(20.0), rel=0.01) == VISCOSITY_M2S


@pytest.mark.parametrize(
    ("flow_m3s", "length_m", "bore_m", "c"),
    [(-1e-3, 1, 0.04, 150), (1e-3, -1, 0.04, 150), (1e-3, 1, 0, 150), (1e-3, 1, 0.04, 0)],
)
def test_refuses_an_impossible_pipe(flow_m3s, length_m, bore_m, c):
    with pytest.raises(ImpossibleAmount, match="enter it again"):
        hazen_williams_loss(flow_m3s, length_m, bore_m, HazenWilliams(c))


def test_refuses_ice():
    with pytest.raises(ImpossibleAmount, match="does not flow"):
        water_viscosity(-1.0)


def test_turns_from_laminar_to_colebrook_at_two_thousand():
    # 64/Re below; above, Colebrook's own equation holds (smooth pipe: 0.0495 at Re 2000).
    assert friction_factor(1999.0, 0.0) == pytest.approx(64 / 1999.0)
    assert friction_factor(2000.0, 0.0) == pytest.approx(0.0495, abs=0.0002)


def test_the_three_forms_keep_their_own_constants():
    # One metre of 50 mm pipe at 2 L/s and C 150, each sum by its own printed form.
    flow, bore, c = 0.002, 0.050, 150.0
    in_si = 10.67 * flow**1.852 / (c**1.852 * bore**4.8704)
    in_feet = 4.727 * (flow / FOOT_M**3 / c) ** 1.852 / (bore / FOOT_M) ** 4.871
    in_trade = 0.2083 / 100 * (100 / c * flow / GPM_M3S) ** 1.852 / (bore / INCH_M) ** 4.8655

    losses = [
        hazen_williams_loss(flow, 1.0, bore, HazenWilliams(c, form)) for form in HazenWilliamsForm
    ]

    assert losses == pytest.approx([in_feet, in_trade, in_si], rel=1e-12)
    assert len(set(losses)) == 3


def test_new_and_aged_pvc_have_their_handbook_smoothness():
    # Handbook values, from memory.
    assert (C_NEW_PVC, C_AGED_LINE, HazenWilliams().c) == (150.0, 140.0, 150.0)
