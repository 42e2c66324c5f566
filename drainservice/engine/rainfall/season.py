"""Months of rain through a pit: starts, hours and volumes, by exact moves between changes."""

from collections.abc import Sequence
from itertools import groupby

from drainservice.engine.rainfall.filling import begin_filling
from drainservice.engine.rainfall.pit import OnOffPump, Pit, PitRun
from drainservice.engine.rainfall.storm_run import InflowUnusable


def run_season(
    pit: Pit,
    pumps: Sequence[OnOffPump],
    roof_area_m2: float,
    coefficient: float,
    rain_m: Sequence[float],
    block_s: float = 300.0,
    start_level_m: float = 0.0,
) -> PitRun:
    """Let a pit live through a long record of rain in equal blocks (five minutes as a rule).

    rain_m: depth in m in each block of block_s seconds. Inflow C A P / block is level inside a
    block; equal blocks, above all dry ones, are taken in one move. Starts, running times and
    volumes as in PitRun, without a trace. Raises InflowUnusable, PitImpossible.
    """
    if not block_s > 0.0 or any(not depth_m >= 0.0 for depth_m in rain_m):
        raise InflowUnusable("Rain comes in blocks longer than nothing and not below zero.")
    filling = begin_filling(pit, pumps, start_level_m)
    flow_per_m = coefficient * roof_area_m2 / block_s
    for depth_m, alike in groupby(rain_m):
        filling.run_on(depth_m * flow_per_m, block_s * sum(1 for _ in alike))
    return filling.ledger()
