"""Cycling. Judges: MIL-HDBK-1005/9A, and a plain second-by-second pit."""

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.cycling import (
    PumpNeverRests,
    PumpNeverStarts,
    PumpNeverStops,
    cycle_pump,
    drain_back_factor,
    shortest_cycle,
    smallest_volume,
    starts_from_rain,
)
from drainservice.engine.units import FOOT_M, GALLON_M3, GPM_M3S, INCH_M, SQUARE_FOOT_M2
from tests.engine.cases import case


def test_B05_smallest_volume_for_a_cycle_time():
    b05 = case("B05")

    volume_m3 = smallest_volume(b05.raw("pump_rate") * GPM_M3S, b05.raw("cycle_time") * 60)

    b05.assert_holds("volume", volume_m3, "m3")


def test_B06_cycle_at_half_the_pump_rate():
    b06 = case("B06")
    volume_m3, pump_m3s = b06.raw("volume") * GALLON_M3, b06.raw("pump_rate") * GPM_M3S

    cycle = cycle_pump(volume_m3, pump_m3s, b06.raw("inflow") * GPM_M3S)

    b06.assert_holds("cycle_time", cycle.cycle_time_s / 60, "min")
    b06.assert_holds("starts_per_hour", cycle.starts_per_hour, "1/h")
    assert shortest_cycle(volume_m3, pump_m3s) == pytest.approx(cycle.cycle_time_s)


@pytest.mark.parametrize(
    ("area_ft2", "leak_gpm", "starts"),
    # 8 in band, 40 gpm pump; computed before: 2.8 and 6.4 with the stone, 7.3 and 16.8 without.
    [(8.285, 2, 2.8), (8.285, 5, 6.4), (3.14, 2, 7.3), (3.14, 5, 16.8)],
)
def test_cycles_short_on_a_leaking_valve(area_ft2, leak_gpm, starts):
    band_m3 = area_ft2 * SQUARE_FOOT_M2 * 8 * INCH_M

    cycle = cycle_pump(band_m3, 40 * GPM_M3S, leak_gpm * GPM_M3S)

    assert cycle.starts_per_hour == pytest.approx(starts, abs=0.06)
    assert cycle.is_short == (starts > 10)


def test_counts_starts_as_a_plain_pit_does():
    """A pit stepped each tenth of a second for a day: area 0.77 m2, band 0.2 m, both steady."""
    area_m2, on_m, off_m, pump_m3s, inflow_m3s = 0.77, 0.3, 0.1, 0.0024, 0.0007
    level_m, is_on, starts, on_s, step_s = off_m, False, 0, 0.0, 0.1
    for _ in range(864_000):
        if not is_on and level_m >= on_m:
            is_on, starts = True, starts + 1
        if is_on and level_m <= off_m:
            is_on = False
        on_s += step_s * is_on
        level_m += (inflow_m3s - pump_m3s * is_on) * step_s / area_m2

    rain = starts_from_rain(inflow_m3s * 86400, pump_m3s, area_m2 * 0.2, inflow_m3s)

    assert rain.starts == pytest.approx(starts, abs=1.1)
    assert rain.run_time_s == pytest.approx(on_s, rel=0.01)


def test_takes_as_many_more_starts_as_the_line_gives_back():
    """Rain falls in one go; after each run the line's water comes back: count plain runs."""
    rain_m3, band_m3, line_m3 = 100.0, 0.15, 0.06
    runs, left_m3 = 0, rain_m3
    while left_m3 > 0:
        runs, left_m3 = runs + 1, left_m3 - (band_m3 - line_m3)

    plain = starts_from_rain(rain_m3, 0.0024, band_m3).starts

    assert plain * drain_back_factor(line_m3, band_m3) == pytest.approx(runs, abs=1.0)


def test_hardly_counts_a_small_line():
    # 1 / (1 - 0.05) = 1.0526, to first order 1.05.
    assert drain_back_factor(0.05, 1.0) == pytest.approx(1.05, abs=0.003)


def test_says_when_the_pump_starts_itself_for_ever():
    with pytest.raises(PumpNeverRests, match="Fit one"):
        drain_back_factor(0.2, 0.15)


def test_says_when_nothing_runs_in():
    with pytest.raises(PumpNeverStarts, match="does not cycle"):
        cycle_pump(0.1, 0.002, 0.0)


@pytest.mark.parametrize("inflow_m3s", [0.002, 0.003])
def test_says_when_the_storm_is_larger_than_the_pump(inflow_m3s):
    with pytest.raises(PumpNeverStops, match="never stops"):
        cycle_pump(0.1, 0.002, inflow_m3s)
    with pytest.raises(PumpNeverStops, match="without a stop"):
        starts_from_rain(1.0, 0.002, 0.1, inflow_m3s)


def test_refuses_no_band():
    with pytest.raises(ImpossibleAmount, match="between off and on"):
        cycle_pump(0.0 * FOOT_M, 0.002, 0.001)
