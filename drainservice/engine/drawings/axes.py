"""The plain frame of a graph: scales, ticks in round numbers or dates, a limit, a key below."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from drainservice.engine.drawings.dates import MONTHS
from drainservice.engine.drawings.lettering import measure, wrap
from drainservice.engine.drawings.sheet import Sheet, Width, letter, line
from drainservice.engine.drawings.spread import Point
from drainservice.engine.units import NotANumber


class NothingToDraw(ValueError):
    """A graph needs at least one value."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle on the sheet that stands for a range of values in each direction."""

    left: float
    top: float
    right: float
    bottom: float
    x_from: float
    x_to: float
    y_to: float

    def x(self, value: float) -> float:
        """Across the sheet."""
        share = (value - self.x_from) / (self.x_to - self.x_from)
        return self.left + share * (self.right - self.left)

    def y(self, value: float) -> float:
        """Up the sheet from zero."""
        return self.bottom - value / self.y_to * (self.bottom - self.top)

    def at(self, x: float, y: float) -> Point:
        """A point on the sheet."""
        return self.x(x), self.y(y)


def refuse_gaps(values: Iterable[float]) -> None:
    """Raise NotANumber where a value cannot be placed on the sheet."""
    if not all(math.isfinite(value) for value in values):
        raise NotANumber("A value is not a number, so it cannot be drawn; enter the reading again.")


def round_ticks(highest: float, about: int) -> list[float]:
    """0, step, 2 step ... up to the highest, where the step is 1, 2 or 5 times a power of ten."""
    if highest <= 0:
        return [0.0]
    rough = highest / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * part for part in (1, 2, 5, 10) if power * part >= rough * 0.999)
    return [step * i for i in range(int(highest / step + 1e-9) + 1)]


def date_ticks(first: date, last: date, room_px: float) -> list[tuple[date, str]]:
    """First days of months, quarters, half-years or years: the finest that fit in the room."""
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    steps = ((1, 86), (3, 86), (6, 86), (12, 46), (24, 46), (60, 46), (120, 46), (240, 46))
    step = next((m for m, px in steps if months / m * px <= room_px), 600)
    start = first.year * 12 + first.month - 1
    start += -start % step
    ticks = []
    for index in range(start, last.year * 12 + last.month, step):
        day = date(index // 12, index % 12 + 1, 1)
        if first <= day <= last:
            words = str(day.year) if step >= 12 else f"{MONTHS[day.month - 1]} {day.year}"
            ticks.append((day, words))
    return ticks


def draw_levels(
    sheet: Sheet, frame: Frame, ticks: Sequence[float], say: Callable[[float], str]
) -> None:
    """Thin lines across, each with its value at the left."""
    for tick in ticks:
        y = frame.y(tick)
        sheet.add(line(frame.left, y, frame.right, y, "rule", 1 if tick == 0 else 0.4))
        sheet.add(letter(frame.left - 8, y + 4.5, say(tick), "soft", 13, anchor="end"))


def draw_dates(sheet: Sheet, frame: Frame, first: date, last: date) -> None:
    """Dates along the foot, as many as fit without touching."""
    reach = frame.left - 30
    for day, words in date_ticks(first, last, frame.right - frame.left):
        x = frame.x(day.toordinal())
        half = measure(words, 13) / 2
        middle = min(max(x, half + 2), sheet.wide_px - half - 2)
        sheet.add(line(x, frame.bottom, x, frame.bottom + 5, "rule"))
        if middle - half > reach:
            sheet.add(letter(middle, frame.bottom + 20, words, "soft", 13, anchor="middle"))
            reach = middle + half + 6


def write_lead(sheet: Sheet, words: str, top: float = 4.0) -> float:
    """The sentence the graph is drawn for, above it; the lowest y used."""
    size = 16 if sheet.width == Width.WIDE else 15
    for row in wrap(words, size, sheet.wide_px - 20, 650):
        top += 21
        sheet.add(letter(8, top - 5, row, size=size, weight=650))
    return top


def draw_key(sheet: Sheet, top: float, entries: Sequence[tuple[str, str]]) -> float:
    """Samples with their words, one under the other on a phone, two beside each other on a desk;
    each sample is drawn about (0, 0), 30 px wide. The lowest y used."""
    columns = 2 if sheet.width == Width.WIDE else 1
    room = sheet.wide_px / columns
    y = top
    for start in range(0, len(entries), columns):
        rows = 1
        for column, (sample, words) in enumerate(entries[start : start + columns]):
            x = 8 + column * room
            sheet.add(f'<g transform="translate({x + 15:g} {y + 10:g})">{sample}</g>')
            lines = wrap(words, 14, room - 60)
            for row, part in enumerate(lines):
                sheet.add(letter(x + 40, y + 15 + 19 * row, part, size=14))
            rows = max(rows, len(lines))
        y += 19 * rows + 5
    return y


def span_days(days: Sequence[date], at_least: int = 60) -> tuple[date, date]:
    """First and last day, some way apart even for one day. Raises NothingToDraw."""
    if not days:
        raise NothingToDraw("There is no reading yet, so there is nothing to draw.")
    first, last = min(days), max(days)
    short_by = at_least - (last - first).days
    return first, last + timedelta(days=max(short_by, 0))
