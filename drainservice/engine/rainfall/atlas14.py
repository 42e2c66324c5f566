"""Reading NOAA Atlas 14 point precipitation frequency text, and asking it questions."""

import math
import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from drainservice.engine.units import DAY_S, HOUR_S, INCH_M, MINUTE_S

TITLE = re.compile(r"precipitation frequency estimates\s*\(([^)]+)\)", re.IGNORECASE)
TABLE = re.compile(r"^\s*precipitation frequency estimates(.*)$", re.IGNORECASE)
HEAD = re.compile(r"^\s*by duration for\b[^:]*:\s*,?(.*)$", re.IGNORECASE)
ROW = re.compile(r"^\s*(\d+)\s*-\s*(min|hr|day)\w*\s*:\s*,?(.*)$", re.IGNORECASE)
PLACE = re.compile(r"^\s*(latitude|longitude)\s*:\s*([-+]?\d+(?:\.\d+)?)", re.IGNORECASE)
SECONDS = {"min": MINUTE_S, "hr": HOUR_S, "day": DAY_S}
UNITS_M = {"inches": INCH_M, "inch": INCH_M, "in": INCH_M}
UNITS_M |= {"millimeters": 0.001, "millimetres": 0.001, "mm": 0.001}
ESTIMATE, UPPER, LOWER = "estimate", "upper", "lower"


class FrequencyFileUnreadable(ValueError):
    """The text is not an Atlas 14 table, or its heading does not say what it holds."""


class FrequencyTableDamaged(ValueError):
    """A table of the file is cut, misprinted or contradicts itself; the message names it."""


class OutsideFrequencyTable(ValueError):
    """A duration, interval or depth that the table does not reach."""


@dataclass(frozen=True, slots=True)
class FrequencyTable:
    """Depths in m: one row for each duration in s, one column for each interval in years."""

    durations_s: tuple[float, ...]
    intervals_years: tuple[float, ...]
    depths_m: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class RainFrequency:
    """An Atlas 14 file: its tables by name (estimate; upper and lower where given).

    Place in degrees, nan where the file does not say; notes in sentences.
    """

    tables: dict[str, FrequencyTable]
    latitude: float
    longitude: float
    unit: str
    notes: tuple[str, ...]

    def depth_m(self, duration: str | float, years: float, table: str = ESTIMATE) -> float:
        """Depth in m of a duration ("24-hr", or seconds) at a recurrence interval in years.

        As printed where printed; between rows and columns linear in the logarithms of
        duration, interval and depth (judgement, no source). Raises OutsideFrequencyTable.
        """
        found = self._table(table)
        across = [_between(found.intervals_years, row, years) for row in found.depths_m]
        return _between(found.durations_s, across, duration_s(duration))

    def intensity_ms(self, duration: str | float, years: float, table: str = ESTIMATE) -> float:
        """Mean intensity over the duration, in m/s. Raises OutsideFrequencyTable."""
        return self.depth_m(duration, years, table) / duration_s(duration)

    def interval_years(self, duration: str | float, depth_m: float, table: str = ESTIMATE) -> float:
        """Recurrence interval in years at which a depth in m of a duration is reached.

        Raises OutsideFrequencyTable below the first and above the last interval.
        """
        years = self._table(table).intervals_years
        depths_m = [self.depth_m(duration, year, table) for year in years]
        return _between(depths_m, years, depth_m)

    def _table(self, name: str) -> FrequencyTable:
        if name not in self.tables:
            raise OutsideFrequencyTable(
                f"This file has no {name} table, only: {', '.join(self.tables)}."
            )
        return self.tables[name]


def duration_s(duration: str | float) -> float:
    """Seconds of a duration written as in the file ("5-min", "24-hr", "2-day"), or given so."""
    if not isinstance(duration, str):
        return float(duration)
    match = ROW.match(duration + ":")
    if match is None:
        raise OutsideFrequencyTable(
            f"{duration!r} is not a duration; write it as 60-min, 24-hr or 2-day."
        )
    return int(match[1]) * SECONDS[match[2].lower()]


def read_atlas14(content: str | bytes) -> RainFrequency:
    """Read a NOAA Atlas 14 text of depths or intensities, with one table or all three.

    Inches or millimetres as the brackets of the first line say; intensities (per hour) are
    kept as depths. Every row must rise with the interval, every column with the duration.
    Source: NOAA Hydrometeorological Design Studies Center, file as served.
    Raises FrequencyFileUnreadable, FrequencyTableDamaged.
    """
    text = content if isinstance(content, str) else content.decode("utf-8-sig", "replace")
    lines = text.lstrip("\ufeff").splitlines()
    unit, unit_m, is_intensity = _unit_of(lines)
    drafts: list[_Draft] = []
    place = {"latitude": math.nan, "longitude": math.nan}
    for line in lines:
        if title := TABLE.match(line):
            drafts.append(_Draft(_name_of(title[1], drafts)))
        elif drafts and (head := HEAD.match(line)):
            drafts[-1].heads = [_number(part, drafts[-1].name) for part in _parts(head[1])]
        elif drafts and (row := ROW.match(line)):
            drafts[-1].add(row)
        elif found := PLACE.match(line):
            place[found[1].lower()] = float(found[2])
    if not drafts:
        raise FrequencyFileUnreadable("The file holds no table of depths. Download it again.")
    tables = {draft.name: _build(draft, unit_m, is_intensity) for draft in drafts}
    if ESTIMATE not in tables:
        raise FrequencyTableDamaged("The table of estimates is missing. Download the file again.")
    _check_order(tables)
    is_ended = any(line.lower().startswith("date/time") for line in lines)
    notes = () if is_ended else ("The file ends without its date; it may have been cut.",)
    return RainFrequency(tables, place["latitude"], place["longitude"], unit, notes)


