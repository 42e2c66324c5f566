"""One storm through a pit, in short steps, with pumps that switch by level."""

from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise

from drainservice.engine.rainfall.pit import OnOffPump, Pit, PitRun, check_pumps_fit, stored_m3
from drainservice.engine.rainfall.routing import interpolate

LONGEST_STEP_S = 60.0


class StepTooLong(ValueError):
    """A step in which a pump could start and stop unseen."""


class InflowUnusable(ValueError):
    """Times of an inflow that do not rise, or flows below zero."""


def run_storm(
    pit: Pit,
    pumps: Sequence[OnOffPump],
    inflow_m3s: Sequence[tuple[float, float]],
    duration_s: float,
    step_s: float = 1.0,
    start_level_m: float = 0.0,
    trace_every_s: float = 0.0,
) -> PitRun:
    """Step a storm through a pit: dV = (q_in - q_soil - q_pumps) dt, overflow above the rim.

    inflow_m3s: (time in s, flow in m3/s) points, linear between them, zero after the last.
    pumps: none for a dead pump, several for a pair; each keeps its own on and off level, and
    switches only at a step's beginning, as a float that is looked at once a step.
    trace_every_s: keep the level about so often (0: not at all).
    Explicit steps of 1 to 10 s; volumes closed to rounding, but each start may pump up to one
    step too long (run_season has no such error, for rain in blocks).
    Source: continuity; judged against EPA SWMM 5.2.
    Raises StepTooLong, InflowUnusable, PitImpossible.
    """
    pumps = tuple(pumps)
    check_pumps_fit(pit, pumps)
    if not 0.0 < step_s <= LONGEST_STEP_S:
        raise StepTooLong(f"Use steps above 0 and up to {LONGEST_STEP_S:g} s; 1 to 10 s is usual.")
    steps = round(duration_s / step_s)
    volumes = _inflow_of_each_step(inflow_m3s, steps, step_s)
    tops = [0.0, *(band.top_m for band in pit.bands)]
    fills = [stored_m3(pit, top_m) for top_m in tops]
    full_m3, one_area_m2 = fills[-1], pit.bands[0].plan_area_m2
    is_straight = len(pit.bands) == 1
    bottom_m3 = pit.seepage_ms * pit.soil_area_m2 * step_s
    wall_m2 = pit.seepage_ms * pit.soil_wall_m * step_s
    lifts_m3 = [pump.flow_m3s * step_s for pump in pumps]
    numbered = [(i, p.on_level_m, p.off_level_m) for i, p in enumerate(pumps)]
    is_on, starts, on_steps = [False] * len(pumps), [0] * len(pumps), [0.0] * len(pumps)
    volume_m3 = stored_m3(pit, start_level_m)
    level_m = top_level_m = start_level_m
    pumped_m3 = soaked_m3 = spilt_m3 = 0.0
    spill_steps = 0
    trace_steps = max(round(trace_every_s / step_s), 1) if trace_every_s > 0.0 else steps + 1
    trace = [(0.0, level_m)] if trace_every_s > 0.0 else []
    for step, inflow_m3 in enumerate(volumes, start=1):
        lift_m3 = 0.0
        for i, on_m, off_m in numbered:
            if is_on[i]:
                is_on[i] = level_m > off_m
            elif level_m >= on_m:
                is_on[i] = True
                starts[i] += 1
            if is_on[i]:
                lift_m3 += lifts_m3[i]
                on_steps[i] += 1
        volume_m3 += inflow_m3
        soak_m3 = min(bottom_m3 + wall_m2 * level_m, volume_m3)
        volume_m3 -= soak_m3
        soaked_m3 += soak_m3
        if lift_m3:
            lift_m3 = min(lift_m3, volume_m3)
            volume_m3 -= lift_m3
            pumped_m3 += lift_m3
        if volume_m3 > full_m3:
            spilt_m3 += volume_m3 - full_m3
            volume_m3 = full_m3
            spill_steps += 1
        level_m = volume_m3 / one_area_m2 if is_straight else interpolate(fills, tops, volume_m3)
        if level_m > top_level_m:
            # A full pit divided by its area may round to a hair above its rim.
            top_level_m = level_m = min(level_m, tops[-1])
        if step % trace_steps == 0:
            trace.append((step * step_s, level_m))
    return PitRun(
        inflow_m3=sum(volumes),
        pumped_m3=pumped_m3,
        infiltrated_m3=soaked_m3,
        overflow_m3=spilt_m3,
        start_level_m=start_level_m,
        final_level_m=level_m,
        max_level_m=top_level_m,
        starts=tuple(starts),
        running_s=tuple(n * step_s for n in on_steps),
        over_rim_s=spill_steps * step_s,
        trace=tuple(trace),
    )


def roof_inflow_m3s(
    roof_area_m2: float, coefficient: float, rain_m: Sequence[float], block_s: float
) -> list[tuple[float, float]]:
    """Points of inflow for run_storm from rain in equal blocks: q = C A P / block.

    rain_m: depth in m in each block of block_s seconds. Two points a block, so that the flow
    stays level inside it.
    """
    points: list[tuple[float, float]] = []
    for i, depth_m in enumerate(rain_m):
        flow_m3s = coefficient * roof_area_m2 * depth_m / block_s
        points += [(i * block_s, flow_m3s), ((i + 1) * block_s, flow_m3s)]
    return points


def _inflow_of_each_step(
    points: Sequence[tuple[float, float]], steps: int, step_s: float
) -> list[float]:
    """Volume in each step, as differences of the exact sum under the straight lines."""
    times = [time_s for time_s, _ in points]
    flows = [flow_m3s for _, flow_m3s in points]
    if any(b < a for a, b in pairwise(times)) or min(flows, default=0.0) < 0.0:
        raise InflowUnusable("Give an inflow at rising times, with no flow below zero.")
    sums = [0.0]
    for i in range(1, len(times)):
        sums.append(sums[-1] + (times[i] - times[i - 1]) * (flows[i] + flows[i - 1]) / 2.0)

    def volume_until_m3(time_s: float) -> float:
        i = bisect_left(times, time_s)
        if i == 0:
            return 0.0
        if i == len(times):
            return sums[-1]
        span_s, into_s = times[i] - times[i - 1], time_s - times[i - 1]
        slope = (flows[i] - flows[i - 1]) / span_s
        return sums[i - 1] + into_s * (flows[i - 1] + slope * into_s / 2.0)

    marks = [volume_until_m3(step * step_s) for step in range(steps + 1)]
    return [max(after - before, 0.0) for before, after in pairwise(marks)]
