"""Dates and clock times in the words of a drawing."""

from datetime import date
from enum import StrEnum

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class Clock(StrEnum):
    """The firm's way of writing the time: 1:30 pm or 13:30."""

    TWELVE = "12"
    TWENTY_FOUR = "24"


def say_day(day: date) -> str:
    """12 May"""
    return f"{day.day} {MONTHS[day.month - 1]}"


def say_date(day: date) -> str:
    """12 May 2027"""
    return f"{say_day(day)} {day.year}"


def say_clock(minute: float, clock: Clock) -> str:
    """A minute of the day: 8:20 am, or 8:20; whole hours in the twelve-hour style as 8 am."""
    hours, minutes = divmod(round(minute) % 1440, 60)
    if clock == Clock.TWENTY_FOUR:
        return f"{hours}:{minutes:02d}"
    half = "am" if hours < 12 else "pm"
    hour = (hours + 11) % 12 + 1
    return f"{hour} {half}" if minutes == 0 else f"{hour}:{minutes:02d} {half}"


def say_window(start: float, end: float, clock: Clock) -> str:
    """8 to 10 am, 11 am to 1 pm; 8:00 to 10:00"""
    first, last = say_clock(start, clock), say_clock(end, clock)
    if clock == Clock.TWELVE and first[-2:] == last[-2:]:
        first = first[:-3]
    return f"{first} to {last}"


def say_span(minutes: float) -> str:
    """25 min, 1 h 5 min, 2 h"""
    hours, rest = divmod(round(minutes), 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h" if rest == 0 else f"{hours} h {rest} min"
