"""How often a year a system needs its pump, and how often a dead one does harm, by month."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from drainservice.engine.rainfall.filling import begin_filling
from drainservice.engine.rainfall.pit import Pit, PitImpossible
from drainservice.engine.units import DAY_S, HOUR_S, YEAR_DAYS

# A day's rain falls within four to six hours: judgement, no source.
BLOCK_S = 5 * HOUR_S
MONTH_DAYS = (31.0, YEAR_DAYS - 337.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0)
FEWEST_DAYS = 365
ENOUGH_YEARS = 10.0


class TooFewRainDays(ValueError):
    """A record of rain that does not cover every month of the year."""


@dataclass(frozen=True, slots=True)
class DemandRate:
    """Storms a year that pass a level of one pit.

    storms_per_year: storms, each a run of consecutive days that pass. days_per_year: the days.
    month_weights: twelve shares that sum to one (all zero when no storm passed).
    is_short: fewer than ten years of record.
    """

    storms_per_year: float
    days_per_year: float
    month_weights: tuple[float, ...]
    storms: tuple[date, ...]
    years: float
    is_short: bool

    @property
    def per_month(self) -> tuple[float, ...]:
        """Storms expected in each calendar month, January first."""
        return tuple(self.storms_per_year * weight for weight in self.month_weights)


def demand_on_pump(
    pit: Pit,
    roof_area_m2: float,
    coefficient: float,
    rain: Sequence[tuple[date, float]],
    level_m: float,
    rest_level_m: float = 0.0,
    block_s: float = BLOCK_S,
) -> DemandRate:
    """Storms a year whose water, with the pump off, reaches a level of the pit.

    rain: (day, depth in m) for every day with a usable record, wet or dry, in order.
    level_m: the on level for the demand on the pump, the harm level for the storms that do
    harm if it is dead. Each day's rain falls as one block of block_s and what is left soaks
    away until the next. After a storm that passed, the pit stands at rest_level_m (the off
    level) again: a live pump has emptied it, or the flood has shown the dead one.
    Days without a record count neither as dry nor as wet. Snow is taken as rain of its day.
    Source: the day's block is judgement, the pit continuity. Raises TooFewRainDays,
    PitImpossible.
    """
    if not 0.0 <= rest_level_m < level_m <= pit.depth_m or not 0.0 < block_s <= DAY_S:
        raise PitImpossible(
            "The level to reach lies above the rest level and not above the rim,"
            " and a day's rain falls within the day."
        )
    if not (roof_area_m2 > 0.0 and 0.0 < coefficient <= 1.0):
        raise PitImpossible("Give a roof area above zero and a runoff coefficient within 0 to 1.")
    filling = begin_filling(pit)
    flow_per_m = coefficient * roof_area_m2 / block_s
    passed: list[date] = []
    dry_since_s = 0.0
    for day, depth_m in rain:
        if depth_m <= 0.0:
            continue
        begins_s = day.toordinal() * DAY_S
        if filling.level_m > 0.0:
            filling.run_on(0.0, begins_s - dry_since_s)
        filling.run_on(depth_m * flow_per_m, block_s)
        dry_since_s = begins_s + block_s
        if filling.level_m >= level_m:
            passed.append(day)
            filling.level_m = rest_level_m
    return _rate_of(passed, [day for day, _ in rain])


def demand_and_harm(
    pit: Pit,
    roof_area_m2: float,
    coefficient: float,
    rain: Sequence[tuple[date, float]],
    on_level_m: float,
    harm_level_m: float,
    off_level_m: float = 0.0,
) -> tuple[DemandRate, DemandRate]:
    """Storms that need the pump (on level), and those that do harm if it is dead (harm level).

    As demand_on_pump, once for each level. Raises TooFewRainDays, PitImpossible.
    """
    run = pit, roof_area_m2, coefficient, rain
    return (
        demand_on_pump(*run, on_level_m, off_level_m),
        demand_on_pump(*run, harm_level_m, off_level_m),
    )


def demand_by_critical_rain(
    rain: Sequence[tuple[date, float]], critical_rain_m: float
) -> DemandRate:
    """The same by days with more rain than P_crit, where the pit cannot be run through.

    Strictly more. Raises TooFewRainDays.
    """
    passed = [day for day, depth_m in rain if depth_m - critical_rain_m > 1e-9]
    return _rate_of(passed, [day for day, _ in rain])


def _rate_of(passed: Sequence[date], usable: Sequence[date]) -> DemandRate:
    """Rates by month, each over the days of that month that were on record."""
    exposed = _count_months(usable)
    if len(usable) < FEWEST_DAYS or min(exposed) == 0:
        raise TooFewRainDays(
            f"{len(usable)} usable days do not cover every month of a year."
            " Take a gauge with at least a full year; ten years are wanted."
        )
    seen = {day.toordinal() for day in passed}
    storms = tuple(day for day in passed if day.toordinal() - 1 not in seen)
    per_month = _per_month(_count_months(storms), exposed)
    total = sum(per_month)
    days = sum(_per_month(_count_months(passed), exposed))
    years = len(usable) / YEAR_DAYS
    weights = tuple(share / total if total else 0.0 for share in per_month)
    return DemandRate(total, days, weights, storms, years, years < ENOUGH_YEARS)


def _per_month(counts: Sequence[int], exposed: Sequence[int]) -> list[float]:
    return [c / e * full for c, e, full in zip(counts, exposed, MONTH_DAYS, strict=True)]


def _count_months(days: Sequence[date]) -> list[int]:
    counts = [0] * 12
    for day in days:
        counts[day.month - 1] += 1
    return counts
