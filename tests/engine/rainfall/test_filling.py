"""The exact level, against hand sums, small steps and an independent solver."""

from math import exp, inf, log

import pytest
from scipy.integrate import solve_ivp

from drainservice.engine.rainfall.filling import begin_filling, time_to_fill_s
from drainservice.engine.rainfall.pit import Band, OnOffPump, Pit, PitImpossible, straight_pit
from drainservice.engine.rainfall.storm_run import run_storm
from drainservice.engine.units import (
    CUBIC_FOOT_M3,
    FOOT_M,
    INCH_PER_HOUR_MS,
    SQUARE_FOOT_M2,
)


def test_a_small_pit_fills_in_twelve_minutes_at_two_inches_an_hour_off_a_thousand_square_feet():
    # 4 x 4 x 3.5 ft pit with a 24 in insert, void ratio 0.4: A = 3.1416 + 0.4 (16 - 3.1416)
    # = 8.285 ft2, 29.0 ft3. Roof: 0.9 x 1000 ft2 x 2/12 ft/h = 150 ft3/h. 29.0/150 h = 11.6 min.
    pit = straight_pit(8.285 * SQUARE_FOOT_M2, 3.5 * FOOT_M)
    flow_m3s = 0.9 * 1000 * SQUARE_FOOT_M2 * 2 * INCH_PER_HOUR_MS

    time_s = time_to_fill_s(pit, flow_m3s, 0.0, pit.depth_m)

    assert time_s / 60.0 == pytest.approx(11.6, abs=0.05)


def test_empties_through_bottom_and_walls_as_the_published_formula_says():
    # t = n A / (f x) ln[(d + A/x) / (A/x)], Ontario low impact development planning guide.
    # A = 1 m2, x = 4 m, f = 1e-5 m/s, n = 0.4, d = 1 m: 0.4/(4e-5) ln(1.25/0.25) = 16094 s.
    pit = Pit((Band(1.0, 0.4),), 1e-5, 1.0, 4.0)
    filling = begin_filling(pit, start_level_m=1.0)

    filling.run_on(0.0, 16094.0 / 2)
    half_m = filling.level_m
    filling.run_on(0.0, 16095.0 / 2)

    # Half the time: h + 0.25 = 1.25 e^(-k t), k = 4e-5/0.4 = 1e-4.
    assert 0.4 / 4e-5 * log(5) == pytest.approx(16094, abs=0.5)
    assert half_m == pytest.approx(1.25 * exp(-1e-4 * 8047) - 0.25, abs=1e-9)
    assert filling.level_m == 0.0


def test_a_rising_level_agrees_with_an_independent_solver():
    # scipy's Runge-Kutta on dh/dt = (q - f (A + x h)) / A_free.
    pit = Pit((Band(2.0, 0.5),), 2e-5, 1.2, 4.0)
    q = 1e-4
    answer = solve_ivp(
        lambda t, h: [(q - 2e-5 * (1.2 + 4.0 * h[0])) / 0.5],
        (0, 5000),
        [0.1],
        rtol=1e-10,
        atol=1e-13,
    )
    filling = begin_filling(pit, start_level_m=0.1)

    filling.run_on(q, 5000.0)

    assert filling.level_m == pytest.approx(answer.y[0][-1], rel=1e-7)


def test_short_steps_come_ever_closer_to_the_exact_run():
    pit = Pit((Band(0.4, 0.6), Band(1.2, 1.0)), 5e-6, 1.5, 4.0)
    pump = OnOffPump(0.0021, 0.8, 0.2)
    exact = begin_filling(pit, [pump])
    exact.run_on(0.0013, 7000.0)
    exact.run_on(0.0, 5000.0)
    inflow = [(0, 0.0013), (7000, 0.0013)]

    coarse = run_storm(pit, [pump], inflow, 12000.0, step_s=2.0)
    fine = run_storm(pit, [pump], inflow, 12000.0, step_s=0.05)

    assert coarse.starts == fine.starts == tuple(exact.starts)
    errors = [abs(run.pumped_m3 - exact.pumped_m3) for run in (coarse, fine)]
    assert errors[1] < errors[0]
    assert fine.pumped_m3 == pytest.approx(exact.pumped_m3, rel=1e-3)
    assert fine.infiltrated_m3 == pytest.approx(exact.soaked_m3, rel=1e-3)


def test_the_rim_spills_what_does_not_fit():
    # 1 m2, 1 m, 0.01 m3/s for 150 s: 1 m3 stays, 0.5 m3 spills in 50 s.
    filling = begin_filling(straight_pit(1.0, 1.0))

    filling.run_on(0.01, 150.0)

    assert filling.ledger().overflow_m3 == pytest.approx(0.5)
    assert filling.ledger().over_rim_s == pytest.approx(50.0)


def test_soil_that_takes_it_all_keeps_the_pit_dry():
    filling = begin_filling(straight_pit(1.0, 1.0, seepage_ms=1e-4))

    filling.run_on(5e-5, 1000.0)

    assert filling.level_m == 0.0
    assert filling.soaked_m3 == pytest.approx(0.05)


def test_an_inflow_the_soil_can_take_never_fills_the_pit():
    assert time_to_fill_s(straight_pit(1.0, 1.0, 1e-4), 5e-5, 0.0, 1.0) == inf


def test_filling_time_counts_each_band():
    # 0.4 m x 0.5 m2 + 0.6 m x 1 m2 = 0.8 m3 at 0.001 m3/s; from 0.2 m: 0.7 m3.
    pit = Pit((Band(0.4, 0.5), Band(1.0, 1.0)))

    assert time_to_fill_s(pit, 0.001, 0.0, 1.0) == pytest.approx(800.0)
    assert time_to_fill_s(pit, 0.001, 0.2, 1.0) == pytest.approx(700.0)


def test_refuses_levels_outside_the_pit():
    with pytest.raises(PitImpossible):
        time_to_fill_s(straight_pit(1.0, 1.0), 0.1, 0.5, 1.5)
    with pytest.raises(PitImpossible):
        begin_filling(straight_pit(1.0, 1.0), start_level_m=1.5)


def test_lead_and_lag_pumps_keep_their_own_levels():
    # 30.3 m3 through 1.115 m2 as in test_storm_run; here the stepped run is the judge.
    pit = straight_pit(12 * SQUARE_FOOT_M2, 5 * FOOT_M)
    pumps = [
        OnOffPump(0.09 * CUBIC_FOOT_M3, 2 * FOOT_M, 0.5 * FOOT_M),
        OnOffPump(0.09 * CUBIC_FOOT_M3, 3 * FOOT_M, 1.0 * FOOT_M),
    ]
    exact = begin_filling(pit, pumps)
    exact.run_on(0.15 * CUBIC_FOOT_M3, 6000.0)
    exact.run_on(0.0, 3000.0)

    run = run_storm(
        pit, pumps, [(0, 0.15 * CUBIC_FOOT_M3), (6000, 0.15 * CUBIC_FOOT_M3)], 9000.0, 0.1
    )

    assert tuple(exact.starts) == run.starts
    assert exact.pumped_m3 == pytest.approx(run.pumped_m3, rel=2e-3)
