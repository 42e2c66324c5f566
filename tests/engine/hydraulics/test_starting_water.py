"""Water to start the pump. Bucket and hose: common practice, no source; sums by hand."""

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount, NegativeDepth
from drainservice.engine.hydraulics.starting_water import (
    HoseTooWeak,
    area_from_start,
    is_start_test,
    water_to_start,
)
from drainservice.engine.units import FOOT_M, GALLON_M3, GPM_M3S, SQUARE_FOOT_M2

AREA_M2 = 8.285 * SQUARE_FOOT_M2


def test_pours_sixty_two_gallons_for_a_foot():
    # 8.285 ft2 * 1 ft * 7.4805 = 61.98 gal: 12.4 buckets of 5, so 13; 7.75 min at 8 gpm.
    water = water_to_start(AREA_M2, 0.5 * FOOT_M, 1.5 * FOOT_M)

    assert water.volume_m3 / GALLON_M3 == pytest.approx(61.98, abs=0.01)
    assert water.buckets == 13
    assert water.hose_time_s / 60 == pytest.approx(7.75, abs=0.01)


def test_needs_two_or_three_buckets_in_a_tub():
    # An 18 in tub: 1.767 ft2 * 7.4805 = 13.2 gal a foot.
    water = water_to_start(1.767 * SQUARE_FOOT_M2, 0.0, FOOT_M)

    assert water.volume_m3 / GALLON_M3 == pytest.approx(13.2, abs=0.05)
    assert water.buckets == 3


def test_does_not_round_a_full_bucket_up():
    water = water_to_start(10 * GALLON_M3 / 0.3, 0.1, 0.4)

    assert water.buckets == 2


def test_waits_longer_while_the_soil_drinks():
    # 8 gpm less 2 into the soil: 61.98 / 6 = 10.33 min.
    water = water_to_start(AREA_M2, 0.0, FOOT_M, soakage_m3s=2 * GPM_M3S)

    assert water.hose_time_s / 60 == pytest.approx(10.33, abs=0.01)


def test_asks_for_nothing_above_the_on_level():
    water = water_to_start(AREA_M2, 0.6, 0.5)

    assert (water.volume_m3, water.buckets, water.hose_time_s) == (0.0, 0, 0.0)


def test_is_no_test_unless_the_water_passed_the_on_level():
    assert is_start_test(0.46, 0.45)
    assert not is_start_test(0.44, 0.45)


def test_learns_the_area_from_the_water_poured():
    assert area_from_start(AREA_M2 * 0.3, 0.1, 0.4) == pytest.approx(AREA_M2)


def test_refuses_to_learn_from_a_full_pit():
    with pytest.raises(ImpossibleAmount, match="pour from lower down"):
        area_from_start(0.1, 0.4, 0.4)


def test_says_when_the_hose_cannot_fill_the_pit():
    with pytest.raises(HoseTooWeak, match="two hoses"):
        water_to_start(AREA_M2, 0.0, 0.3, soakage_m3s=8 * GPM_M3S)


def test_refuses_a_negative_depth():
    with pytest.raises(NegativeDepth, match="water level"):
        water_to_start(AREA_M2, -0.1, 0.3)
