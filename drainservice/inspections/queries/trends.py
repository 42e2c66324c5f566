"""Drain times and silt of one system as trends towards their limits."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from drainservice.engine.fouling.bayesian_line import Line
from drainservice.engine.fouling.drain_prior import Answer, Build, find_drain_prior
from drainservice.engine.fouling.drain_trend import DrainLimit, DrainReading, find_drain_trend
from drainservice.engine.fouling.next_look import CrossingTimes, count_years, find_crossing_dates
from drainservice.engine.fouling.sediment import (
    Feeds,
    SedimentReading,
    Sump,
    SumpWithPump,
    find_sediment_limit,
    find_sediment_prior,
    find_sediment_trend,
)
from drainservice.engine.interval.facts import LookKind, Trend
from drainservice.engine.soakage.drain_time import UNSTATED
from drainservice.engine.soakage.viscosity import reduce_time_to_20c
from drainservice.engine.units import INCH_M
from drainservice.inspections.models import Reading
from drainservice.inspections.queries.parts import limit_of
from drainservice.inspections.queries.sums import soakage
from drainservice.register.queries import Whole

CENTURY = date(2199, 1, 1)
# A fall of more than this between two readings means that the sump was cleaned; judgement.
CLEANED_M = 1.0 * INCH_M


@dataclass(frozen=True, slots=True)
class Course:
    """One trend as it is drawn: readings by day, limit, line, and when it crosses."""

    kind: LookKind
    starts_on: date
    days: tuple[date, ...]
    values: tuple[float, ...]
    limit: float
    limit_source: str
    line: Line
    crossing: CrossingTimes

    def as_trend(self) -> Trend:
        """The engine's summary of it."""
        dates = find_crossing_dates(self.starts_on, self.crossing)
        return Trend(
            kind=self.kind,
            last_reading_on=self.days[-1],
            t10_on=dates.t10_on or CENTURY,
            t50_on=dates.t50_on or CENTURY,
            t90_on=dates.t90_on or CENTURY,
            readings=len(self.days),
            limit_source=self.limit_source,
        )


def trends_of(whole: Whole, readings: list[Reading], since: date, today: date) -> tuple[Trend, ...]:
    """Trends of drain time and silt, where there is a reading."""
    return tuple(c.as_trend() for c in courses_of(whole, readings, since, today))


def courses_of(whole: Whole, readings: list[Reading], since: date, today: date) -> list[Course]:
    """Both courses, those that can be counted."""
    made = [
        _drain_course(whole, readings, since, today),
        _silt_course(whole, readings, since, today),
    ]
    return [course for course in made if course is not None]


def _drain_course(whole: Whole, readings: list[Reading], since: date, today: date) -> Course | None:
    found = _drain_readings(whole, readings, since, today)
    if not found:
        return None
    # Two ways of counting are never mixed: the latest reading's way is followed back.
    counts = found[-1][1].counts
    kept = [(day, reading) for day, reading in found if reading.counts == counts]
    limit = limit_of(whole)
    prior = find_drain_prior(kept[0][1].drain_time_s, _build(whole))
    trend = find_drain_trend([r for _, r in kept], prior, DrainLimit(limit.limit_s, counts))
    return Course(
        kind=LookKind.PERCOLATION,
        starts_on=since,
        days=tuple(day for day, _ in kept),
        values=tuple(r.drain_time_s for _, r in kept),
        limit=limit.limit_s,
        limit_source=limit.source,
        line=trend.line,
        crossing=trend.crossing,
    )


def _drain_readings(
    whole: Whole, readings: list[Reading], since: date, today: date
) -> list[tuple[date, DrainReading]]:
    """Drain times counted as the limit counts, in water as cold as when it was last read.

    The verdict takes the latest time as it was; so the trend's last point is that very time, and
    the two are held against one limit.
    """
    tests = _drain_tests(readings, since, today)
    warmths = [v["water_temperature_c"] for _, v in tests if "water_temperature_c" in v]
    latest_c = warmths[-1] if warmths else None
    made: dict[date, DrainReading] = {}
    for day, values in tests:
        one = soakage(whole, values)
        # A limit at a level above the full pit is met at once: there is no time to follow.
        if one is None or one.missing or one.outputs["judged_s"] <= 0:
            continue
        warm_c = values.get("water_temperature_c")
        is_told = "drain_s" not in one.outputs
        made[day] = DrainReading(
            years=count_years(since, day),
            drain_time_s=_in_water_of(latest_c, one.outputs["judged_s"], warm_c),
            # Of one warmth with the others, be it 20 C or not: it scatters as little.
            is_at_20c=warm_c is not None,
            counts=UNSTATED.code if is_told else limit_of(whole).definition.code,
        )
    return sorted(made.items())


