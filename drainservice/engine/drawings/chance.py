"""The chance that the pump is dead, growing day by day and dropping at each test."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from drainservice.engine.drawings.axes import (
    Frame,
    NothingToDraw,
    draw_dates,
    draw_key,
    draw_levels,
    refuse_gaps,
    round_ticks,
    span_days,
    write_lead,
)
from drainservice.engine.drawings.dates import say_date
from drainservice.engine.drawings.sheet import Sheet, Width, line, path_through, trace
from drainservice.engine.drawings.tokens import paint


class ValuesDoNotMatch(ValueError):
    """Times and values must come in pairs."""


@dataclass(frozen=True, slots=True)
class PumpTest:
    """A test on a day and the chance just before and just after it, each 0 to 1."""

    tested_on: date
    before: float
    after: float


def draw_chance(
    times: Sequence[date],
    values: Sequence[float],
    tests: Sequence[PumpTest],
    target: float,
    width: Width,
    prefix: str,
) -> str:
    """Of 100 such pumps, how many are dead, over time; tests drop it; the target is a line.

    `values` are chances, 0 to 1, at `times` in order. The first day at or above the target after
    the last test is named in words.
    Raises NothingToDraw, NotANumber, ValuesDoNotMatch, PrefixIsNoName.
    """
    if len(times) != len(values):
        raise ValuesDoNotMatch(f"{len(times)} times but {len(values)} values were given.")
    if not times:
        raise NothingToDraw("There is no chance to draw yet; give at least one day.")
    first, last = span_days(times)
    sheet = Sheet(prefix, width)
    words = _say(times, values, tests, target)
    top = write_lead(sheet, words) + 12
    heights = [*values, target, *(side for test in tests for side in (test.before, test.after))]
    refuse_gaps(heights)
    highest = max(max(heights), 0.01)
    right = sheet.wide_px - (24 if width == Width.WIDE else 12)
    bottom = top + (220 if width == Width.WIDE else 180)
    frame = Frame(60, top, right, bottom, first.toordinal(), last.toordinal(), highest * 1.15)
    ticks = [tick / 100 for tick in round_ticks(highest * 115, 6)]
    draw_levels(sheet, frame, ticks, lambda chance: f"{round(chance * 100, 6):g}")
    draw_dates(sheet, frame, first, last)
    _draw_rise(sheet, frame, times, values, tests)
    sheet.add(line(frame.left, frame.y(target), frame.right, frame.y(target), "ink", 2.5))
    entries = [
        (line(-15, 0, 15, 0, "deep", 2.2), "of 100 such pumps, how many are dead"),
        (line(-15, 0, 15, 0, "ink", 2.5), f"target, {_of_hundred(target)}"),
        (trace("M0 -9V5m-5 -5l5 6l5 -6", "ink", 1.8), "a test, and the drop after it"),
    ]
    lowest = draw_key(sheet, bottom + 36, entries)
    return sheet.draw(lowest + 4, "Chance of a dead pump, and its tests", words)


def _of_hundred(chance: float) -> str:
    return f"{round(chance * 100, 1):g} of 100"


def _say(
    times: Sequence[date], values: Sequence[float], tests: Sequence[PumpTest], target: float
) -> str:
    since = max((test.tested_on for test in tests), default=min(times))
    reached = [
        day for day, value in zip(times, values, strict=True) if day > since and value >= target
    ]
    words = f"Of 100 such pumps, {_of_hundred(target)[: -len(' of 100')]} may be dead"
    if reached:
        return f"{words}; that is reached on {say_date(min(reached))} without a test."
    return f"{words}; that is not reached before {say_date(max(times))}."


def _draw_rise(
    sheet: Sheet,
    frame: Frame,
    times: Sequence[date],
    values: Sequence[float],
    tests: Sequence[PumpTest],
) -> None:
    """The curve in time order; a test's two values fall on the same day, before first."""
    rows = [(day.toordinal(), 0, value) for day, value in zip(times, values, strict=True)]
    tested = {test.tested_on.toordinal() for test in tests}
    rows = [row for row in rows if row[0] not in tested]
    rows += [(test.tested_on.toordinal(), 1, test.before) for test in tests]
    rows += [(test.tested_on.toordinal(), 2, test.after) for test in tests]
    places = [frame.at(day, value) for day, _, value in sorted(rows)]
    if len(places) > 1:
        foot = f"L{places[-1][0]:.1f} {frame.bottom:g}L{places[0][0]:.1f} {frame.bottom:g}Z"
        sheet.add(f'<path d="{path_through(places)}{foot}" {paint("pale")}/>')
        sheet.add(trace(path_through(places), "deep", 2.2))
    for test in tests:
        x, low = frame.at(test.tested_on.toordinal(), test.after)
        high = min(frame.y(test.before) - 8, low - 14)
        arrow = f"M{x:.1f} {high:.1f}V{low - 3:.1f}m-5 -6l5 6l5 -6"
        sheet.add(trace(arrow, "ink", 1.8))
