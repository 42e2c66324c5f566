"""Stone or valve? Judged on rises made by an ODE of insert and stone that we did not solve by hand.

Two waters, joined by perforations: A_i dh_i/dt = k (h_s - h_i) - Q, n A_s dh_s/dt = -k (h_s - h_i).
"""

from math import pi

import pytest
from scipy.integrate import solve_ivp

from drainservice.engine.hydraulics.after_stop import (
    RiseAfterStop,
    RiseCause,
    RiseCourse,
    tell_cause_by_empty_riser,
    tell_cause_by_speed,
    tell_course_of_rise,
)
from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.drawdown import LevelReading
from drainservice.engine.units import GPM_M3S, INCH_M

INSERT_M2 = pi * (24 * INCH_M) ** 2 / 4
STONE_M2 = 0.4 * (1.486 - INSERT_M2)  # 4 ft x 4 ft box
PERFORATIONS_M2S = 0.02  # m3/s through the wall per metre of difference
TAPE_M = 0.003
LINE_M3 = 0.0167  # 4.4 gal: 25 ft of 2 in


def levels_after_stop(pump_m3s, line_m3=0.0, leak_m3s=0.0, every_s=15.0, count=9):
    """Levels in the insert from the stop on, the pump having drawn it down from 1.0 to 0.5 m."""

    def flow(_, h):
        across = PERFORATIONS_M2S * (h[1] - h[0])
        return [(across - pump_m3s) / INSERT_M2, -across / STONE_M2]

    def at_half_a_metre(_, h):
        return h[0] - 0.5

    at_half_a_metre.terminal = True
    down = solve_ivp(flow, (0, 5000), [1.0, 1.0], events=at_half_a_metre, max_step=1.0)
    stop = down.y[:, -1]

    def settle(t, h):
        across = PERFORATIONS_M2S * (h[1] - h[0])
        # The line falls back within half a minute.
        back = line_m3 / 30.0 if t < 30.0 else 0.0
        return [(across + back + leak_m3s) / INSERT_M2, -across / STONE_M2]

    times = [i * every_s for i in range(count)]
    back = solve_ivp(settle, (0, times[-1]), stop, t_eval=times, max_step=0.5)
    speed = 0.5 / down.t[-1]
    return [LevelReading(t, h) for t, h in zip(times, back.y[0], strict=True)], speed


def rise_of(pump_m3s, line_m3=0.0):
    readings, speed = levels_after_stop(pump_m3s, line_m3)
    return RiseAfterStop(readings[-1].level_m - readings[0].level_m, TAPE_M, speed)


PUMP = 40 * GPM_M3S
FAST = 80 * GPM_M3S


def test_stone_rises_as_much_when_the_riser_is_empty():
    told = tell_cause_by_empty_riser(rise_of(PUMP), rise_of(PUMP))

    assert told.cause is RiseCause.STONE
    assert told.through_valve_m == 0


def test_the_lines_water_stays_away_when_the_riser_is_empty():
    # 0.0167 m3 over all the water area 0.2919 + 0.4776 m2 is 21.7 mm.
    told = tell_cause_by_empty_riser(rise_of(PUMP, LINE_M3), rise_of(PUMP))

    assert told.cause is RiseCause.BOTH
    assert told.through_valve_m == pytest.approx(0.0217, abs=0.001)
    assert told.through_valve_sd_m == pytest.approx(TAPE_M * 2**0.5)


@pytest.mark.parametrize(
    ("usual_m", "empty_m", "cause"),
    [
        (0.005, 0.0, RiseCause.NO_RISE),  # under two sd of the tape
        (0.006, 0.0, RiseCause.NO_RISE),  # two sd to the hair
        (0.020, 0.001, RiseCause.VALVE),
        (0.020, 0.018, RiseCause.STONE),
        (0.030, 0.015, RiseCause.BOTH),
        (0.008, 0.004, RiseCause.CANNOT_TELL),  # 4 mm gone, 4 mm left, tape 3 mm
    ],
)
def test_two_stops_tell_stone_from_valve(usual_m, empty_m, cause):
    told = tell_cause_by_empty_riser(RiseAfterStop(usual_m, TAPE_M), RiseAfterStop(empty_m, TAPE_M))

    assert told.cause is cause


def test_stones_rise_grows_with_the_speed_of_the_drawdown():
    assert tell_cause_by_speed(rise_of(PUMP), rise_of(FAST)) is RiseCause.STONE


def test_the_lines_rise_does_not():
    slow = RiseAfterStop(0.030, TAPE_M, 0.001)

    assert tell_cause_by_speed(slow, RiseAfterStop(0.032, TAPE_M, 0.003)) is RiseCause.VALVE
    assert tell_cause_by_speed(slow, RiseAfterStop(0.060, TAPE_M, 0.003)) is RiseCause.BOTH
    assert tell_cause_by_speed(slow, RiseAfterStop(0.033, TAPE_M, 0.0011)) is RiseCause.CANNOT_TELL


def test_no_rise_either_time_is_no_rise():
    slow = RiseAfterStop(0.002, TAPE_M, 0.001)

    assert tell_cause_by_speed(slow, RiseAfterStop(0.003, TAPE_M, 0.002)) is RiseCause.NO_RISE


def test_the_fast_drawdown_must_be_the_faster():
    with pytest.raises(ImpossibleAmount, match="faster one"):
        tell_cause_by_speed(RiseAfterStop(0.02, TAPE_M, 0.002), RiseAfterStop(0.02, TAPE_M, 0.002))


def test_a_levelling_stone_stops_by_itself():
    readings, _ = levels_after_stop(FAST)

    assert tell_course_of_rise(readings, TAPE_M) is RiseCourse.STOPS


def test_a_leak_from_a_full_line_goes_on():
    readings, _ = levels_after_stop(0.2 * GPM_M3S, leak_m3s=5 * GPM_M3S)

    assert tell_course_of_rise(readings, TAPE_M) is RiseCourse.GOES_ON


def test_a_level_that_stands_cannot_be_told():
    still = [LevelReading(60.0 * i, 0.5 + 0.0002 * i) for i in range(6)]

    assert tell_course_of_rise(still, TAPE_M) is RiseCourse.CANNOT_TELL


def test_three_readings_are_too_few_for_a_course():
    with pytest.raises(ImpossibleAmount, match="four times"):
        tell_course_of_rise([LevelReading(60.0 * i, 0.5) for i in range(3)], TAPE_M)


@pytest.mark.parametrize("values", [(-0.01, TAPE_M, 0.0), (0.01, 0.0, 0.0), (0.01, TAPE_M, -1.0)])
def test_refuses_impossible_rises(values):
    with pytest.raises(ImpossibleAmount):
        RiseAfterStop(*values)
