"""Fittings after Crane. Judges: printed cases and the `fluids` library's Crane functions."""

import math

import fluids
import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.fittings import (
    SCHEDULE_40_BORE_IN,
    Fitting,
    FittingKind,
    NotACheckValve,
    contraction_k,
    crane_friction_factor,
    enlargement_k,
    equivalent_length,
    fitting_k,
    lifting_velocity,
)
from drainservice.engine.hydraulics.friction import DarcyColebrook
from drainservice.engine.hydraulics.line import Section, line_loss
from drainservice.engine.hydraulics.water import brake_power
from drainservice.engine.units import FOOT_M, GPM_M3S, INCH_M
from tests.engine.cases import case, convert


def test_A06_total_head_and_brake_power_of_a_pumped_line():
    a06 = case("A06")
    flow_m3s = convert(a06.raw("flow"), "gpm", "m3/s")
    density_kgm3 = convert(a06.raw("density"), "pound/ft3", "kg/m3")
    viscosity_m2s = convert(a06.raw("viscosity"), "centipoise", "pascal*s") / density_kgm3
    # The case names the parts in words: a 2.5 in lift check (2.469 in) in a 3.068 in line.
    line = Section(
        length_m=a06.raw("length") * FOOT_M,
        inside_diameter_m=SCHEDULE_40_BORE_IN["3"] * INCH_M,
        friction=DarcyColebrook(a06.raw("roughness") * INCH_M, viscosity_m2s),
        fittings=(
            Fitting(FittingKind.ELBOW_90, 4),
            Fitting(FittingKind.GATE_VALVE),
            Fitting(FittingKind.LIFT_CHECK, 1, seat_share=2.469 / 3.068),
            Fitting(FittingKind.EXIT),
        ),
    )

    head_m = a06.raw("static_head") * FOOT_M + line_loss([line], flow_m3s)
    power_w = brake_power(flow_m3s, head_m, a06.raw("pump_efficiency"), density_kgm3)

    a06.assert_holds("total_head", head_m, "m")
    a06.assert_holds("brake_power", power_w, "W")


def test_A12_turbulent_factor_and_swing_check():
    a12 = case("A12")
    bore_m = a12.raw("id_1_5") * INCH_M

    a12.assert_holds("fT_1_5in", crane_friction_factor(bore_m))
    a12.assert_holds("fT_2in", crane_friction_factor(a12.raw("id_2") * INCH_M))
    a12.assert_holds("K_swing_1_5in", fitting_k(Fitting(FittingKind.SWING_CHECK), bore_m))


@pytest.mark.parametrize(
    ("nominal", "printed"),
    # Crane TP-410 pipe friction data, 2018 edition, from memory.
    [("1", 0.022), ("1-1/4", 0.021), ("1-1/2", 0.020), ("2", 0.019), ("3", 0.017), ("4", 0.016)],
)
def test_prints_cranes_factors(nominal, printed):
    ours = crane_friction_factor(SCHEDULE_40_BORE_IN[nominal] * INCH_M)

    assert ours == pytest.approx(printed, abs=0.00055)


BORE_M = 2.067 * INCH_M


@pytest.mark.parametrize(
    ("kind", "theirs"),
    [
        (FittingKind.SWING_CHECK, lambda d: fluids.fittings.K_swing_check_valve_Crane(D=d)),
        (
            FittingKind.SWING_CHECK_CLEARWAY,
            lambda d: fluids.fittings.K_swing_check_valve_Crane(D=d, angled=False),
        ),
        (
            FittingKind.LIFT_CHECK,
            lambda d: fluids.fittings.K_lift_check_valve_Crane(D1=d, D2=d, angled=False),
        ),
        (
            FittingKind.ANGLE_LIFT_CHECK,
            lambda d: fluids.fittings.K_lift_check_valve_Crane(D1=d, D2=d),
        ),
        (FittingKind.GATE_VALVE, lambda d: fluids.fittings.K_gate_valve_Crane(d, d, angle=0.0)),
        (FittingKind.BALL_VALVE, lambda d: fluids.fittings.K_ball_valve_Crane(d, d, angle=0.0)),
        (FittingKind.GLOBE_VALVE, lambda d: fluids.fittings.K_globe_valve_Crane(d, d)),
    ],
)
def test_agrees_with_the_fluids_library(kind, theirs):
    # Their f_T is fitted to a real Reynolds number, ours is the rough limit: 2 % apart at most.
    assert fitting_k(Fitting(kind), BORE_M) == pytest.approx(theirs(BORE_M), rel=0.02)


