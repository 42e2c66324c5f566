"""Flow against duty: pump curve, line curve, where they meet, and the flow that was tested."""

from collections.abc import Sequence
from dataclasses import dataclass

from drainservice.engine.drawings.axes import (
    Frame,
    NothingToDraw,
    draw_key,
    draw_levels,
    refuse_gaps,
    round_ticks,
    write_lead,
)
from drainservice.engine.drawings.sheet import (
    Sheet,
    Width,
    letter,
    line,
    path_through,
    ring,
    trace,
)
from drainservice.engine.units import UnitSystem, number, show, si, unit_name


@dataclass(frozen=True, slots=True)
class FlowHead:
    """A point of a curve."""

    flow_m3s: float
    head_m: float


@dataclass(frozen=True, slots=True)
class FlowAsTested:
    """The flow found by the pump-down test, the head it was lifted to, and its uncertainty."""

    flow_m3s: float
    low_m3s: float
    high_m3s: float
    head_m: float


def draw_drawdown(
    pump_curve: Sequence[FlowHead],
    line_curve: Sequence[FlowHead],
    duty: FlowHead,
    test: FlowAsTested | None,
    system: UnitSystem,
    width: Width,
    prefix: str,
    verdict: str = "",
) -> str:
    """Head over flow: both curves, their meeting point, and the test with its bar.

    `verdict` is the sentence above the graph; without one the numbers speak.
    Raises NothingToDraw, NotANumber, PrefixIsNoName.
    """
    if len(pump_curve) < 2:
        raise NothingToDraw("The pump has no curve yet; enter at least two of its points.")
    sheet = Sheet(prefix, width)
    words = verdict or _say(duty, test, system)
    top = write_lead(sheet, words) + 26
    points = [*pump_curve, *line_curve, duty]
    refuse_gaps(edge for point in points for edge in (point.flow_m3s, point.head_m))
    if test:
        refuse_gaps([test.flow_m3s, test.low_m3s, test.high_m3s, test.head_m])
    flow_to = max([point.flow_m3s for point in points] + ([test.high_m3s] if test else [])) * 1.05
    head_to = max(*(point.head_m for point in pump_curve), duty.head_m) * 1.12
    if flow_to <= 0 or head_to <= 0:
        raise NothingToDraw("The pump's curve has no flow or no head; enter its points again.")
    right = sheet.wide_px - (24 if width == Width.WIDE else 16)
    bottom = top + (280 if width == Width.WIDE else 210)
    frame = Frame(60, top, right, bottom, 0.0, flow_to, head_to)
    _draw_scales(sheet, frame, system)
    for curve, dash in ((pump_curve, ""), (line_curve, "8 4")):
        inside = [point for point in curve if point.head_m <= head_to]
        if len(inside) > 1:
            places = [frame.at(point.flow_m3s, point.head_m) for point in inside]
            sheet.add(trace(path_through(places), "deep" if not dash else "ink", 2.4, dash))
    sheet.add(ring(*frame.at(duty.flow_m3s, duty.head_m), 6, "paper", "ink", 2.4))
    _draw_test(sheet, frame, test)
    lowest = draw_key(sheet, bottom + 50, _key(duty, test, system))
    return sheet.draw(lowest + 4, "Flow against duty", _say(duty, test, system))


def _say(duty: FlowHead, test: FlowAsTested | None, system: UnitSystem) -> str:
    should = show(duty.flow_m3s, "flow", system)
    if test is None:
        return f"This pump should give {should} here; it has not been tested yet."
    return (
        f"Tested {show(test.flow_m3s, 'flow', system)}, "
        f"{number(test.low_m3s, 'flow', system):.0f} to "
        f"{number(test.high_m3s, 'flow', system):.0f}; this pump should give {should} here."
    )


def _draw_scales(sheet: Sheet, frame: Frame, system: UnitSystem) -> None:
    heads = round_ticks(number(frame.y_to, "head", system), 5)
    draw_levels(sheet, frame, [si(tick, "head", system) for tick in heads],
                lambda head_m: f"{round(number(head_m, 'head', system), 6):g}")  # fmt: skip
    sheet.add(letter(8, frame.top - 10, f"head, {unit_name('head', system)}", "soft", 13))
    count = 8 if sheet.width == Width.WIDE else 4
    for tick in round_ticks(number(frame.x_to, "flow", system), count):
        x = frame.x(si(tick, "flow", system))
        sheet.add(line(x, frame.bottom, x, frame.bottom + 5, "rule"))
        sheet.add(letter(x, frame.bottom + 20, f"{tick:g}", "soft", 13, anchor="middle"))
    words = f"flow, {unit_name('flow', system)}"
    sheet.add(letter(frame.right, frame.bottom + 38, words, "soft", 13, anchor="end"))


def _draw_test(sheet: Sheet, frame: Frame, test: FlowAsTested | None) -> None:
    if test is None:
        return
    y = frame.y(test.head_m)
    low, high = frame.x(max(test.low_m3s, 0)), frame.x(test.high_m3s)
    sheet.add(trace(f"M{low:.1f} {y - 7:.1f}v14m0 -7H{high:.1f}m0 -7v14", "ink", 2))
    x = frame.x(test.flow_m3s)
    sheet.add(f'<path d="M{x:.1f} {y - 7:.1f}l7 7l-7 7l-7 -7Z" class="f-ink" fill="#17232b"/>')


def _key(duty: FlowHead, test: FlowAsTested | None, system: UnitSystem) -> list[tuple[str, str]]:
    should = f"{show(duty.flow_m3s, 'flow', system)} at {show(duty.head_m, 'head', system)}"
    entries = [
        (line(-15, 0, 15, 0, "deep", 2.4), "what the pump can do when new"),
        (trace("M-15 0H15", "ink", 2.4, "8 4"), "what lift and line ask for"),
        (ring(0, 0, 6, "paper", "ink", 2.4), f"duty point, {should}"),
    ]
    if test:
        mark = trace("M-15 -6v12m0 -6H15m0 -6v12", "ink", 2)
        diamond = '<path d="M0 -7l7 7l-7 7l-7 -7Z" class="f-ink" fill="#17232b"/>'
        entries.append((mark + diamond, f"tested, {show(test.flow_m3s, 'flow', system)}, "
                                        "with its uncertainty"))  # fmt: skip
    return entries
