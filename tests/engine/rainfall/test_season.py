"""A season of five-minute rain, against the stepped run and hand sums."""

import random

import pytest

from drainservice.engine.rainfall.pit import OnOffPump, straight_pit
from drainservice.engine.rainfall.season import run_season
from drainservice.engine.rainfall.storm_run import InflowUnusable, roof_inflow_m3s, run_storm

PIT = straight_pit(0.77, 1.0668, seepage_ms=3.5e-6)
PUMP = OnOffPump(0.0025, 0.6, 0.1)


def two_days_of_rain():
    """Five-minute depths in m: made up, three showers in two days."""
    dice = random.Random(7)
    rain = [0.0] * 576
    for begins in (30, 140, 400):
        for i in range(begins, begins + 40):
            rain[i] = dice.expovariate(1 / 0.0006)
    return rain


def test_agrees_with_the_stepped_run_in_volumes_and_starts():
    rain = two_days_of_rain()
    points = roof_inflow_m3s(93.0, 0.9, rain, 300.0)

    season = run_season(PIT, [PUMP], 93.0, 0.9, rain)
    stepped = run_storm(PIT, [PUMP], points, 172800.0, step_s=0.2)

    assert season.starts == stepped.starts
    assert season.total_starts > 5
    assert season.pumped_m3 == pytest.approx(stepped.pumped_m3, rel=2e-3)
    # What is left at the end of a shower hangs on where in its cycle the pump stood.
    slack_m3 = 2e-3 * season.inflow_m3
    assert season.infiltrated_m3 == pytest.approx(stepped.infiltrated_m3, abs=slack_m3)
    assert season.max_level_m == pytest.approx(stepped.max_level_m, abs=0.005)


def test_all_the_rain_of_the_roof_is_accounted_for():
    rain = two_days_of_rain()

    run = run_season(PIT, [PUMP], 93.0, 0.9, rain)

    stored_m3 = 0.77 * run.final_level_m
    assert run.inflow_m3 == pytest.approx(0.9 * 93.0 * sum(rain))
    assert run.inflow_m3 == pytest.approx(
        run.pumped_m3 + run.infiltrated_m3 + run.overflow_m3 + stored_m3
    )


def test_without_a_pump_the_same_rain_runs_over():
    rain = two_days_of_rain()

    assert run_season(PIT, [], 93.0, 0.9, rain).overflow_m3 > 0.0
    assert run_season(PIT, [PUMP], 93.0, 0.9, rain).overflow_m3 == 0.0


def test_a_dry_season_starts_nothing():
    run = run_season(PIT, [PUMP], 93.0, 0.9, [0.0] * 34560)

    assert run.total_starts == 0
    assert run.max_level_m == 0.0


def test_refuses_rain_below_nothing():
    with pytest.raises(InflowUnusable):
        run_season(PIT, [PUMP], 93.0, 0.9, [0.0, -0.001])
