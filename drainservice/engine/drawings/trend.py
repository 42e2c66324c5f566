"""A trend: readings over the years against their limit, with the predicted band and its date."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from drainservice.engine.drawings.axes import (
    Frame,
    draw_dates,
    draw_key,
    draw_levels,
    refuse_gaps,
    round_ticks,
    span_days,
    write_lead,
)
from drainservice.engine.drawings.dates import say_date
from drainservice.engine.drawings.lettering import measure
from drainservice.engine.drawings.sheet import (
    Sheet,
    Width,
    line,
    path_through,
    ring,
    trace,
)
from drainservice.engine.drawings.tokens import paint
from drainservice.engine.units import DAY_S, HOUR_S, MINUTE_S, UnitSystem, show, si, unit_name


@dataclass(frozen=True, slots=True)
class TrendReading:
    """One reading, SI."""

    read_on: date
    value: float


@dataclass(frozen=True, slots=True)
class BandPoint:
    """What is predicted for one day: low, middle, high, SI."""

    on: date
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the limit is reached: the likely day and the days it lies between."""

    likely_on: date
    early_on: date
    late_on: date


def draw_trend(
    readings: Sequence[TrendReading],
    limit: float,
    band: Sequence[BandPoint],
    crossing: Crossing | None,
    name: str,
    quantity: str,
    system: UnitSystem,
    width: Width,
    prefix: str,
) -> str:
    """Readings as dots, the limit as a line, the prediction as a band, the date in words.

    `name` is what is read ("drain time"), `quantity` its name in engine.units ("time",
    "small_length"); values and limit in SI. Raises NothingToDraw, NotANumber, PrefixIsNoName.
    """
    days = [reading.read_on for reading in readings] + [point.on for point in band]
    if crossing:
        days.append(crossing.likely_on + timedelta(days=60))
    first, last = span_days(days)
    sheet = Sheet(prefix, width)
    words = _say_crossing(name, limit, crossing, quantity, system)
    top = write_lead(sheet, words) + 12
    values = [reading.value for reading in readings] + [limit] + [point.middle for point in band]
    refuse_gaps([*values, *(edge for point in band for edge in (point.low, point.high))])
    highest = max(values) if max(values) > 0 else 1.0
    unit = _choose_unit(highest, quantity, system)
    ticks = round_ticks(highest / unit.size, 4)
    gutter = max(measure(unit.say(tick), 13) for tick in ticks) + 18
    right = sheet.wide_px - (24 if width == Width.WIDE else 12)
    bottom = top + (230 if width == Width.WIDE else 190)
    frame = Frame(gutter, top, right, bottom, first.toordinal(), last.toordinal(), highest * 1.12)
    draw_levels(sheet, frame, [tick * unit.size for tick in ticks], unit.say_si)
    draw_dates(sheet, frame, first, last)
    _draw_band(sheet, frame, band)
    sheet.add(line(frame.left, frame.y(limit), frame.right, frame.y(limit), "ink", 2.5))
    _draw_readings(sheet, frame, readings)
    _draw_crossing(sheet, frame, limit, crossing)
    lowest = draw_key(sheet, bottom + 36, _key(name, limit, band, crossing, quantity, system))
    return sheet.draw(lowest + 4, f"{name.capitalize()} against its limit", _describe(
        words, readings, quantity, system))  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Unit:
    """What the scale at the left counts in."""

    name: str
    size: float

    def say(self, count: float) -> str:
        return f"{round(count, 6):g} {self.name}"

    def say_si(self, value: float) -> str:
        return self.say(value / self.size)


def _choose_unit(highest: float, quantity: str, system: UnitSystem) -> _Unit:
    """The reader's unit; for times the one in which the highest is two or more."""
    if quantity != "time":
        return _Unit(unit_name(quantity, system), si(1.0, quantity, system))
    for name, size_s in (("days", DAY_S * 2), ("h", HOUR_S), ("min", MINUTE_S)):
        if highest >= 2 * size_s:
            return _Unit(name, DAY_S if name == "days" else size_s)
    return _Unit("s", 1.0)


