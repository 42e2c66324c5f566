"""Battery life. Sums by hand; Peukert's law from memory, shares common practice, no source."""

from dataclasses import replace

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.battery import Battery, battery_life
from drainservice.engine.units import CUBIC_FOOT_M3, GPM_M3S, INCH_M, SQUARE_FOOT_M2

LEAD = Battery(capacity_ah=100, volts=12)
PLAIN = replace(LEAD, exponent=1.0, converter_efficiency=1.0)
PUMP = {
    "pump_power_w": 240.0,
    "pump_flow_m3s": 30 * GPM_M3S,
    "roof_area_m2": 1000 * SQUARE_FOOT_M2,
}


def test_runs_by_plain_arithmetic_without_peukert():
    # 100 Ah * 12 V * 0.5 = 600 Wh; 240 W: 2.5 h; 30 gpm * 150 min = 4500 gal.
    life = battery_life(PLAIN, **PUMP)

    assert life.run_time_s / 3600 == pytest.approx(2.5)
    assert life.pumped_m3 / GPM_M3S / 60 == pytest.approx(4500)


def test_says_it_as_rain_on_the_roofs():
    # 4500 gal = 601.56 ft3; / (0.9 * 1000 ft2) = 0.6684 ft = 8.02 in.
    life = battery_life(PLAIN, **PUMP)

    assert life.rain_m / INCH_M == pytest.approx(8.02, abs=0.01)
    assert life.pumped_m3 / CUBIC_FOOT_M3 == pytest.approx(601.56, abs=0.01)


def test_lasts_less_by_peukert():
    # I = 240/(0.85*12) = 23.53 A; rated 5 A; (5/23.53)^1.2 * 20 h * 0.5 = 0.1560 * 10 = 1.560 h.
    life = battery_life(LEAD, **PUMP)

    assert life.current_a == pytest.approx(23.53, abs=0.01)
    assert life.run_time_s / 3600 == pytest.approx(1.560, abs=0.002)


def test_lasts_longer_on_the_clock_when_the_pump_rests():
    # Half the time running, nothing drawn at rest: the same water, twice the clock.
    whole, half = battery_life(LEAD, **PUMP), battery_life(LEAD, **PUMP, running_share=0.5)

    assert half.pumped_m3 == pytest.approx(whole.pumped_m3)
    assert half.clock_time_s == pytest.approx(2 * whole.clock_time_s)


def test_an_idle_draw_eats_water():
    # 1 h running at 240 + 12 W, 9 h at 12 W: 360 Wh in 10 h; 600 Wh last 16.67 h, 1.667 h running.
    life = battery_life(PLAIN, **PUMP, running_share=0.1, idle_power_w=12.0)

    assert life.clock_time_s / 3600 == pytest.approx(600 / 36, rel=1e-6)
    assert life.run_time_s / 3600 == pytest.approx(60 / 36, rel=1e-6)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"capacity_ah": 0}, "capacity"),
        ({"usable_share": 1.2}, "usable share"),
        ({"exponent": 0.9}, "Peukert"),
    ],
)
def test_refuses_an_impossible_battery(wrong, words):
    with pytest.raises(ImpossibleAmount, match=words):
        battery_life(replace(LEAD, **wrong), **PUMP)


def test_refuses_a_pump_that_never_runs():
    with pytest.raises(ImpossibleAmount, match="running share"):
        battery_life(LEAD, **PUMP, running_share=0.0)
