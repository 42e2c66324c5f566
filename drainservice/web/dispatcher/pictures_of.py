"""A system's drawings: its section, its history as a bore log, its trends, its last pump test."""

import math
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from drainservice.engine.drawings.axes import NothingToDraw
from drainservice.engine.drawings.bore_log import Heard, LogEntry, draw_bore_log
from drainservice.engine.drawings.drawdown import FlowAsTested, FlowHead, draw_drawdown
from drainservice.engine.drawings.pit_facts import PitCannotBeDrawn
from drainservice.engine.drawings.section import draw_section
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.drawings.trend import BandPoint, Crossing, TrendReading, draw_trend
from drainservice.engine.fouling.next_look import count_years, find_crossing_dates
from drainservice.engine.hydraulics.line import line_loss
from drainservice.engine.hydraulics.shared_main import SharedMain, state_at_joint
from drainservice.engine.hydraulics.system_duty import DutyInput
from drainservice.engine.interval.plain import StoredFormUnreadable
from drainservice.engine.units import UnitSystem
from drainservice.inspections import queries as inspections
from drainservice.inspections.models import Defect
from drainservice.inspections.queries.trends import Course
from drainservice.register.models import System
from drainservice.register.queries import Whole
from drainservice.web.dispatcher.drawing import Drawing, both_ways
from drainservice.web.pictures import pit_facts_of

NAMES = {"percolation": ("drain time", "time"), "sediment": ("silt", "small_length")}
# Of a normal distribution, 8 in 10 lie within so many standard deviations.
Z80 = 1.2816
BAND_POINTS = 24
CURVE_POINTS = 24
MOST_ENTRIES = 30


def section(whole: Whole, defects: Iterable[Defect], units: UnitSystem) -> dict[str, Any]:
    """The section to scale and its call-outs, or the sentence why it cannot be drawn."""
    facts = pit_facts_of(whole, defects=defects)
    try:
        drawn = {width: draw_section(facts, width, units, f"section-{width}") for width in Width}
    except PitCannotBeDrawn as refusal:
        return {"section_trouble": str(refusal)}
    drawing = both_ways(lambda width, _: drawn[width].svg, "section")
    return {"section": drawing, "call_outs": drawn[Width.PHONE].call_outs}


def years(system: System, today: date, units: UnitSystem) -> dict[str, Any]:
    """What the years have brought: the log, the trends, the last test of the pump."""
    return {
        "log": _log(system),
        "trends": [
            _trend(course, today, units) for course in inspections.courses_for(system, today=today)
        ],
        "pump_test": _pump_test(system, units),
    }


def _log(system: System) -> Drawing | None:
    entries = [
        LogEntry(entry.on, Heard(entry.sort), entry.words, is_wrong="found dead" in entry.words)
        for entry in inspections.history_of(system)[:MOST_ENTRIES]
    ]
    if not entries:
        return None
    return both_ways(
        lambda width, prefix: draw_bore_log(entries, width, prefix, system.place), "log"
    )


def _trend(course: Course, today: date, units: UnitSystem) -> Drawing:
    name, quantity = NAMES[str(course.kind)]
    readings = [
        TrendReading(day, value) for day, value in zip(course.days, course.values, strict=True)
    ]
    crossing = _crossing(course)
    band = _band(course, today, crossing)
    return both_ways(
        lambda width, prefix: draw_trend(
            readings, course.limit, band, crossing, name, quantity, units, width, prefix
        ),
        f"trend-{course.kind}",
    )


def _crossing(course: Course) -> Crossing | None:
    dates = find_crossing_dates(course.starts_on, course.crossing)
    if dates.t10_on is None or dates.t50_on is None or dates.t90_on is None:
        return None
    return Crossing(dates.t50_on, dates.t10_on, dates.t90_on)


def _band(course: Course, today: date, crossing: Crossing | None) -> list[BandPoint]:
    """From the last reading two years on, or to the likely crossing if that is nearer than ten."""
    first = course.days[-1]
    last = max(today, first) + timedelta(days=730)
    if crossing is not None and crossing.likely_on < first + timedelta(days=3653):
        last = max(last, crossing.likely_on)
    step = (last - first) / BAND_POINTS
    return [_point(course, first + step * n) for n in range(BAND_POINTS + 1)]


def _point(course: Course, day: date) -> BandPoint:
    at = count_years(course.starts_on, day)
    middle, spread = course.line.find_value(at), Z80 * course.line.find_sd(at)
    low, high = middle - spread, middle + spread
    if str(course.kind) == "percolation":
        # The line of drain times runs through their logarithms.
        low, middle, high = math.exp(low), math.exp(middle), math.exp(high)
    return BandPoint(day, low, middle, high)


def _pump_test(system: System, units: UnitSystem) -> Drawing | None:
    """The last flow test against pump curve and line, drawn from its stored inputs."""
    result = inspections.last_result(system, "flow_against_duty")
    if result is None:
        return None
    try:
        kept = inspections.read_kept(result)
    except StoredFormUnreadable:
        return None
    given, out = kept.inputs.system, result.outputs
    duty = FlowHead(out["duty_m3s"], out["duty_head_m"])
    spread = 2 * out["flow_sd_m3s"]
    tested = out["flow_m3s"]
    test = FlowAsTested(tested, max(tested - spread, 0.0), tested + spread, duty.head_m)
    most = 1.3 * max(duty.flow_m3s, tested)
    flows = [most * n / CURVE_POINTS for n in range(CURVE_POINTS + 1)]
    pump = [FlowHead(flow, given.pumps[0].head_at(flow)) for flow in flows]
    line = [FlowHead(flow, _head_asked(given, flow)) for flow in flows]
    try:
        return both_ways(
            lambda width, prefix: draw_drawdown(
                [p for p in pump if p.head_m >= 0],
                line,
                duty,
                test,
                units,
                width,
                prefix,
                result.get_verdict_display(),
            ),
            "test",
        )
    except NothingToDraw:
        return None


def _head_asked(given: DutyInput, flow_m3s: float) -> float:
    """What lift and line ask for at mid band: the line's end, or the water in a full main."""
    middle_m = (given.on_above_floor_m + given.off_above_floor_m) / 2
    end_m, entry_m = given.outlet_above_floor_m, 0.0
    if isinstance(given.joint, SharedMain):
        joint = state_at_joint(given.joint, flow_m3s, given.sections[-1].inside_diameter_m)
        end_m, entry_m = max(end_m, joint.level_above_floor_m), joint.entry_loss_m
    highest_m = max(end_m, given.high_point_above_floor_m)
    return highest_m - middle_m + line_loss(given.sections, flow_m3s) + entry_m
