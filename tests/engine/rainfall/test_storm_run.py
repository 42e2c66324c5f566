"""The stepped run of one storm, against hand sums, the cases and EPA SWMM."""

import pytest

from drainservice.engine.rainfall.pit import (
    Band,
    OnOffPump,
    Pit,
    PitImpossible,
    straight_pit,
    weaken_pump,
)
from drainservice.engine.rainfall.storm_run import (
    InflowUnusable,
    StepTooLong,
    roof_inflow_m3s,
    run_storm,
)
from drainservice.engine.units import (
    CUBIC_FOOT_M3,
    FOOT_M,
    GPM_M3S,
    INCH_PER_HOUR_MS,
    SQUARE_FOOT_M2,
)
from tests.engine.cases import case
from tests.engine.rainfall.swmm import run_swmm

HOUR_S = 3600.0


def trade_pit(area_ft2, depth_ft, seepage_in_h):
    return straight_pit(
        area_ft2 * SQUARE_FOOT_M2, depth_ft * FOOT_M, seepage_in_h * INCH_PER_HOUR_MS
    )


def trade_pump(gpm, on_ft, off_ft):
    return OnOffPump(gpm * GPM_M3S, on_ft * FOOT_M, off_ft * FOOT_M)


def trade_inflow(points):
    return [(minutes * 60.0, cfs * CUBIC_FOOT_M3) for minutes, cfs in points]


def run_case(case_id):
    given = case(case_id)
    pit = trade_pit(
        given.raw("effective_area"), given.raw("depth_full"), given.raw("bottom_seepage")
    )
    levels = given.raw("pump"), given.raw("on_level"), given.raw("off_level")
    pumps = [trade_pump(*levels)] if given.raw("pump") else []
    inflow = trade_inflow(given.raw("inflow_hydrograph"))
    return given, run_storm(pit, pumps, inflow, given.raw("duration") * HOUR_S)


def test_D08_dry_well_with_standby_pump():
    given, run = run_case("D08")

    given.assert_holds("max_depth", run.max_level_m, "m")
    given.assert_holds("starts", run.total_starts)
    given.assert_holds("pumped", run.pumped_m3, "m3")
    given.assert_holds("overflow", run.overflow_m3, "m3")


def test_D09_dry_well_without_pump():
    given, run = run_case("D09")

    given.assert_holds("max_depth", run.max_level_m, "m")
    given.assert_holds("final_depth", run.final_level_m, "m")


# Systems of our own: area ft2, depth ft, seepage in/h, inflow (min, ft3/s), hours, pumps.
SWMM_SYSTEMS = {
    "small pit, cloudburst over the pump's strength": (
        (9.0, 4.0, 0.5),
        [(0, 0), (30, 0.3), (60, 0.3), (120, 0), (1200, 0)],
        8,
        [(35.0, 2.0, 0.6)],
    ),
    "pump dead, pit overflows": (
        (8.3, 3.5, 1.0),
        [(0, 0), (20, 0.05), (90, 0.02), (120, 0), (1200, 0)],
        10,
        [],
    ),
    "lead and lag pump": (
        (12.0, 5.0, 0.3),
        [(0, 0), (45, 0.17), (75, 0.17), (180, 0), (1200, 0)],
        9,
        [(40.0, 2.0, 0.5), (40.0, 3.0, 1.0)],
    ),
    "long soft rain on tight soil": (
        (20.0, 4.5, 0.05),
        [(0, 0), (120, 0.03), (600, 0.03), (720, 0), (1400, 0)],
        20,
        [(25.0, 2.5, 0.7)],
    ),
}


# SWMM: EPA SWMM 5.2 through pyswmm, dynamic wave, 1 s. Volumes within 0.1 % of what ran in (its
# pump runs on for part of a second at each switch); starts exactly.
@pytest.mark.parametrize("name", SWMM_SYSTEMS)
def test_agrees_with_swmm_in_volumes_and_exactly_in_starts(name, tmp_path):
    sizes, inflow, hours, pumps = SWMM_SYSTEMS[name]
    other = run_swmm(tmp_path, *sizes, inflow, hours, pumps)

    run = run_storm(
        trade_pit(*sizes),
        [trade_pump(*pump) for pump in pumps],
        trade_inflow(inflow),
        hours * HOUR_S,
    )

    print(f"{name}: {run} against {other} [EPA SWMM 5.2 run here]")
    near = pytest.approx
    slack_ft3 = 0.001 * run.inflow_m3 / CUBIC_FOOT_M3
    assert list(run.starts) == other.starts
    assert run.max_level_m / FOOT_M == near(other.max_depth_ft, abs=0.01)
    assert run.overflow_m3 / CUBIC_FOOT_M3 == near(other.flooded_ft3, abs=slack_ft3)
    assert run.infiltrated_m3 / CUBIC_FOOT_M3 == near(other.seeped_ft3, abs=slack_ft3)
    assert run.pumped_m3 / CUBIC_FOOT_M3 == near(other.pumped_ft3, abs=slack_ft3)


