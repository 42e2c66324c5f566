"""A date as precise as it was written, as a first day and how wide it is."""

from datetime import date, timedelta

from drainservice.exchange.dates import SEASON_MONTH, first_day

_MONTHS = {"year": 12, "season": 3, "month": 1}


def read_span(vague: str) -> tuple[date, str]:
    """2011-08 as 1 August 2011 and "month"; 2021-summer as 1 June 2021 and "season"."""
    parts = vague.split("-")
    if len(parts) == 3:
        return first_day(vague), "day"
    if len(parts) == 1:
        return first_day(vague), "year"
    return first_day(vague), "season" if parts[1] in SEASON_MONTH else "month"


def write_span(first: date, span: str) -> str:
    """The date again, no more precise than it is known."""
    if span == "season":
        season = next(name for name, month in SEASON_MONTH.items() if month == first.month)
        return f"{first:%Y}-{season}"
    return f"{first:%Y-%m-%d}"[: {"year": 4, "month": 7}.get(span, 10)]


def last_day(first: date, span: str) -> date:
    """The last day of what the date covers."""
    if span not in _MONTHS:
        return first
    year, month = divmod(first.year * 12 + first.month - 1 + _MONTHS[span], 12)
    return date(year, month + 1, 1) - timedelta(days=1)


def covers(wide: tuple[date, str], narrow: tuple[date, str]) -> bool:
    """Whether the second may be what the first meant."""
    return wide[0] <= narrow[0] and last_day(*narrow) <= last_day(*wide)
