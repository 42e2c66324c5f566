"""The weep hole. Judge: the sharp-edged orifice equation, worked by hand."""

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.weep_hole import delivered_flow, weep_loss
from drainservice.engine.units import FOOT_M, GPM_M3S, INCH_M
from tests.engine.cases import case


def test_B10_flow_lost_through_a_weep_hole():
    b10 = case("B10")

    loss_m3s = weep_loss(b10.raw("hole") * INCH_M, b10.raw("head") * FOOT_M, b10.raw("Cd"))

    b10.assert_holds("loss", loss_m3s, "m3/s")


def test_takes_four_percent_of_a_forty_gpm_pump():
    # 1.63 of 40 gpm.
    left_m3s = delivered_flow(40 * GPM_M3S, 3 / 16 * INCH_M, 15 * FOOT_M)

    assert left_m3s / GPM_M3S == pytest.approx(40 - 1.63, abs=0.01)


def test_no_hole_loses_nothing():
    assert weep_loss(0.0, 5.0) == 0


def test_leaves_nothing_of_a_trickle():
    assert delivered_flow(1e-6, 0.01, 3.0) == 0


def test_refuses_a_negative_hole():
    with pytest.raises(ImpossibleAmount, match="weep hole"):
        weep_loss(-0.001, 1.0)
