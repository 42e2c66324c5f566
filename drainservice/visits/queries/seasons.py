"""Which wet season lies ahead, and in which weeks its visits are made."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from drainservice.engine.interval.yearly import MonthDay, Span, spells_after
from drainservice.register.models import Status, System, WetSeason
from drainservice.visits.queries.closed import the_terms

WEEK = timedelta(days=7)
# Seasons that begin so soon after the first are planned with it, since one crew goes: judgement.
JOINED = 6 * WEEK
# A season is planned anew each week from so long before its first week: judgement.
IS_NEAR = 4 * WEEK


@dataclass(frozen=True, slots=True)
class SeasonAhead:
    """Weeks before a wet season, and the places that it comes to.

    `first_week`: the Monday of the first week planned; `weeks`: how many. `starts_on` is the day
    the first of its places turns wet, `starts` each place's own (jurisdiction -> first, last day).
    """

    starts_on: date
    first_week: date
    weeks: int
    starts: tuple[tuple[int, date, date], ...]

    @property
    def scope(self) -> str:
        """One name for one season, whenever it is asked."""
        return f"season of {self.starts_on.isoformat()}"

    @property
    def mondays(self) -> list[date]:
        """Each week's first day."""
        return [self.first_week + n * WEEK for n in range(self.weeks)]

    @property
    def last_day(self) -> date:
        """The last Sunday."""
        return self.first_week + self.weeks * WEEK - timedelta(days=1)

    def week_of(self, day: date | None) -> int | None:
        """The number of the week a day lies in; None outside."""
        if day is None or not self.first_week <= day <= self.last_day:
            return None
        return (day - self.first_week).days // 7

    def is_near(self, today: date) -> bool:
        """Whether it is so near that it is planned anew each week."""
        return self.first_week <= today + IS_NEAR


def seasons_ahead(today: date) -> list[SeasonAhead]:
    """The seasons that begin within a year, soonest first; none where no place has one."""
    before = the_terms().weeks_before_season * WEEK
    starts = sorted(_starts(today), key=lambda one: (one[1], one[0]))
    found: list[list[tuple[int, date, date]]] = []
    for one in starts:
        if found and one[1] <= found[-1][0][1] + JOINED:
            found[-1].append(one)
        else:
            found.append([one])
    return [_season(group, before, today) for group in found]


def _season(group: list[tuple[int, date, date]], before: timedelta, today: date) -> SeasonAhead:
    starts_on = group[0][1]
    first = max(_monday(starts_on - before), _monday(today))
    # The last week is the one before the last of its places turns wet.
    last = max(_monday(group[-1][1] - timedelta(days=1)), first)
    return SeasonAhead(starts_on, first, (last - first).days // 7 + 1, tuple(group))


def _starts(today: date) -> Iterable[tuple[int, date, date]]:
    """The next season of each place where we have systems in use."""
    in_use = System.objects.standing().filter(status=Status.IN_USE)
    places = in_use.order_by().values("site__jurisdiction").distinct()
    spans: dict[int, list[Span]] = defaultdict(list)
    for row in WetSeason.objects.standing().filter(jurisdiction__in=places):
        spans[row.jurisdiction_id].append(Span(_month_day(row.starts), _month_day(row.ends)))
    for place, each in spans.items():
        spells = spells_after(each, today, years=1)
        yield from ((place, a, b) for a, b in spells if a <= today + timedelta(days=365))


def _month_day(text: str) -> MonthDay:
    month, day = text.split("-")
    return MonthDay(int(month), int(day))


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