def test_a_dead_pump_lets_the_rest_run_over():
    # 1 m2 by 1 m, no soil: 0.001 m3/s for 2000 s is 2 m3, of which 1 m3 stays.
    run = run_storm(straight_pit(1.0, 1.0), [], [(0, 0.001), (2000, 0.001)], 3000.0)

    assert run.overflow_m3 == pytest.approx(1.0, abs=1e-9)
    assert run.final_level_m == 1.0
    # Full after 1000 s; it spills during the second thousand.
    assert run.over_rim_s == pytest.approx(1000.0, abs=1.0)


def test_counts_starts_and_running_time_worked_by_hand():
    # Band 0.2 to 0.7 m of 1 m2 = 0.5 m3. q = 0.001: filling 500 s. Pump 0.002: emptying
    # 0.5 / (0.002 - 0.001) = 500 s. First start at 700 s, then every 1000 s: 700, 1700, 2700.
    pump = OnOffPump(0.002, 0.7, 0.2)

    run = run_storm(straight_pit(1.0, 1.0), [pump], [(0, 0.001), (3500, 0.001)], 3500.0)

    assert run.starts == (3,)
    assert run.running_s[0] == pytest.approx(1500.0, abs=5.0)
    assert run.pumped_m3 == pytest.approx(3.0, abs=0.01)


def test_a_pump_with_its_off_level_at_the_bottom_stops_when_the_pit_is_dry():
    # 0.5 m3 at 0.001 m3/s is gone in 500 s; it must not run on for the rest of the hour.
    pump = OnOffPump(0.001, 0.5, 0.0)

    run = run_storm(straight_pit(1.0, 1.0), [pump], [], 3600.0, start_level_m=0.5)

    assert run.running_s[0] == pytest.approx(500.0, abs=1.0)
    assert run.pumped_m3 == pytest.approx(0.5)


def test_a_weak_pump_runs_longer_and_keeps_the_pit_less_low():
    pump = OnOffPump(0.002, 0.7, 0.2)
    inflow = [(0, 0.0015), (3000, 0.0015)]

    sound = run_storm(straight_pit(1.0, 1.0), [pump], inflow, 6000.0)
    weak = run_storm(straight_pit(1.0, 1.0), [weaken_pump(pump, 0.6)], inflow, 6000.0)

    # 0.6 x 0.002 = 0.0012 is less than 0.0015 comes in: the weak one never gets it down.
    assert sound.overflow_m3 == 0.0
    assert weak.max_level_m > sound.max_level_m
    assert weak.running_s[0] > sound.running_s[0]


def test_solid_blocks_under_the_insert_make_the_lowest_band_fill_faster():
    # 0.5 m2 up to 0.4 m (0.2 m3), then 1 m2: 0.5 m3 stands at 0.4 + 0.3 = 0.7 m.
    pit = Pit((Band(0.4, 0.5), Band(1.0, 1.0)))

    run = run_storm(pit, [], [(0, 0.001), (500, 0.001)], 500.0)

    assert run.final_level_m == pytest.approx(0.7, abs=1e-9)


def test_keeps_the_level_for_a_drawing_when_asked():
    run = run_storm(
        straight_pit(1.0, 1.0), [], [(0, 0.001), (600, 0.001)], 600.0, trace_every_s=60.0
    )

    assert len(run.trace) == 11
    assert run.trace[-1] == (600.0, pytest.approx(0.6))


def test_roof_inflow_is_level_within_each_block_of_rain():
    # 100 m2 x 0.9 x 0.01 m in 300 s = 0.003 m3/s.
    points = roof_inflow_m3s(100.0, 0.9, [0.01, 0.0], 300.0)

    assert points == [
        (0.0, pytest.approx(0.003)),
        (300.0, pytest.approx(0.003)),
        (300.0, 0.0),
        (600.0, 0.0),
    ]


def test_refuses_steps_in_which_a_pump_could_hide():
    with pytest.raises(StepTooLong, match="1 to 10 s"):
        run_storm(straight_pit(1.0, 1.0), [], [], 3600.0, step_s=300.0)


def test_refuses_an_inflow_that_runs_backwards():
    with pytest.raises(InflowUnusable):
        run_storm(straight_pit(1.0, 1.0), [], [(60, 0.1), (0, 0.1)], 3600.0)


def test_refuses_a_pump_that_starts_above_the_rim():
    with pytest.raises(PitImpossible, match="never start"):
        run_storm(straight_pit(1.0, 1.0), [OnOffPump(0.001, 1.2, 0.1)], [], 60.0)


def test_a_full_pit_never_stands_above_its_rim_by_rounding():
    # 1.90625 m x 3.0087471833523263 m2 divided by that area rounds up by one bit.
    pit = straight_pit(3.0087471833523263, 1.90625)

    run = run_storm(pit, [], [(0.0, 0.0078125), (735.0, 0.0078125)], 1335.0, step_s=5.0)

    assert run.max_level_m == run.final_level_m == pit.depth_m
