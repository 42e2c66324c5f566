"""Two pumps on one main: a leaking valve shows in the other pit. Common practice, no source."""

import math
from dataclasses import replace

import pytest

from drainservice.engine.hydraulics.amounts import ImpossibleAmount
from drainservice.engine.hydraulics.curves import PumpPoint, fit_power_curve
from drainservice.engine.hydraulics.line import Section, line_loss
from drainservice.engine.hydraulics.main_line import Main, PitOnMain
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.other_pit import (
    NeighbourVerdict,
    back_from_main,
    judge_resting_pit,
)
from drainservice.engine.units import FOOT_M, GPM_M3S, GRAVITY_MS2, INCH_M

CURVE = fit_power_curve(
    [PumpPoint(q * GPM_M3S, h * FOOT_M) for q, h in [(0, 25.0), (25, 18.0), (45, 6.0)]]
)
LINE = (Section(30 * FOOT_M, 2.067 * INCH_M),)
NARROW = Main(inside_diameter_m=2.067 * INCH_M, slope=0.005)
RUNS = PitOnMain("drive", (CURVE,), LINE, 0.3, to_end_m=40.0, invert_above_floor_m=1.6)
RESTS = PitOnMain("patio", (CURVE,), LINE, 0.3, to_end_m=15.0, invert_above_floor_m=1.4)
GAP_M2 = math.pi * (0.25 * INCH_M) ** 2 / 4


def test_a_leaking_valve_takes_water_of_the_main_while_the_other_pumps():
    back = back_from_main(NARROW, [RUNS], RESTS, GAP_M2)

    # Head behind it = loss through the gap at that flow + loss of its own line, backwards.
    through_m = (back.flow_m3s / (0.61 * GAP_M2)) ** 2 / (2 * GRAVITY_MS2)
    assert back.is_reached
    assert back.head_m > 1.1
    assert through_m + line_loss(LINE, back.flow_m3s) == pytest.approx(back.head_m, rel=1e-9)
    # Nearly the free orifice: 0.61 * 3.17e-5 m2 * sqrt(2 g h).
    assert back.flow_m3s == pytest.approx(
        0.61 * GAP_M2 * math.sqrt(2 * GRAVITY_MS2 * back.head_m), rel=0.01
    )


def test_a_tight_valve_takes_none():
    back = back_from_main(NARROW, [RUNS], RESTS, 0.0)

    assert back.flow_m3s == 0
    assert back.is_reached


@pytest.mark.parametrize(
    "kept",
    [
        {"high_point_above_floor_m": 9.0},  # the line climbs over the grade line on its way
        {"water_above_floor_m": 9.0},  # its own water stands higher
    ],
)
def test_nothing_comes_where_the_main_does_not_stand_above_it(kept):
    back = back_from_main(NARROW, [RUNS], replace(RESTS, **kept), GAP_M2)

    assert back.flow_m3s == 0
    assert not back.is_reached


def test_nothing_comes_from_a_main_that_runs_part_full():
    wide = replace(NARROW, inside_diameter_m=6.065 * INCH_M)

    assert back_from_main(wide, [RUNS], RESTS, GAP_M2).flow_m3s == 0


def test_a_level_that_rises_only_while_the_other_pumps_is_a_leaking_valve():
    # 12 mm a minute against none, on 0.77 m2: 0.154 L/s or 2.4 gpm.
    verdict, flow = judge_resting_pit(0.77, Measured(0.012 / 60, 3e-5), Measured(0.0, 3e-5))

    assert verdict is NeighbourVerdict.VALVE_LEAKS
    assert flow.value == pytest.approx(0.000154)
    assert flow.value / GPM_M3S == pytest.approx(2.44, abs=0.01)


def test_rain_that_raises_it_either_way_is_no_leak():
    raining = Measured(0.010 / 60, 5e-6)

    verdict, flow = judge_resting_pit(0.77, raining, raining)

    assert verdict is NeighbourVerdict.VALVE_HOLDS
    assert flow.value == 0


def test_coarse_readings_cannot_tell():
    verdict, _ = judge_resting_pit(0.77, Measured(1e-5, 1e-4), Measured(0.0, 1e-4))

    assert verdict is NeighbourVerdict.CANNOT_TELL


def test_refuses_a_gap_below_nothing():
    with pytest.raises(ImpossibleAmount):
        back_from_main(NARROW, [RUNS], RESTS, -1.0)