@pytest.mark.parametrize(
    ("kind", "printed_k"),
    [
        # K of 2 in fittings as handbooks print them after Crane (f_T 0.019), from memory.
        (FittingKind.ELBOW_90, 0.57),
        (FittingKind.ELBOW_45, 0.30),
        (FittingKind.LONG_ELBOW_90, 0.27),
        (FittingKind.TEE_RUN, 0.38),
        (FittingKind.TEE_BRANCH, 1.14),
        # Any size: sharp entry and exit as Crane has them; union as handbooks, from memory.
        (FittingKind.ENTRY, 0.5),
        (FittingKind.EXIT, 1.0),
        (FittingKind.UNION, 0.04),
    ],
)
def test_prints_the_handbooks_k_for_two_inch_fittings(kind, printed_k):
    assert fitting_k(Fitting(kind), BORE_M) == pytest.approx(printed_k, rel=0.02)


def test_bends_a_long_elbow_as_the_fluids_library_does():
    theirs = fluids.fittings.bend_rounded(Di=BORE_M, angle=90, bend_diameters=1.5, method="Crane")

    assert fitting_k(Fitting(FittingKind.LONG_ELBOW_90), BORE_M) == pytest.approx(theirs, rel=0.03)


def test_charges_a_narrow_seat_as_the_fluids_library_does():
    narrow = Fitting(FittingKind.LIFT_CHECK, 1, seat_share=0.8)
    theirs = fluids.fittings.K_lift_check_valve_Crane(
        D1=0.8 * BORE_M, D2=BORE_M, angled=False, fd=crane_friction_factor(BORE_M)
    )

    assert fitting_k(narrow, BORE_M) == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("beta", [0.3, 0.78, 1.0])
def test_agrees_on_sudden_steps_of_the_bore(beta):
    wider = fluids.fittings.diffuser_sharp(Di1=beta * 0.05, Di2=0.05)
    # Crane's 0.5 (1 - b^2): the `fluids` conical contraction at 180 degrees, on the small bore.
    narrower = fluids.fittings.contraction_conical_Crane(Di1=0.05, Di2=beta * 0.05, angle=180)

    assert enlargement_k(beta * 0.05, 0.05) == pytest.approx(wider, abs=1e-12)
    assert contraction_k(beta * 0.05, 0.05) == pytest.approx(narrower, abs=1e-12)


@pytest.mark.parametrize(
    ("kind", "style"),
    [
        (FittingKind.SWING_CHECK, "swing check angled"),
        (FittingKind.SWING_CHECK_CLEARWAY, "swing check straight"),
        (FittingKind.LIFT_CHECK, "lift check straight"),
        (FittingKind.ANGLE_LIFT_CHECK, "lift check angled"),
    ],
)
def test_lifts_the_flap_at_the_speed_that_crane_gives(kind, style):
    theirs = fluids.fittings.v_lift_valve_Crane(rho=998.2, D1=0.04, D2=0.05, style=style)

    assert lifting_velocity(kind, 998.2, seat_share=0.8) == pytest.approx(theirs, rel=1e-9)


def test_needs_about_thirty_gpm_to_hold_a_swing_check_open():
    # 45/sqrt(998.2) = 1.424 m/s; bore area pi/4 (0.040894 m)^2 = 1.3134e-3 m2; 1.871e-3 m3/s.
    flow_m3s = lifting_velocity(FittingKind.SWING_CHECK) * math.pi / 4 * (1.61 * INCH_M) ** 2

    assert flow_m3s / GPM_M3S == pytest.approx(29.7, abs=0.1)


def test_turns_a_loss_into_straight_pipe():
    # K D / f = 2.0 * 0.04 / 0.02 = 4 m.
    assert equivalent_length(2.0, 0.04, 0.02) == pytest.approx(4.0)


def test_refuses_what_is_no_check_valve():
    with pytest.raises(NotACheckValve, match="name the kind of check valve"):
        lifting_velocity(FittingKind.ELBOW_90)


def test_refuses_a_negative_count():
    with pytest.raises(ImpossibleAmount, match="count from 0 up"):
        fitting_k(Fitting(FittingKind.ELBOW_90, -1), BORE_M)


def test_refuses_a_step_the_wrong_way_round():
    with pytest.raises(ImpossibleAmount, match="swap the two"):
        enlargement_k(0.05, 0.04)
