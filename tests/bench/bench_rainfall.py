"""How close the rain part of the engine is to SWMM, and how long it takes.

Run by hand: python -m tests.bench.bench_rainfall
"""

import random
import tempfile
import time
from pathlib import Path

from drainservice.engine.rainfall import (
    capacity,
    demand,
    ghcn,
    season,
    storm_run,
    warning_reader,
)
from drainservice.engine.rainfall.pit import OnOffPump, straight_pit
from drainservice.engine.units import (
    CUBIC_FOOT_M3,
    FOOT_M,
    GPM_M3S,
    INCH_M,
    INCH_PER_HOUR_MS,
    SQUARE_FOOT_M2,
)
from tests.engine.rainfall.swmm import run_swmm

DATA = Path(__file__).parents[1] / "data"
PIT = straight_pit(8.285 * SQUARE_FOOT_M2, 3.5 * FOOT_M, 0.5 * INCH_PER_HOUR_MS)
PUMP = OnOffPump(38 * GPM_M3S, 1.5 * FOOT_M, 0.3 * FOOT_M)
LIMITS_MS = {"season of": 50.0, "10 years": 100.0}
ROOF_M2 = 1000 * SQUARE_FOOT_M2


def best_ms(work, rounds=5):
    """The shortest of a few runs, in ms: what the machine can do when left alone."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        times.append((time.perf_counter() - begun) * 1000)
    return min(times)


def made_up_season(days=120):
    """Five-minute depths of a wet season: one day in three has a shower of an hour or so."""
    dice = random.Random(3)
    rain = [0.0] * (days * 288)
    for day in range(days):
        if dice.random() < 0.33:
            begins = day * 288 + dice.randrange(260)
            for i in range(begins, min(begins + dice.randrange(6, 28), len(rain))):
                rain[i] = dice.expovariate(1 / 0.0008)
    return rain


def compare_with_swmm():
    """Our starts and volumes over SWMM's, for pits of several sizes in one cloudburst."""
    inflow = [(0, 0), (45, 0.14), (75, 0.14), (180, 0), (1200, 0)]
    print("area ft2  starts ours/SWMM  pumped ratio  soaked ratio  spilt ratio")
    for area_ft2 in (6.0, 9.0, 14.0, 25.0):
        with tempfile.TemporaryDirectory() as folder:
            other = run_swmm(Path(folder), area_ft2, 4.0, 0.5, inflow, 10, [(38.0, 2.0, 0.5)])
        run = storm_run.run_storm(
            straight_pit(area_ft2 * SQUARE_FOOT_M2, 4 * FOOT_M, 0.5 * INCH_PER_HOUR_MS),
            [OnOffPump(38 * GPM_M3S, 2 * FOOT_M, 0.5 * FOOT_M)],
            [(minutes * 60.0, cfs * CUBIC_FOOT_M3) for minutes, cfs in inflow],
            36000.0,
        )
        ours = (run.pumped_m3, run.infiltrated_m3, run.overflow_m3)
        theirs = (other.pumped_ft3, other.seeped_ft3, other.flooded_ft3)
        ratios = "  ".join(
            f"{a / CUBIC_FOOT_M3 / b:12.5f}" if b else "        none"
            for a, b in zip(ours, theirs, strict=True)
        )
        print(f"{area_ft2:8.1f}  {run.total_starts:7d} / {other.starts[0]:<6d} {ratios}")


def compare_steps():
    """The stepped run over the exact one, by length of step."""
    rain = made_up_season(6)
    exact = season.run_season(PIT, [PUMP], ROOF_M2, 0.9, rain)
    points = storm_run.roof_inflow_m3s(ROOF_M2, 0.9, rain, 300.0)
    print("step s  starts stepped/exact  pumped ratio")
    for step_s in (1.0, 2.0, 5.0, 10.0):
        run = storm_run.run_storm(PIT, [PUMP], points, len(rain) * 300.0, step_s)
        ratio = run.pumped_m3 / exact.pumped_m3
        print(f"{step_s:6.0f}  {run.total_starts:7d} / {exact.total_starts:<7d} {ratio:12.5f}")


def measure_times():
    """Times in ms, each the best of five."""
    rain = made_up_season()
    record = ghcn.read_ghcn_daily((DATA / "rain" / "USW00003870.dly").read_bytes())
    daily = (DATA / "rain" / "USW00023234.dly").read_bytes()
    ten_years = b"\n".join(line for line in daily.splitlines() if 2000 <= int(line[11:15]) < 2010)
    index = (DATA / "warnings" / "nws_atom_index_2018-08-15.xml").read_bytes()
    inflow = [(0.0, 0.0), (3600.0, 0.002), (7200.0, 0.0)]
    rows = {
        f"season of {len(rain)} blocks of 5 min": lambda: season.run_season(
            PIT, [PUMP], ROOF_M2, 0.9, rain
        ),
        "12 h storm in steps of 1 s": lambda: storm_run.run_storm(PIT, [PUMP], inflow, 43200.0),
        "10 years of .dly read": lambda: ghcn.read_ghcn_daily(ten_years),
        "29 years of .dly read": lambda: ghcn.read_ghcn_daily(daily),
        "demand from 43 years of days": lambda: demand.demand_on_pump(
            PIT, ROOF_M2, 0.9, record.pairs, PUMP.on_level_m, PUMP.off_level_m
        ),
        "capacity in seven rains": lambda: capacity.capacity_in_rain(
            PIT, [PUMP], ROOF_M2, 0.9, PIT.depth_m
        ),
        "index of 163 warnings read": lambda: warning_reader.read_warnings(index),
    }
    for name, work in rows.items():
        taken_ms = best_ms(work)
        limit_ms = next((ms for start, ms in LIMITS_MS.items() if name.startswith(start)), 0.0)
        ratio = f"  limit over measured: {limit_ms / taken_ms:.1f}" if limit_ms else ""
        print(f"{taken_ms:9.2f} ms  {name}{ratio}")


def show_capacity():
    """What the small pit of the examples takes, in inches."""
    found = capacity.capacity_in_rain(PIT, [PUMP], ROOF_M2, 0.9, PIT.depth_m)
    for hours, depth_m in found.without_pump_m.items():
        print(f"{depth_m / INCH_M:9.2f} in in {hours} h with the pump dead")
    for minutes, depth_m in found.with_pump_m.items():
        print(f"{depth_m / INCH_M:9.2f} in in {minutes} min with the pump running")


if __name__ == "__main__":
    compare_with_swmm()
    compare_steps()
    measure_times()
    show_capacity()
