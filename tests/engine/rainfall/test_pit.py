"""What a pit stores and what cannot be."""

import pytest

from drainservice.engine.rainfall.pit import (
    Band,
    OnOffPump,
    Pit,
    PitImpossible,
    seepage_m3s,
    stone_pit,
    stored_m3,
    straight_pit,
)
from drainservice.engine.units import (
    CUBIC_FOOT_M3,
    FOOT_M,
    GALLON_M3,
    GPM_M3S,
    INCH_PER_HOUR_MS,
    SQUARE_FOOT_M2,
)

PIT = stone_pit((4 * FOOT_M, 4 * FOOT_M), 2 * FOOT_M, 0.40, 3.5 * FOOT_M, INCH_PER_HOUR_MS / 2)


def test_a_four_foot_pit_of_stone_round_a_24_inch_insert_holds_29_cubic_feet():
    # A = 3.1416 + 0.4 (16 - 3.1416) = 8.285 ft2; x 3.5 ft = 29.0 ft3.
    assert stored_m3(PIT, PIT.depth_m) / CUBIC_FOOT_M3 == pytest.approx(29.0, abs=0.05)


def test_a_foot_of_rise_in_it_takes_62_gallons():
    # 8.285 ft3 x 7.4805 = 61.98 gal.
    assert stored_m3(PIT, FOOT_M) / GALLON_M3 == pytest.approx(62.0, abs=0.1)


def test_the_soil_sees_the_whole_box():
    # 0.5 in/h on 16 ft2 = 0.667 ft3/h = 0.083 gpm.
    assert seepage_m3s(PIT, 1.0) / GPM_M3S == pytest.approx(0.0831, abs=1e-4)


def test_walls_take_more_the_higher_the_water_stands():
    pit = stone_pit((1.0, 1.0), 0.5, 0.4, 1.0, 1e-5, soaks_through_walls=True)

    # f (A + x h) = 1e-5 (1 + 4 x 0.5).
    assert seepage_m3s(pit, 0.5) == pytest.approx(3e-5)


def test_bands_are_filled_from_the_bottom():
    pit = Pit((Band(0.5, 0.2), Band(1.0, 1.0)))

    # 0.5 x 0.2 + 0.25 x 1.0 = 0.35 m3.
    assert stored_m3(pit, 0.75) == pytest.approx(0.35)


@pytest.mark.parametrize(
    "bands", [(), (Band(0.0, 1.0),), (Band(1.0, 1.0), Band(0.5, 1.0)), (Band(1.0, 0.0),)]
)
def test_refuses_bands_that_cannot_be(bands):
    with pytest.raises(PitImpossible):
        Pit(bands)


def test_refuses_a_pump_whose_levels_are_upside_down():
    with pytest.raises(PitImpossible, match="off level lies below the on level"):
        OnOffPump(0.002, 0.2, 0.7)


def test_refuses_a_pump_without_flow():
    with pytest.raises(PitImpossible, match="leave a dead pump out"):
        OnOffPump(0.0, 0.7, 0.2)


def test_refuses_an_insert_wider_than_its_box():
    with pytest.raises(PitImpossible):
        stone_pit((1.0, 1.0), 1.2, 0.4, 1.0)


def test_refuses_a_level_above_the_rim():
    with pytest.raises(PitImpossible, match="between the bottom and the rim"):
        stored_m3(straight_pit(SQUARE_FOOT_M2, 1.0), 1.5)