@dataclass(slots=True)
class _Draft:
    """A table as its lines come in, as printed."""

    name: str
    heads: list[float] = field(default_factory=list)
    rows: dict[float, list[float]] = field(default_factory=dict)

    def add(self, row: re.Match[str]) -> None:
        length_s = int(row[1]) * SECONDS[row[2].lower()]
        if length_s in self.rows:
            raise FrequencyTableDamaged(f"The {self.name} table has {row[1]}-{row[2]} twice.")
        self.rows[length_s] = [_number(part, self.name) for part in _parts(row[3])]


def _unit_of(lines: list[str]) -> tuple[str, float, bool]:
    title = next((m for line in lines[:20] if (m := TITLE.search(line))), None)
    if title is None:
        raise FrequencyFileUnreadable(
            "This is not an Atlas 14 text: its first line should read"
            ' "Point precipitation frequency estimates (inches)". Download the text form.'
        )
    unit = title[1].strip().lower()
    length, _, per = unit.partition("/")
    if length.strip() not in UNITS_M or per.strip() not in ("", "hour", "hr", "h"):
        raise FrequencyFileUnreadable(f"The unit {unit!r} is not inches or millimeters.")
    return unit, UNITS_M[length.strip()], bool(per)


def _name_of(rest: str, drafts: list[_Draft]) -> str:
    bound = rest.lower()
    name = UPPER if "upper" in bound else LOWER if "lower" in bound else ESTIMATE
    if any(draft.name == name for draft in drafts):
        raise FrequencyTableDamaged(f"The {name} table stands twice in the file.")
    return name


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.strip().strip(",").split(",")]


def _number(part: str, name: str) -> float:
    """A printed number; exceedance chances of annual tables (1/10) as their interval (10)."""
    try:
        value = float(part.removeprefix("1/"))
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value > 0.0):
        raise FrequencyTableDamaged(
            f"The {name} table holds {part!r} where a number above zero should be."
            " Download the file again."
        )
    return value


def _build(draft: _Draft, unit_m: float, is_intensity: bool) -> FrequencyTable:
    name, heads, rows = draft.name, draft.heads, draft.rows
    if not heads or not rows:
        raise FrequencyTableDamaged(f"The {name} table is empty. Download the file again.")
    for length_s, values in rows.items():
        if len(values) != len(heads):
            raise FrequencyTableDamaged(
                f"The {name} table has {len(values)} depths for {length_s / HOUR_S:g} h"
                f" and {len(heads)} intervals: it is cut. Download the file again."
            )
    # An intensity falls with the duration, and is too coarsely printed to judge the depth by.
    columns = [] if is_intensity else list(zip(*rows.values(), strict=True))
    if not all(_never_falls(values) for values in (heads, list(rows), *rows.values(), *columns)):
        raise FrequencyTableDamaged(
            f"The {name} table does not rise with interval and duration: it is damaged."
            " Download the file again."
        )
    hours = [length_s / HOUR_S if is_intensity else 1.0 for length_s in rows]
    depths = tuple(
        tuple(value * hour * unit_m for value in values)
        for values, hour in zip(rows.values(), hours, strict=True)
    )
    return FrequencyTable(tuple(rows), tuple(heads), depths)


def _check_order(tables: dict[str, FrequencyTable]) -> None:
    """The upper bound lies above the estimate and the lower below, wherever both are given."""
    middle = tables[ESTIMATE]
    for name, sign in ((UPPER, 1.0), (LOWER, -1.0)):
        if name not in tables or tables[name].intervals_years != middle.intervals_years:
            continue
        for length_s, row in zip(tables[name].durations_s, tables[name].depths_m, strict=True):
            if length_s not in middle.durations_s:
                continue
            own = middle.depths_m[middle.durations_s.index(length_s)]
            if any(sign * (b - e) < 0.0 for b, e in zip(row, own, strict=True)):
                raise FrequencyTableDamaged(
                    f"The {name} table lies on the wrong side of the estimates."
                    " Download the file again."
                )


def _never_falls(values: Sequence[float]) -> bool:
    # Printed to three digits, two neighbours may agree.
    return all(b >= a for a, b in pairwise(values))


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """As printed at a printed place, else linear in the logarithms of both."""
    i = bisect_left(xs, x)
    if i < len(xs) and xs[i] == x:
        return ys[i]
    if i in (0, len(xs)):
        raise OutsideFrequencyTable(
            f"The table reaches from {xs[0]:g} to {xs[-1]:g}; {x:g} lies outside."
        )
    share = math.log(x / xs[i - 1]) / math.log(xs[i] / xs[i - 1])
    return ys[i - 1] * math.exp(share * math.log(ys[i] / ys[i - 1]))
