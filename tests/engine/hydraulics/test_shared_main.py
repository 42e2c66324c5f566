"""The joint with a shared main.

pit --> pump --> valve --> lateral --\\
   other pits ====== main ============ joint ====== main ======> end
"""

from dataclasses import replace

import pytest

from drainservice.engine.hydraulics.branches import TEE_DEGREES, converging_branch
from drainservice.engine.hydraulics.gravity_main import depth_at_flow, full_flow
from drainservice.engine.hydraulics.shared_main import SharedMain, state_at_joint
from drainservice.engine.units import GPM_M3S, GRAVITY_MS2, INCH_M

MAIN = SharedMain(
    inside_diameter_m=4.026 * INCH_M,
    slope=0.01,
    length_m=20.0,
    invert_above_floor_m=1.0,
    other_flow_m3s=30 * GPM_M3S,
)
BRANCH_M = 2.067 * INCH_M
FULL_M3S = full_flow(MAIN.inside_diameter_m, MAIN.slope, MAIN.manning_n)


def test_stands_part_full_at_mannings_depth():
    depth = depth_at_flow(70 * GPM_M3S, MAIN.inside_diameter_m, MAIN.slope, MAIN.manning_n)

    joint = state_at_joint(MAIN, 40 * GPM_M3S, BRANCH_M)

    assert not joint.is_surcharged
    assert joint.level_above_floor_m == pytest.approx(1.0 + depth.depth_m)
    assert joint.entry_loss_m == 0


def test_stands_above_its_crown_when_overfull():
    # Twice the full flow: grade line falls 4 * 1 % over 20 m = 0.8 m to the crown of the end,
    # which lies at 1.0 - 0.2 + 0.10226 = 0.90226 m. So 1.70226 m at the joint.
    busy = replace(MAIN, other_flow_m3s=2 * FULL_M3S - 0.002)

    joint = state_at_joint(busy, 0.002, BRANCH_M)

    assert joint.is_surcharged
    assert joint.level_above_floor_m == pytest.approx(0.90226 + 0.8, abs=1e-5)


def test_charges_the_branch_for_entering_a_full_main():
    busy = replace(MAIN, other_flow_m3s=2 * FULL_M3S - 0.002, branch_angle_degrees=TEE_DEGREES)
    tee = converging_branch(
        busy.other_flow_m3s, 0.002, busy.inside_diameter_m, BRANCH_M, TEE_DEGREES
    )

    joint = state_at_joint(busy, 0.002, BRANCH_M)

    speed_head_m = joint.main_velocity_ms**2 / (2 * GRAVITY_MS2)
    assert joint.branch_k == tee.branch_k
    assert joint.entry_loss_m == pytest.approx((1 + tee.branch_k) * speed_head_m)


def test_backs_up_from_a_drowned_end_when_overfull():
    # As above with 0.5 m over the end's invert instead of its 0.10226 m crown: 0.8 + 0.5 + 0.8.
    busy = replace(MAIN, other_flow_m3s=2 * FULL_M3S - 0.002, tailwater_m=0.5)

    assert state_at_joint(busy, 0.002, BRANCH_M).level_above_floor_m == pytest.approx(2.1)


def test_drowns_when_water_stands_over_its_end():
    # 0.5 m over the end's invert (0.8 m above our floor): level 1.3 m, and the fall on top:
    # S (Q/Q_full)^2 L.
    drowned = replace(MAIN, tailwater_m=0.5)
    rise_m = 0.01 * (70 * GPM_M3S / FULL_M3S) ** 2 * 20

    joint = state_at_joint(drowned, 40 * GPM_M3S, BRANCH_M)

    assert joint.is_surcharged
    assert joint.level_above_floor_m == pytest.approx(1.3 + rise_m)


def test_an_empty_main_stands_at_its_invert():
    joint = state_at_joint(replace(MAIN, other_flow_m3s=0.0), 0.0, BRANCH_M)

    assert joint.level_above_floor_m == pytest.approx(1.0)
    assert joint.branch_k == 0
