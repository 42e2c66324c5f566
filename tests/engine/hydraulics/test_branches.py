"""Wye and tee under pressure. Judges: a printed Crane problem, and the `fluids` library."""

import fluids
import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.branches import TEE_DEGREES, WYE_DEGREES, converging_branch
from drainservice.engine.units import GPM_M3S, INCH_M
from tests.engine.cases import case, convert

BORE_M = 4.026 * INCH_M


def test_A09_lateral_joins_a_main_through_a_tee():
    a09 = case("A09")

    # The case says "4 in schedule 40, ID 4.026 in" for all three legs.
    loss = converging_branch(
        convert(a09.raw("main_flow"), "gpm", "m3/s"),
        convert(a09.raw("branch_flow"), "gpm", "m3/s"),
        BORE_M,
        BORE_M,
        a09.raw("angle"),
    )

    a09.assert_holds("K_branch", loss.branch_k)
    a09.assert_holds("K_run", loss.run_k)
    a09.assert_holds("run_head_loss", loss.run_loss_m, "m")


@pytest.mark.parametrize("angle", [30, 45, 60, 90])
@pytest.mark.parametrize("branch_share", [0.1, 0.35, 0.5, 0.9])
@pytest.mark.parametrize("bore_share", [0.45, 0.55, 0.8, 1.0])
def test_agrees_with_the_fluids_library(angle, branch_share, bore_share):
    run_m3s, branch_m3s = 0.01 * (1 - branch_share), 0.01 * branch_share
    legs = {"D_run": BORE_M, "D_branch": bore_share * BORE_M}
    flows = {"Q_run": run_m3s, "Q_branch": branch_m3s, "angle": angle}

    ours = converging_branch(run_m3s, branch_m3s, BORE_M, bore_share * BORE_M, angle)

    assert ours.branch_k == pytest.approx(
        fluids.fittings.K_branch_converging_Crane(**legs, **flows), abs=1e-9
    )
    assert ours.run_k == pytest.approx(
        fluids.fittings.K_run_converging_Crane(**legs, **flows), abs=1e-9
    )


@pytest.mark.parametrize("branch_gpm", [5, 20, 40, 80])
def test_lets_the_branch_in_more_easily_through_a_wye(branch_gpm):
    flows = (40 * GPM_M3S, branch_gpm * GPM_M3S, BORE_M, 2.067 * INCH_M)

    wye, tee = (converging_branch(*flows, angle) for angle in (WYE_DEGREES, TEE_DEGREES))

    assert wye.branch_k < tee.branch_k


def test_refuses_a_joint_where_nothing_flows():
    with pytest.raises(ImpossibleAmount, match="joined flow"):
        converging_branch(0.0, 0.0, BORE_M, BORE_M, 45.0)


def test_refuses_a_branch_against_the_flow():
    with pytest.raises(ImpossibleAmount, match="up to 90 degrees"):
        converging_branch(0.01, 0.01, BORE_M, BORE_M, 120.0)
