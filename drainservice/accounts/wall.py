"""Promises and instants: the one place where a day and an hour on a wall become a moment."""

import calendar
import zoneinfo
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

DAY = timedelta(days=1)


class ZoneIsUnknown(ValueError):
    """No time zone has this name."""


class InstantLacksItsZone(ValueError):
    """A moment was given without saying of which zone it is."""


def instant(day: date, at: time, zone: str) -> datetime:
    """The moment (UTC) at which the clock of `zone` shows this day and time.

    A time that comes twice is the first of the two; one that is skipped counts on by the clock
    before the change, so that 2:30 becomes 3:30. Raises ZoneIsUnknown.
    """
    wall = datetime.combine(day, at.replace(tzinfo=None, fold=0))
    # Fold 0 is the first of two (PEP 495), and in a gap the offset before the change.
    return wall.replace(tzinfo=find_zone(zone)).astimezone(UTC)


def local(at: datetime, zone: str) -> datetime:
    """What the clock of `zone` shows at a moment, with the zone. Raises ZoneIsUnknown."""
    if at.tzinfo is None:
        raise InstantLacksItsZone("Give the moment in UTC or with its zone.")
    return at.astimezone(find_zone(zone))


def today_in(zone: str, now: datetime) -> date:
    """The day it is in `zone` at the moment `now`."""
    return local(now, zone).date()


def add_months(day: date, months: int) -> date:
    """The same day so many months on or back; the month's last day where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def next_allowed(at: datetime, zone: str, from_: time, to: time) -> datetime:
    """The first moment (UTC), not before `at`, at which a message may go to this zone.

    Messages may go from `from_` until just before `to` by the wall clock; with `from_` after
    `to` the night is allowed, with both the same every hour is.
    """
    wall = local(at, zone)
    if _is_within(wall.time(), from_, to):
        return at.astimezone(UTC)
    day = wall.date() if wall.time() < from_ else wall.date() + DAY
    # Where the opening hour comes twice, its first coming may already lie behind.
    return max(instant(day, from_, zone), at.astimezone(UTC))


def _is_within(at: time, from_: time, to: time) -> bool:
    if from_ < to:
        return from_ <= at < to
    return from_ == to or at >= from_ or at < to


@lru_cache(maxsize=1024)
def find_zone(zone: str) -> ZoneInfo:
    """The zone of a name such as America/Chicago. Raises ZoneIsUnknown."""
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as wrong:
        raise ZoneIsUnknown(
            f"{zone[:60]!r} is no time zone; write it like America/Chicago."
        ) from wrong


@lru_cache(maxsize=1024)
def posix_rule(zone: str) -> str:
    """The rule by which a zone's clock goes on, as in POSIX: `CST6CDT,M3.2.0,M11.1.0`.

    It is the last line of the zone's file (RFC 9636, 3.3), read from where zoneinfo reads it;
    empty if the file gives none. Raises ZoneIsUnknown.
    """
    find_zone(zone)
    octets = _zone_file(zone)
    if octets[4:5] < b"2" or not octets.endswith(b"\n"):
        return ""
    return octets[:-1].rpartition(b"\n")[2].decode("ascii")


def _zone_file(zone: str) -> bytes:
    """The zone's file in zoneinfo's own order: the machine's folders, then the tzdata package."""
    for folder in zoneinfo.TZPATH:
        path = Path(folder, zone)
        if path.is_file():
            return path.read_bytes()
    return files("tzdata").joinpath("zoneinfo", *zone.split("/")).read_bytes()