def _drain_tests(
    readings: list[Reading], since: date, today: date
) -> list[tuple[date, dict[str, float]]]:
    """The readings of each drain test, in order of the day."""
    by_look: dict[tuple[date, int], dict[str, float]] = {}
    for reading in readings:
        look, day = reading.look, reading.look.inspection.on
        if look.kind == "percolation" and look.outcome != "not_done" and since <= day <= today:
            by_look.setdefault((day, look.pk), {})[reading.kind] = reading.value
    return [(day, values) for (day, _), values in sorted(by_look.items())]


def _in_water_of(latest_c: float | None, time_s: float, warm_c: float | None) -> float:
    if warm_c is None or latest_c is None:
        return time_s
    return reduce_time_to_20c(time_s, warm_c) / reduce_time_to_20c(1.0, latest_c)


def _silt_course(whole: Whole, readings: list[Reading], since: date, today: date) -> Course | None:
    by_day = {
        r.look.inspection.on: r.value
        for r in readings
        if r.kind == "sediment_m" and since <= r.look.inspection.on <= today
    }
    limit = _silt_limit(whole)
    if not by_day or limit is None or limit[0] <= 0:
        return None
    start, kept = since, sorted(by_day.items())
    for index in range(len(kept) - 1, 0, -1):
        if kept[index][1] < kept[index - 1][1] - CLEANED_M:
            start, kept = kept[index][0], kept[index:]
            break
    loose = whole.pump.base if whole.pump else ""
    on_stone = Answer.UNKNOWN if not loose else Answer.YES if loose == "loose_stone" else Answer.NO
    prior = find_sediment_prior(Feeds.UNKNOWN, on_stone)
    trend = find_sediment_trend(
        [SedimentReading(count_years(start, day), value) for day, value in kept], prior, limit[0]
    )
    return Course(
        kind=LookKind.SEDIMENT,
        starts_on=start,
        days=tuple(day for day, _ in kept),
        values=tuple(value for _, value in kept),
        limit=limit[0],
        limit_source=limit[1],
        line=trend.line,
        crossing=trend.crossing,
    )


def _silt_limit(whole: Whole) -> tuple[float, str] | None:
    pit = whole.pit
    if pit is None or pit.sump_depth_m is None:
        return None
    intake = whole.pump.intake_level_m if whole.pump else None
    sump = Sump(pit.sump_depth_m) if intake is None else SumpWithPump(pit.sump_depth_m, intake)
    limit = find_sediment_limit(sump)
    return limit.depth_m, str(limit.limit_by)


def _build(whole: Whole) -> Build:
    pit = whole.pit
    fabric, stone = (pit.fabric, pit.stone) if pit else ("", "")
    trees = [s for s in whole.site.surroundings.all() if s.kind == "tree"]
    traps = [d.has_leaf_trap for d in whole.downspouts if d.has_leaf_trap is not None]
    return Build(
        has_landscaping_fabric=_answer(fabric, {"landscape"}),
        has_small_or_graded_stone=_answer(stone, {"small", "graded"}),
        is_near_trees=Answer.YES if trees else Answer.UNKNOWN,
        lacks_leaf_trap=_leaf_trap(traps),
    )


def _answer(word: str, bad: set[str]) -> Answer:
    if not word:
        return Answer.UNKNOWN
    return Answer.YES if word in bad else Answer.NO


def _leaf_trap(traps: list[Any]) -> Answer:
    if not traps:
        return Answer.UNKNOWN
    return Answer.NO if all(traps) else Answer.YES