def _say_crossing(
    name: str, limit: float, crossing: Crossing | None, quantity: str, system: UnitSystem
) -> str:
    limit_words = show(limit, quantity, system)
    if crossing is None:
        return f"The {name} is not on its way to its limit of {limit_words}."
    return (
        f"The {name} reaches its limit of {limit_words} about {say_date(crossing.likely_on)}, "
        f"between {say_date(crossing.early_on)} and {say_date(crossing.late_on)}."
    )


def _describe(
    words: str, readings: Sequence[TrendReading], quantity: str, system: UnitSystem
) -> str:
    read = "; ".join(
        f"{say_date(reading.read_on)} {show(reading.value, quantity, system)}"
        for reading in readings
    )
    return f"{words} Read: {read or 'nothing yet'}."


def _draw_band(sheet: Sheet, frame: Frame, band: Sequence[BandPoint]) -> None:
    if not band:
        return
    clip = sheet.id("clip")
    sheet.define(
        f'<clipPath id="{clip}"><rect x="{frame.left:g}" y="{frame.top:g}" '
        f'width="{frame.right - frame.left:g}" height="{frame.bottom - frame.top:g}"/></clipPath>'
    )
    upper = [frame.at(point.on.toordinal(), point.high) for point in band]
    lower = [frame.at(point.on.toordinal(), max(point.low, 0)) for point in band]
    middle = [frame.at(point.on.toordinal(), point.middle) for point in band]
    sheet.add(
        f'<g clip-path="url(#{clip})">',
        f'<path d="{path_through(upper + lower[::-1])}Z" {paint("pale")}/>',
        trace(path_through(upper), "water", 1.2),
        trace(path_through(lower), "water", 1.2),
        trace(path_through(middle), "deep", 2, "7 4"),
        "</g>",
    )


def _draw_readings(sheet: Sheet, frame: Frame, readings: Sequence[TrendReading]) -> None:
    for reading in readings:
        sheet.add(ring(*frame.at(reading.read_on.toordinal(), reading.value), 5, "ink", "paper", 2))


def _draw_crossing(sheet: Sheet, frame: Frame, limit: float, crossing: Crossing | None) -> None:
    if crossing is None:
        return
    y = frame.y(limit)
    early, late = (
        min(max(frame.x(day.toordinal()), frame.left), frame.right)
        for day in (crossing.early_on, crossing.late_on)
    )
    x = frame.x(crossing.likely_on.toordinal())
    sheet.add(trace(f"M{early:.1f} {y - 6:.1f}v12m0 -6H{late:.1f}m0 -6v12", "clay", 5))
    sheet.add(trace(f"M{x:.1f} {y:.1f}V{frame.bottom:.1f}", "clay", 1.6, "3 3"))
    sheet.add(ring(x, y, 6, "paper", "clay", 2.5))


def _key(
    name: str,
    limit: float,
    band: Sequence[BandPoint],
    crossing: Crossing | None,
    quantity: str,
    system: UnitSystem,
) -> list[tuple[str, str]]:
    entries = [
        (ring(0, 0, 5, "ink", "paper", 2), f"{name} as read"),
        (line(-15, 0, 15, 0, "ink", 2.5), f"limit, {show(limit, quantity, system)}"),
    ]
    if band:
        shape = f'<rect x="-15" y="-7" width="30" height="14" {paint("pale", "water", 1.2)}/>'
        entries.append((shape + line(-15, 0, 15, 0, "deep", 2), "predicted, with its band"))
    if crossing:
        mark = line(-15, 0, 15, 0, "clay", 5) + ring(0, 0, 6, "paper", "clay", 2.5)
        entries.append((mark, f"limit reached about {say_date(crossing.likely_on)}"))
    return entries
