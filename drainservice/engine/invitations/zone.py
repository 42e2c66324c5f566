"""A place's clock from its POSIX rule text, and the compact VTIMEZONE that says the same."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from icalendar import Component, Timezone, TimezoneDaylight, TimezoneStandard

# Observances are written from this year on: the present rule of most zones is about as old,
# and no invitation reaches back so far. Judgement, no source.
FIRST_YEAR = 2007
SUNDAY_FIRST = ("SU", "MO", "TU", "WE", "TH", "FR", "SA")
DAY = timedelta(days=1)

_NAME = r"(?:<[A-Za-z0-9+-]{3,15}>|[A-Za-z]{3,15})"
_TIME = r"[+-]?\d{1,3}(?::\d{2}(?::\d{2})?)?"
_RULE = re.compile(
    rf"(?P<name>{_NAME})(?P<offset>{_TIME})"
    rf"(?:(?P<summer_name>{_NAME})(?P<summer_offset>{_TIME})?,(?P<starts>[^,]+),(?P<ends>[^,]+))?"
)
_CHANGE = re.compile(rf"M(\d{{1,2}})\.([1-5])\.([0-6])(?:/({_TIME}))?")


class ZoneRuleCannotBeWritten(ValueError):
    """The rule has no short form that calendars read alike; write the times in UTC."""


@dataclass(frozen=True, slots=True)
class Change:
    """A yearly change of clocks: the `week`-th (5: last) `weekday` (0: Sunday) of a month."""

    month: int
    week: int
    weekday: int
    time: timedelta

    def wall_in(self, year: int) -> datetime:
        """The wall time of the change in a year, by the clock that still runs then."""
        first = date(year, self.month, 1)
        ahead = (self.weekday - first.isoweekday()) % 7 + 7 * (self.week - 1)
        day = first + timedelta(days=ahead)
        if day.month != self.month:
            day -= timedelta(days=7)
        return datetime.combine(day, datetime.min.time()) + self.time

    def recurrence(self) -> dict[str, object]:
        """As an RRULE by month and weekday, the only form every calendar program reads."""
        week = "-1" if self.week == 5 else str(self.week)
        return {
            "FREQ": "YEARLY",
            "BYMONTH": self.month,
            "BYDAY": week + SUNDAY_FIRST[self.weekday],
        }


@dataclass(frozen=True, slots=True)
class Season:
    """One of the two clocks of a year: its short name, its offset east of UTC, its begin."""

    name: str
    offset: timedelta
    begins: Change


@dataclass(frozen=True, slots=True)
class ZoneRule:
    """A clock: the fixed `name` and `offset`, or two `seasons` (the smaller offset first)."""

    name: str
    offset: timedelta
    seasons: tuple[Season, ...]

    def wall_of(self, at: datetime) -> datetime:
        """The wall time (naive) that the place's clock shows at an instant."""
        utc = at.astimezone(UTC).replace(tzinfo=None)
        return utc + self._offset_at(utc)

    def instants_of(self, wall: datetime) -> tuple[datetime, ...]:
        """Every instant at which the clock shows `wall`: none if skipped, two if it comes twice."""
        offsets = sorted({self.offset, *(s.offset for s in self.seasons)}, reverse=True)
        return tuple(
            (wall - offset).replace(tzinfo=UTC)
            for offset in offsets
            if self._offset_at(wall - offset) == offset
        )

    def _offset_at(self, utc: datetime) -> timedelta:
        """The offset in force: that of the season begun last, this year or the year before."""
        if not self.seasons:
            return self.offset
        one, other = self.seasons
        begun = [
            (after.begins.wall_in(year) - before.offset, after.offset)
            for year in (utc.year - 1, utc.year, utc.year + 1)
            for before, after in ((one, other), (other, one))
        ]
        return max(change for change in begun if change[0] <= utc)[1]


