"""The line: losses add up, and it holds so much water."""

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.fittings import Fitting, FittingKind, fitting_k
from drainservice.engine.hydraulics.friction import HazenWilliams, hazen_williams_loss
from drainservice.engine.hydraulics.line import (
    Section,
    line_loss,
    lose_in_section,
    loss_factor,
    water_held,
)
from drainservice.engine.units import FOOT_M, GALLON_M3, INCH_M
from tests.engine.cases import case

RISER = Section(3.0, 0.041, fittings=(Fitting(FittingKind.ELBOW_90, 2),), extra_k=1.5)
LATERAL = Section(25.0, 0.0525)


@pytest.mark.parametrize(
    ("bore", "name"), [("id_1_25", "gal_per_ft_1_25"), ("id_2", "gal_per_ft_2")]
)
def test_B12_water_held_in_a_foot_of_riser(bore, name):
    b12 = case("B12")

    held_m3 = water_held([Section(FOOT_M, b12.raw(bore) * INCH_M)])

    b12.assert_holds(name, held_m3 / GALLON_M3, "gal/ft")


def test_adds_friction_and_fittings():
    # v = 0.002 / (pi/4 0.041^2) = 1.5149 m/s; v^2/2g = 0.11701 m.
    speed_head_m = 0.11701
    k = 1.5 + fitting_k(Fitting(FittingKind.ELBOW_90, 2), 0.041)

    loss = lose_in_section(RISER, 0.002)

    assert loss.fittings_m == pytest.approx(k * speed_head_m, rel=1e-4)
    assert loss.friction_m == hazen_williams_loss(0.002, 3.0, 0.041, HazenWilliams())
    assert loss.total_m == loss.friction_m + loss.fittings_m


def test_adds_sections_in_a_row():
    both_m = line_loss([RISER, LATERAL], 0.002)

    assert both_m == pytest.approx(line_loss([RISER], 0.002) + line_loss([LATERAL], 0.002))


def test_freezes_the_loss_at_one_flow():
    assert loss_factor([LATERAL], 0.002) * 0.002**2 == pytest.approx(line_loss([LATERAL], 0.002))
    assert loss_factor([LATERAL], 0.0) == 0


def test_refuses_a_share_above_the_whole():
    with pytest.raises(ImpossibleAmount, match="from 0 to 1"):
        lose_in_section(Section(1.0, 0.04, flow_share=1.5), 0.001)


def test_refuses_a_pipe_of_negative_length():
    with pytest.raises(ImpossibleAmount, match="length of pipe"):
        water_held([Section(-1.0, 0.04)])
