"""The effective plan area, with blocks, and its uncertainty."""

import math
from dataclasses import replace

import pytest
import uncertainties

from drainservice.engine.hydraulics.amounts import ImpossibleAmount, NegativeDepth
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.plan_area import (
    BoxPit,
    InsertWiderThanPit,
    RoundPit,
    area_between,
    area_by_pouring,
    effective_area,
    round_area,
)
from drainservice.engine.units import FOOT_M, GALLON_M3, INCH_M, SQUARE_FOOT_M2
from tests.engine.cases import case

PIT = BoxPit(
    insert_diameter_m=Measured(24 * INCH_M, 0.25 * INCH_M),
    side_1_m=Measured(4 * FOOT_M, 0.05 * FOOT_M),
    side_2_m=Measured(4 * FOOT_M, 0.05 * FOOT_M),
    void_ratio=Measured(0.4, 0.03),
)


def test_B08_area_of_an_insert_in_a_stone_filled_box():
    b08 = case("B08")
    insert, side, voids = (
        b08.raw(name) for name in ("insert_diameter", "box_side", "stone_void_ratio")
    )
    pit = BoxPit(
        insert_diameter_m=Measured(*(x * INCH_M for x in insert)),
        side_1_m=Measured(*(x * FOOT_M for x in side)),
        side_2_m=Measured(*(x * FOOT_M for x in side)),
        void_ratio=Measured(*voids),
    )

    area = area_between(pit, 0.1, 0.3)

    b08.assert_holds("area", area.value, "m2")
    b08.assert_holds("area_sd", area.sd, "m2")
    assert area.largest_cause == "void ratio"


def test_adds_open_insert_and_voids_of_the_stone():
    # Insert 3.1416 ft2 less 0.5 ft2 of block, plus 0.4 * (16 - 3.1416) = 5.1434: 7.785 ft2.
    area_m2 = effective_area(round_area(2 * FOOT_M), 16 * SQUARE_FOOT_M2, 0.4, 0.5 * SQUARE_FOOT_M2)

    assert area_m2 / SQUARE_FOOT_M2 == pytest.approx(7.785, abs=1e-3)


def test_counts_blocks_only_over_their_height():
    # Blocks of 0.05 m2 and 0.2 m; band 0.1 to 0.5 m: a quarter of it, so 0.0125 m2 less.
    blocks = replace(PIT, block_area_m2=Measured(0.05), block_height_m=0.2)

    with_blocks, without = area_between(blocks, 0.1, 0.5), area_between(PIT, 0.1, 0.5)

    assert without.value - with_blocks.value == pytest.approx(0.0125)
    assert area_between(blocks, 0.2, 0.5).value == pytest.approx(without.value)


def test_agrees_with_the_uncertainties_library_with_blocks():
    d, n = uncertainties.ufloat(0.6, 0.01), uncertainties.ufloat(0.38, 0.04)
    a, b = uncertainties.ufloat(1.3, 0.02), uncertainties.ufloat(1.1, 0.02)
    block = uncertainties.ufloat(0.04, 0.01)
    insert = math.pi * d**2 / 4
    theirs = insert - block + n * (a * b - insert)

    ours = area_between(
        BoxPit(
            Measured(0.6, 0.01),
            Measured(1.3, 0.02),
            Measured(1.1, 0.02),
            Measured(0.38, 0.04),
            Measured(0.04, 0.01),
            block_height_m=1.0,
        ),
        0.0,
        0.5,
    )

    assert ours.value == pytest.approx(theirs.nominal_value)
    assert ours.sd == pytest.approx(theirs.std_dev, rel=1e-7)


def test_a_round_pit_fills_its_ring():
    # pi/4 * (0.36 + 0.4 * (1.44 - 0.36)) = pi/4 * 0.792 = 0.62204 m2.
    pit = RoundPit(Measured(0.6), Measured(1.2), Measured(0.4))

    assert area_between(pit, 0.0, 0.3).value == pytest.approx(0.62204, abs=1e-5)


def test_a_bare_well_is_its_own_insert():
    well = RoundPit(Measured(3.0), Measured(3.0), Measured(0.4))

    assert area_between(well, 0.0, 0.3).value == pytest.approx(round_area(3.0))


def test_measures_the_area_by_pouring():
    # 31 gal raise the level 6 in: 31 * 0.133681 ft3 / 0.5 ft = 8.288 ft2; sd 8.288 * hypot of
    # 0.5/31 and 0.25/6 = 0.370.
    area = area_by_pouring(
        Measured(31 * GALLON_M3, 0.5 * GALLON_M3), Measured(6 * INCH_M, 0.25 * INCH_M)
    )

    assert area.value / SQUARE_FOOT_M2 == pytest.approx(8.288, abs=2e-3)
    assert area.sd / SQUARE_FOOT_M2 == pytest.approx(0.370, abs=2e-3)


def test_refuses_an_insert_wider_than_its_pit():
    with pytest.raises(InsertWiderThanPit, match="measure both again"):
        area_between(replace(PIT, insert_diameter_m=Measured(6 * FOOT_M)), 0.0, 0.3)


def test_refuses_blocks_wider_than_the_insert():
    with pytest.raises(InsertWiderThanPit, match="blocks"):
        effective_area(0.2, 1.0, 0.4, 0.3)


def test_refuses_a_void_ratio_in_percent():
    with pytest.raises(ImpossibleAmount, match="from 0 to 1"):
        effective_area(0.2, 1.0, 40)


def test_refuses_a_negative_depth():
    with pytest.raises(NegativeDepth, match="below the floor"):
        area_between(PIT, -0.1, 0.3)


def test_refuses_a_band_upside_down():
    with pytest.raises(ImpossibleAmount, match="swap the two"):
        area_between(PIT, 0.3, 0.1)
