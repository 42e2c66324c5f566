"""Laws of rain, pits and areas that hold for any numbers."""

from datetime import date, timedelta
from itertools import pairwise
from math import atan2, cos, pi, sin
from random import Random

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from drainservice.engine.rainfall.capacity import rain_kept_up_with_m, rain_survived_without_pump_m
from drainservice.engine.rainfall.demand import demand_on_pump
from drainservice.engine.rainfall.filling import begin_filling
from drainservice.engine.rainfall.pit import Band, OnOffPump, Pit, seepage_m3s, stored_m3
from drainservice.engine.rainfall.routing import route_level_pool, vertical_wall_table
from drainservice.engine.rainfall.runoff import curve_number_runoff_m
from drainservice.engine.rainfall.season import run_season
from drainservice.engine.rainfall.storm_run import run_storm
from drainservice.engine.rainfall.storms import spells_of_rain, storms_over
from drainservice.engine.rainfall.warning_area import is_inside_polygon

few = settings(max_examples=40, deadline=None)
areas = st.floats(0.2, 5.0)


@st.composite
def pits(draw):
    tops = sorted(draw(st.lists(st.floats(0.3, 2.0), min_size=1, max_size=3, unique=True)))
    assume(all(b - a > 0.01 for a, b in pairwise(tops)))
    bands = tuple(Band(top, draw(areas)) for top in tops)
    seepage = draw(st.sampled_from([0.0, 1e-7, 3e-6, 5e-5]))
    return Pit(bands, seepage, draw(areas), draw(st.sampled_from([0.0, 4.0])))


@st.composite
def pits_with_pump(draw):
    pit = draw(pits())
    on_m = draw(st.floats(0.15, 1.0)) * pit.depth_m
    pump = OnOffPump(draw(st.floats(2e-4, 5e-3)), on_m, draw(st.floats(0.0, 0.8)) * on_m)
    return pit, pump


flows = st.lists(st.tuples(st.floats(0.0, 0.01), st.floats(1.0, 3000.0)), min_size=1, max_size=8)
depths = st.lists(st.one_of(st.just(0.0), st.floats(0.0, 0.02)), min_size=1, max_size=30)


def points_of(steady):
    """Steady flows one after another as points of an inflow."""
    points, at_s = [], 0.0
    for flow_m3s, time_s in steady:
        points += [(at_s, flow_m3s), (at_s + time_s, flow_m3s)]
        at_s += time_s
    return points, at_s


@few
@given(pits_with_pump(), flows)
def test_the_stepped_balance_always_closes(system, steady):
    pit, pump = system
    points, end_s = points_of(steady)

    run = run_storm(pit, [pump], points, end_s + 600.0, step_s=5.0)

    out_m3 = run.pumped_m3 + run.infiltrated_m3 + run.overflow_m3
    assert run.inflow_m3 == pytest.approx(sum(q * t for q, t in steady), rel=1e-9, abs=1e-9)
    assert run.inflow_m3 == pytest.approx(out_m3 + stored_m3(pit, run.final_level_m), abs=1e-8)
    assert 0.0 <= run.final_level_m <= run.max_level_m <= pit.depth_m


@few
@given(pits_with_pump(), flows)
def test_the_exact_run_never_soaks_more_than_the_soil_can_take(system, steady):
    pit, pump = system
    filling = begin_filling(pit, [pump])

    for flow_m3s, time_s in steady:
        filling.run_on(flow_m3s, time_s)

    run = filling.ledger()
    total_s = sum(time_s for _, time_s in steady)
    assert -1e-9 <= run.infiltrated_m3 <= seepage_m3s(pit, run.max_level_m) * total_s + 1e-9
    assert run.pumped_m3 <= pump.flow_m3s * run.running_s[0] + 1e-9
    out_m3 = run.pumped_m3 + run.infiltrated_m3 + run.overflow_m3
    assert run.inflow_m3 == pytest.approx(out_m3 + stored_m3(pit, run.final_level_m), abs=1e-8)


@few
@given(pits(), depths, st.integers(0, 29), st.floats(0.0, 0.01))
def test_more_rain_on_a_dead_pump_never_stands_lower(pit, rain, at, more_m):
    wetter = list(rain)
    wetter[at % len(rain)] += more_m

    less = run_season(pit, [], 90.0, 0.9, rain, 3600.0)
    more = run_season(pit, [], 90.0, 0.9, wetter, 3600.0)

    assert more.max_level_m >= less.max_level_m - 1e-9
    assert more.final_level_m >= less.final_level_m - 1e-9
    assert more.overflow_m3 >= less.overflow_m3 - 1e-9


@few
@given(pits_with_pump(), depths)
def test_a_live_pump_never_lets_more_run_over_than_a_dead_one(system, rain):
    pit, pump = system

    live = run_season(pit, [pump], 90.0, 0.9, rain, 3600.0)
    dead = run_season(pit, [], 90.0, 0.9, rain, 3600.0)

    assert live.overflow_m3 <= dead.overflow_m3 + 1e-9
    assert live.max_level_m <= dead.max_level_m + 1e-9


@few
@given(pits(), depths)
def test_cutting_a_block_of_rain_in_two_changes_nothing(pit, rain):
    halves = [depth_m / 2 for depth_m in rain for _ in range(2)]

    whole = run_season(pit, [], 90.0, 0.9, rain, 3600.0)
    cut = run_season(pit, [], 90.0, 0.9, halves, 1800.0)

    assert cut.final_level_m == pytest.approx(whole.final_level_m, abs=1e-9)
    assert cut.overflow_m3 == pytest.approx(whole.overflow_m3, abs=1e-8)


