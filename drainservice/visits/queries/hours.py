"""Working hours as they hold on a day, and what an absence leaves of a shift."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

from drainservice.accounts import wall
from drainservice.visits.models import WorkingHours

# Judgement, until a technician's own hours are entered; the page of the crew says so.
ASSUMED: dict[str, Any] = {
    "starts": time(8),
    "ends": time(17),
    "overtime_minutes": 60,
    "break_minutes": 30,
    "break_earliest": time(11, 30),
    "break_latest": time(13, 30),
}
WORKDAYS = range(5)
# The same few times of the same days are asked for again and again.
_instant = lru_cache(maxsize=16_384)(wall.instant)
ASSUMED_WEEK = tuple(WorkingHours(weekday=weekday, **ASSUMED) for weekday in WORKDAYS)


class Pause(NamedTuple):
    """A break that starts between two moments."""

    earliest_at: datetime
    latest_at: datetime
    minutes: int


@dataclass(frozen=True, slots=True)
class Span:
    """From when until when somebody works; `overtime_minutes` may follow its end."""

    starts_at: datetime
    ends_at: datetime
    overtime_minutes: int
    pause: Pause | None


def pattern_on(rows: Iterable[WorkingHours], day: date) -> list[WorkingHours]:
    """The weekdays of the pattern that holds on a day, Monday first: the latest one that has
    begun, whole. Before the first pattern our assumption stands."""
    begun = [row for row in rows if row.valid_from <= day]
    if not begun:
        return list(ASSUMED_WEEK)
    latest = max(row.valid_from for row in begun)
    return sorted((r for r in begun if r.valid_from == latest), key=lambda row: row.weekday)


@lru_cache(maxsize=1)
def _assumed() -> tuple[WorkingHours, ...]:
    """Rows that are stored nowhere, made once; they are only read."""
    return tuple(WorkingHours(weekday=weekday, **ASSUMED) for weekday in WORKDAYS)


def span_on(rows: Iterable[WorkingHours], day: date, zone: str) -> Span | None:
    """The shift of a day by the clock of the zone; None on a weekday without hours."""
    hours = next((r for r in pattern_on(rows, day) if r.weekday == day.weekday()), None)
    if hours is None:
        return None
    pause = None
    if hours.break_minutes:
        earliest = _instant(day, hours.break_earliest, zone)
        pause = Pause(earliest, _instant(day, hours.break_latest, zone), hours.break_minutes)
    starts, ends = _instant(day, hours.starts, zone), _instant(day, hours.ends, zone)
    return _fitted(starts, ends, hours.overtime_minutes, pause)


def cut(span: Span, away: Sequence[tuple[datetime, datetime]]) -> Span | None:
    """What is left of a shift beside times away: its longest piece, of equal ones the earlier.

    A piece that ends before the shift does has no overtime, since somebody must leave then.
    """
    if not away:
        return span
    pieces, start = [], span.starts_at
    for from_at, until_at in sorted(away):
        if from_at < span.ends_at and until_at > start:
            pieces.append((start, from_at))
            start = until_at
    pieces.append((start, span.ends_at))
    start, end = max(pieces, key=lambda piece: piece[1] - piece[0])
    if end <= start:
        return None
    overtime = _overtime_left(span, away) if end == span.ends_at else 0
    return _fitted(start, end, overtime, span.pause)


def _overtime_left(span: Span, away: Sequence[tuple[datetime, datetime]]) -> int:
    """Minutes after the shift's end until somebody is away."""
    latest = span.ends_at + timedelta(minutes=span.overtime_minutes)
    leaves = min([latest, *(from_at for from_at, _ in away if from_at >= span.ends_at)])
    return int((leaves - span.ends_at).total_seconds() // 60)


def _fitted(starts: datetime, ends: datetime, overtime: int, pause: Pause | None) -> Span:
    """A span whose break, if any, begins after it does and leaves work to go back to."""
    if pause is not None:
        length = timedelta(minutes=pause.minutes)
        earliest, latest = max(pause.earliest_at, starts), min(pause.latest_at, ends - length)
        is_left = pause.latest_at > starts and earliest + length < ends
        pause = Pause(earliest, latest, pause.minutes) if is_left else None
    return Span(starts, ends, overtime, pause)
