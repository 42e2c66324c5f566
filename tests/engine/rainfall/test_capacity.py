"""How much rain a pit takes, against sums by hand and the run itself."""

import pytest

from drainservice.engine.rainfall.capacity import (
    StormVerdict,
    capacity_in_rain,
    critical_rain_m,
    judge_storm,
    rain_kept_up_with_m,
    rain_survived_without_pump_m,
)
from drainservice.engine.rainfall.filling import begin_filling
from drainservice.engine.rainfall.pit import Band, OnOffPump, Pit, PitImpossible, straight_pit
from drainservice.engine.units import (
    CUBIC_FOOT_M3,
    FOOT_M,
    GALLON_M3,
    GPM_M3S,
    HOUR_S,
    INCH_M,
    INCH_PER_HOUR_MS,
    MINUTE_S,
    SQUARE_FOOT_M2,
)

ROOF_M2 = 1000 * SQUARE_FOOT_M2
PIT = straight_pit(8.285 * SQUARE_FOOT_M2, 3.5 * FOOT_M, 0.5 * INCH_PER_HOUR_MS)
PUMP = OnOffPump(38 * GPM_M3S, 1.5 * FOOT_M, 0.3 * FOOT_M)


@pytest.mark.parametrize(("hours", "soaked_ft3"), [(6, 2.0713), (24, 8.285)])
def test_rain_survived_with_the_pump_dead(hours, soaked_ft3):
    # Stored 8.285 x 3.5 = 28.9975 ft3; soaked 8.285 ft2 x 0.5/12 ft/h x hours.
    # P = (28.9975 + soaked) / (0.9 x 1000 ft2): 6 h 0.4143 in, 24 h 0.4971 in.
    rain_m = rain_survived_without_pump_m(PIT, ROOF_M2, 0.9, hours * HOUR_S, PIT.depth_m)

    by_hand_in = 12 * (28.9975 + soaked_ft3) / 900
    assert rain_m / INCH_M == pytest.approx(by_hand_in, rel=1e-4)


def test_that_rain_fills_the_pit_to_the_rim_and_not_over():
    pit = Pit((Band(0.4, 0.5), Band(1.1, 0.8)), 4e-6, 1.5, 4.8)
    rain_m = rain_survived_without_pump_m(pit, 90.0, 0.9, 6 * HOUR_S, 1.1, 0.2)
    filling = begin_filling(pit, start_level_m=0.2)

    filling.run_on(0.9 * 90.0 * rain_m / (6 * HOUR_S), 6 * HOUR_S)

    assert filling.level_m == pytest.approx(1.1, abs=1e-9)
    assert filling.spilt_m3 == pytest.approx(0.0, abs=1e-9)


def test_critical_rain_is_storage_and_six_hours_of_soil_over_the_roof():
    # P_crit = (V + infiltration in 6 h) / (0.6234 C A), in gallons.
    stored_gal = 8.285 * 1.5 * CUBIC_FOOT_M3 / GALLON_M3
    soaked_gal = 8.285 * 0.5 / 12 * 6 * CUBIC_FOOT_M3 / GALLON_M3

    rain_m = critical_rain_m(PIT, ROOF_M2, 0.9, PUMP.on_level_m)

    by_hand_in = (stored_gal + soaked_gal) / (0.6234 * 0.9 * 1000)
    assert rain_m / INCH_M == pytest.approx(by_hand_in, rel=1e-4)


@pytest.mark.parametrize("minutes", [5, 10, 15, 30, 60])
def test_a_live_pump_keeps_up_with_its_flow_and_the_storage_above_the_on_level(minutes):
    # From just below the on level: V = 8.285 x (3.5 - 1.5) = 16.57 ft3 and the pump's 38 gpm =
    # 5.0799 ft3/min and the soil's 8.285 x 0.5/12/60 = 0.00575 ft3/min.
    by_hand_ft3 = 16.57 + minutes * (38 / 7.480519 + 0.00575)

    rain_m = rain_kept_up_with_m(
        PIT, [PUMP], ROOF_M2, 0.9, minutes * MINUTE_S, PIT.depth_m, PUMP.on_level_m
    )

    assert rain_m / INCH_M == pytest.approx(12 * by_hand_ft3 / 900, rel=1e-3)


def test_a_live_pump_takes_far_more_rain_in_a_day_than_a_dead_one():
    dead_m = rain_survived_without_pump_m(PIT, ROOF_M2, 0.9, 24 * HOUR_S, PIT.depth_m)
    live_m = rain_kept_up_with_m(PIT, [PUMP], ROOF_M2, 0.9, 24 * HOUR_S, PIT.depth_m)

    assert live_m > 10 * dead_m


def test_pump_sound_and_storm_larger_than_pit_and_pump_is_a_verdict():
    # In 60 min from empty: 28.99 + 60 x 5.08 less what it pumps before 1.5 ft: about 4.3 in.
    verdict = judge_storm(PIT, [PUMP], ROOF_M2, 0.9, 6 * INCH_M, HOUR_S, PIT.depth_m)

    assert verdict is StormVerdict.STORM_LARGER
    assert verdict.value == "Pump sound, storm larger than pit and pump."


def test_a_rain_the_pump_keeps_up_with_points_at_the_pump():
    verdict = judge_storm(PIT, [PUMP], ROOF_M2, 0.9, 2 * INCH_M, HOUR_S, PIT.depth_m)

    assert verdict is StormVerdict.PUMP_KEEPS_UP


def test_a_small_rain_needs_no_pump():
    verdict = judge_storm(PIT, [PUMP], ROOF_M2, 0.9, 0.2 * INCH_M, HOUR_S, PIT.depth_m)

    assert verdict is StormVerdict.PIT_ALONE


def test_the_capacity_of_a_system_lists_both_kinds_of_rain():
    capacity = capacity_in_rain(PIT, [PUMP], ROOF_M2, 0.9, PIT.depth_m)

    # As by hand above: 6 h 12 x (28.9975 + 2.0713) / 900 = 0.4143 in.
    assert list(capacity.without_pump_m) == [6, 24]
    assert capacity.without_pump_m[6] / INCH_M == pytest.approx(0.4143, abs=1e-4)
    assert list(capacity.with_pump_m) == [5, 10, 15, 30, 60]
    depths = list(capacity.with_pump_m.values())
    assert depths == sorted(depths)


def test_two_pumps_keep_up_with_more_than_one():
    second = OnOffPump(38 * GPM_M3S, 2.5 * FOOT_M, 1.0 * FOOT_M)

    one_m = rain_kept_up_with_m(PIT, [PUMP], ROOF_M2, 0.9, HOUR_S, PIT.depth_m)
    two_m = rain_kept_up_with_m(PIT, [PUMP, second], ROOF_M2, 0.9, HOUR_S, PIT.depth_m)

    assert two_m > 1.7 * one_m


def test_refuses_a_pit_without_a_roof():
    with pytest.raises(PitImpossible, match="roof area"):
        rain_kept_up_with_m(PIT, [PUMP], 0.0, 0.9, HOUR_S, PIT.depth_m)