@few
@given(pits_with_pump(), st.floats(300.0, 40000.0), st.floats(1.0, 4.0))
def test_pits_survive_more_in_longer_rains_and_more_with_their_pump(system, time_s, longer):
    pit, pump = system

    short_m = rain_survived_without_pump_m(pit, 90.0, 0.9, time_s, pit.depth_m)
    long_m = rain_survived_without_pump_m(pit, 90.0, 0.9, time_s * longer, pit.depth_m)
    live_m = rain_kept_up_with_m(pit, [pump], 90.0, 0.9, time_s, pit.depth_m)

    assert long_m >= short_m * (1 - 1e-9)
    assert live_m >= short_m * (1 - 1e-9)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(1.0, 100.0), st.floats(1.0, 100.0))
def test_runoff_never_exceeds_rain_and_rises_with_rain_and_curve_number(p, q, a, b):
    (rain, more), (number, higher) = sorted((p, q)), sorted((a, b))

    runoff_m = curve_number_runoff_m(rain, number)

    assert 0.0 <= runoff_m <= rain
    assert curve_number_runoff_m(more, number) >= runoff_m - 1e-15
    assert curve_number_runoff_m(rain, higher) >= runoff_m - 1e-15


@few
@given(st.lists(st.floats(0.0, 1.0), min_size=2, max_size=20), st.floats(50.0, 500.0))
def test_a_pond_lowers_the_peak_and_keeps_the_volume(inflows, area_m2):
    wave_in = [0.0, *inflows, 0.0]
    table = vertical_wall_table(area_m2, [0.0, 1.0, 500.0], [0.0, 0.3, 150.0])

    wave = route_level_pool(table, wave_in, 60.0)

    out = wave.outflows_m3s
    assert wave.peak_outflow_m3s <= max(wave_in) + 1e-9
    outflow_m3 = 60.0 * (sum(out) - out[-1] / 2)
    assert 60.0 * sum(wave_in) == pytest.approx(outflow_m3 + wave.storages_m3[-1], abs=1e-6)


@few
@given(st.integers(0, 2**32), st.floats(0.1, 0.9), st.sampled_from([0.0, 1e-7, 1e-6, 2e-5]))
def test_a_higher_level_is_never_reached_on_more_days(seed, share, seepage_ms):
    pit = Pit((Band(1.0, 1.0),), seepage_ms, 1.0)
    dice = Random(seed)
    year = [date(2001, 1, 1) + timedelta(days=i) for i in range(365)]
    rain = [(day, max(dice.gauss(-0.01, 0.015), 0.0)) for day in year]

    low = demand_on_pump(pit, 50.0, 0.9, rain, level_m=share)
    high = demand_on_pump(pit, 50.0, 0.9, rain, level_m=1.0)

    # A February of 28 days stands for 28.25: rates are a hundredth apart at most.
    assert low.days_per_year * 1.01 >= high.days_per_year
    assert sum(low.month_weights) == pytest.approx(1.0 if low.storms else 0.0)


@given(st.lists(st.floats(0.0, 0.05), max_size=60), st.integers(0, 5), st.integers(0, 5))
def test_longer_windows_never_make_more_storms(depths_m, days, more):
    rain = [(date(2001, 1, 1) + timedelta(days=i), d) for i, d in enumerate(depths_m)]

    short = storms_over(rain, 0.0127, timedelta(days=days))
    long = storms_over(rain, 0.0127, timedelta(days=days + more))
    spells = spells_of_rain(rain)

    assert len(long) <= len(short)
    assert sum(s.total_over_m for s in short) == pytest.approx(sum(s.total_over_m for s in long))
    # A spell's wet means more than a micrometre.
    assert sum(s.total_m for s in spells) == pytest.approx(sum(depths_m), abs=1e-4)


# Degrees to a hundredth, as warnings print them.
degrees = st.integers(-2000, 2000).map(lambda n: n / 100)


def winds_round(polygon, latitude, longitude):
    """Independent judge: the angles the edges span, seen from the place, add up to a turn."""
    total = 0.0
    for (lat_a, lon_a), (lat_b, lon_b) in pairwise(polygon):
        turn = atan2(lat_b - latitude, lon_b - longitude)
        turn -= atan2(lat_a - latitude, lon_a - longitude)
        total += (turn + pi) % (2 * pi) - pi
    return abs(total) > pi


@example(5, 0.5, 0.5)
@given(st.integers(3, 12), degrees, degrees)
def test_a_place_is_inside_exactly_when_the_boundary_winds_round_it(corners, latitude, longitude):
    # A star-shaped polygon that does not cross itself.
    turns = [2 * pi * i / corners for i in range(corners)]
    ring = [((7 + 4 * (i % 2)) * sin(t), (7 + 4 * (i % 2)) * cos(t)) for i, t in enumerate(turns)]
    polygon = (*ring, ring[0])

    inside = is_inside_polygon(polygon, latitude + 0.0007, longitude + 0.0003)

    assert inside is winds_round(polygon, latitude + 0.0007, longitude + 0.0003)
    assert inside is is_inside_polygon(polygon[::-1], latitude + 0.0007, longitude + 0.0003)