def read_rule(text: str) -> ZoneRule:
    """Read a POSIX TZ rule such as `EST5EDT,M3.2.0,M11.1.0`.

    Source: POSIX.1-2017, 8.3 (TZ), with the longer hours of RFC 9636, 3.3.1. Offsets there
    count west of Greenwich, here east. Raises ZoneRuleCannotBeWritten for Julian days, for
    changes outside the day they name, for summer time without dates, and for what is no rule.
    """
    found = _RULE.fullmatch(text)
    if not found:
        raise ZoneRuleCannotBeWritten(
            f"The clock rule {text!r} is not of the form EST5EDT,M3.2.0,M11.1.0."
            " Write the times in UTC."
        )
    name, offset = found["name"].strip("<>"), -_read_time(found["offset"], text)
    if not found["summer_name"]:
        return ZoneRule(name, offset, ())
    summer_offset = (
        -_read_time(found["summer_offset"], text)
        if found["summer_offset"]
        else offset + timedelta(hours=1)
    )
    summer = Season(found["summer_name"].strip("<>"), summer_offset, _read(found["starts"], text))
    standard = Season(name, offset, _read(found["ends"], text))
    # Where the law calls winter the exception (Dublin), the smaller offset is still written as
    # STANDARD: readers take the words by the clock, not by the law.
    seasons = tuple(sorted((standard, summer), key=lambda season: season.offset))
    return ZoneRule(name, offset, seasons)


def write_zone(zone: str, text: str) -> Timezone:
    """The VTIMEZONE of a zone name and its rule: one STANDARD, one DAYLIGHT, yearly RRULEs.

    Source: RFC 5545, 3.6.5: DTSTART of an observance is its onset in local time by the offset
    before it (TZOFFSETFROM). Raises ZoneRuleCannotBeWritten as `read_rule` does.
    """
    rule = read_rule(text)
    component = Timezone()
    component.add("TZID", zone)
    if not rule.seasons:
        component.add_component(_fixed(rule))
        return component
    winter, summer = rule.seasons
    component.add_component(_observance(TimezoneDaylight(), winter, summer))
    component.add_component(_observance(TimezoneStandard(), summer, winter))
    return component


def _observance(part: Component, before: Season, now: Season) -> Component:
    part.add("DTSTART", now.begins.wall_in(FIRST_YEAR))
    part.add("TZOFFSETFROM", before.offset)
    part.add("TZOFFSETTO", now.offset)
    part.add("TZNAME", now.name)
    part.add("RRULE", now.begins.recurrence())
    return part


def _fixed(rule: ZoneRule) -> TimezoneStandard:
    part = TimezoneStandard()
    part.add("DTSTART", datetime(FIRST_YEAR, 1, 1))  # noqa: DTZ001 - an onset is local time
    part.add("TZOFFSETFROM", rule.offset)
    part.add("TZOFFSETTO", rule.offset)
    part.add("TZNAME", rule.name)
    return part


def _read(text: str, rule: str) -> Change:
    found = _CHANGE.fullmatch(text)
    if not found or not 1 <= int(found[1]) <= 12:
        raise ZoneRuleCannotBeWritten(
            f"The clock rule {rule!r} counts the days of the year instead of naming a weekday."
            " Write the times in UTC."
        )
    time = _read_time(found[4] or "2", rule)
    if not timedelta(0) <= time < DAY:
        raise ZoneRuleCannotBeWritten(
            f"The clock rule {rule!r} changes the clock outside the day it names."
            " Write the times in UTC."
        )
    return Change(int(found[1]), int(found[2]), int(found[3]), time)


def _read_time(text: str, rule: str) -> timedelta:
    hours, minutes, seconds = ([*text.lstrip("+-").split(":"), "0", "0"])[:3]
    if int(hours) > 167 or int(minutes) > 59 or int(seconds) > 59:
        raise ZoneRuleCannotBeWritten(
            f"The clock rule {rule!r} holds an impossible time. Write the times in UTC."
        )
    size = timedelta(hours=int(hours), minutes=int(minutes), seconds=int(seconds))
    return -size if text.startswith("-") else size
