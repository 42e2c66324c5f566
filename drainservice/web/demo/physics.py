"""Plausible readings: what a stopwatch and a rule would show at a pit whose truth is known."""

import random
from dataclasses import dataclass
from datetime import date

from drainservice.engine.hydraulics.line import water_held
from drainservice.engine.hydraulics.system_duty import average_duty
from drainservice.engine.soakage.falling_head import find_drain_time, find_level_after
from drainservice.engine.soakage.pit import Pit, box_pit
from drainservice.engine.soakage.viscosity import reduce_time_to_20c
from drainservice.engine.units import INCH_M, YEAR_DAYS
from drainservice.inspections.models.record import ReadingRecord
from drainservice.inspections.queries.parts import Missing, area_of, duty_input_of
from drainservice.register.queries import Whole
from drainservice.web.demo.builds import Build

EIGHTH_M = INCH_M / 8
TEST_S = 3600.0
# Cold water soaks slowly: a pit's water through the year, by month.
WATER_C = [6, 6, 8, 10, 12, 15, 17, 18, 16, 13, 9, 7]


@dataclass(frozen=True, slots=True)
class Truth:
    """What a perfect test would find when the system was new."""

    pit: Pit
    full_m: float
    rate_ms: float
    duty_m3s: float
    area_m2: float
    line_m3: float


def truth_of(build: Build, whole: Whole) -> Truth:
    """The soakage rate that empties the full pit in the build's hours, and the pump's duty."""
    pit = box_pit(build.side_m, build.side_m, 0.40, build.insert_m)
    full_m = build.depth_m - build.invert_m
    rate_ms = find_drain_time(full_m, 1.0, pit) / (build.drain_h * 3600)
    if not build.pump:
        return Truth(pit, full_m, rate_ms, 0.0, 0.0, 0.0)
    try:
        given = duty_input_of(whole)
        area_m2 = area_of(whole, build.off_m, build.on_m).value
        duty_m3s = average_duty(given).flow.value
        held_m3 = water_held(given.sections if build.rises_all_along else given.sections[:1])
    except Missing:
        # Nobody has written this one down: an ordinary pump on an ordinary line.
        return Truth(pit, full_m, rate_ms, 2.2e-3, pit.plan_area_m2 * pit.void_ratio, 0.004)
    return Truth(pit, full_m, rate_ms, duty_m3s, area_m2, held_m3)


def pump_readings(
    build: Build, truth: Truth, on: date, rng: random.Random
) -> tuple[ReadingRecord, ...]:
    """Levels and seconds of a drawdown, amps beside it. The pump has worn since it was new."""
    strength = build.strength - build.weakens_per_a * years(build, on)
    high_m, low_m = _to_eighth(build.on_m), _to_eighth(build.off_m)
    seconds = truth.area_m2 * (high_m - low_m) / (truth.duty_m3s * strength)
    amps = {"third": 5.2, "half": 7.6, "quarter": 4.1, "pedestal": 5.6}[build.pump]
    return (
        ReadingRecord("arrival_level_m", _to_eighth(rng.uniform(0, build.off_m))),
        ReadingRecord("pump_down_from_m", high_m),
        ReadingRecord("pump_down_to_m", low_m),
        ReadingRecord("pump_down_s", round(seconds * rng.gauss(1, 0.015), 1)),
        ReadingRecord("current_a", round(amps * rng.gauss(1, 0.03) * (2 - strength) ** 0.5, 1)),
        ReadingRecord("voltage_v", round(rng.gauss(119, 1.5))),
    )


def drain_readings(
    build: Build, truth: Truth, on: date, rng: random.Random
) -> tuple[ReadingRecord, ...]:
    """Two levels an hour apart and the water's temperature. The pit has clogged since."""
    warm_c = WATER_C[on.month - 1] + rng.uniform(-1, 1)
    grown = 2.718281828 ** (build.clogs_per_a * years(build, on))
    rate_ms = truth.rate_ms / grown * reduce_time_to_20c(1.0, warm_c)
    from_m = _to_eighth(truth.full_m * 0.92)
    seconds = TEST_S if truth.full_m > 0.9 else TEST_S / 2
    to_m = find_level_after(seconds, from_m, rate_ms, truth.pit) + rng.gauss(0, 0.0008)
    return (
        ReadingRecord("drain_from_m", from_m),
        ReadingRecord("drain_to_m", round(min(to_m, from_m - 0.004), 3)),
        ReadingRecord("drain_s", seconds),
        ReadingRecord("water_temperature_c", round(warm_c, 1)),
    )


def silt_m(build: Build, since: date, on: date, rng: random.Random) -> float:
    """Silt since the sump was last cleaned."""
    depth_m = build.silts_m_per_a * (on - since).days / YEAR_DAYS + rng.gauss(0, 0.002)
    return _to_eighth(max(0.0, depth_m))


def rise_m(build: Build, truth: Truth, rng: random.Random) -> float:
    """Rise in two minutes after the stop: the share of the riser's water that comes back."""
    share = max(0.0, rng.gauss(build.leaks_back, 0.01))
    return round(share * truth.line_m3 / truth.area_m2, 4)


def years(build: Build, on: date) -> float:
    """Since it went into the ground."""
    return max(0.0, (on - build.installed_on).days / YEAR_DAYS)


def _to_eighth(metres: float) -> float:
    """As read on a rule."""
    return round(metres / EIGHTH_M) * EIGHTH_M
