"""The demonstration's crew: where rounds begin, who works when, who may do what, who is away."""

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from drainservice.accounts import wall
from drainservice.accounts.models import Account
from drainservice.visits import actions as visits
from drainservice.visits.actions.hours import DayHours
from drainservice.visits.queries import why_closed
from drainservice.web.demo.county import TOWNS, ZONE, County
from drainservice.web.demo.days import Days, as_account, machine

STARTED_DAYS_AGO = 1100
FRIDAYS_OFF_DAYS_AGO = 75
WEEK = range(5)
USUAL = DayHours(0, time(8), time(17))
# Brings a child to school first, and takes the break later.
LATE = DayHours(
    0, time(9), time(17, 30), break_earliest=time(12, 30), break_latest=time(14), break_minutes=45
)
# Bases: name, address, town.
BASES = [
    ("the yard", "2 Quill Street, Alder Bend", 0),
    ("the harbor shed", "14 Gull St, Quill Harbor", 2),
]
# Vans: name and what it carries; one for each technician, in their order.
VANS = [
    ("the blue van", []),
    ("the grey van", ["camera"]),
    ("the white van", []),
    ("the green van", []),
]
# Half the sides of an area around the middle of a town, in degrees.
HALF_LAT, HALF_LON = 0.02, 0.024


@dataclass(frozen=True, slots=True)
class Way:
    """How one of the crew works: base, hours, and days of the week without them."""

    base: int
    hours: DayHours = USUAL
    fridays_off: bool = False


WAYS = [Way(0), Way(0), Way(1, LATE), Way(0, fridays_off=True)]


def staff_rounds(county: County, days: Days) -> None:
    """Bases, vans, hours, areas and skills of everybody, days on which nobody drives, and who is
    away in the weeks to come.

    Whichever day it is loaded on, today and tomorrow have rounds to be looked at: on a weekend or
    a holiday the crew works for once.
    """
    asker = machine(days.at(days.ago(STARTED_DAYS_AGO)))
    visits.set_planning_terms(asker=asker, country="US", subdivision="OR")
    bases = [
        visits.enter_base(
            asker=asker,
            name=name,
            address=address,
            latitude=TOWNS[town][2][0],
            longitude=TOWNS[town][2][1],
        )
        for name, address, town in BASES
    ]
    for number, technician in enumerate(county.technicians):
        name, carries = VANS[number]
        van = visits.enter_van(asker=asker, name=name, carries=carries)
        visits.set_member(technician, asker=asker, base=bases[WAYS[number].base], van=van)
        visits.draw_area(
            technician, asker=asker, name=TOWNS[number][0], corners=_corners(TOWNS[number][2])
        )
        _give_hours(technician, WAYS[number], days)
    andrea, _, cleo, _ = county.technicians
    visits.give_skill(andrea, asker=asker, word="electric", valid_until=days.ago(-400))
    visits.give_skill(cleo, asker=asker, word="electric", valid_until=days.ago(-45))
    _close_days(days)
    _go_away(county, days)


def _corners(middle: tuple[float, float]) -> str:
    lat, lon = middle
    turns = [(-1, -1), (-1, 1), (1, 1), (1, -1)]
    return "\n".join(f"{lat + n * HALF_LAT:.4f}, {lon + m * HALF_LON:.4f}" for n, m in turns)


def _give_hours(technician: Account, way: Way, days: Days) -> None:
    """The hours since the beginning, those since Fridays were given up, and today and tomorrow
    in any case."""
    asker = machine(days.at(days.ago(STARTED_DAYS_AGO)))
    week = set(WEEK)
    _set(technician, way, week, days.ago(4000), machine_at=asker.at)
    if way.fridays_off:
        week -= {4}
        _set(technician, way, week, days.ago(FRIDAYS_OFF_DAYS_AGO), machine_at=asker.at)
    shown = {days.today.weekday(), days.ago(-1).weekday()}
    if not shown <= week:
        _set(technician, way, week | shown, days.today, machine_at=days.now)
        _set(technician, way, week, days.ago(-2), machine_at=days.now)


def _set(
    technician: Account, way: Way, week: set[int], first: date, *, machine_at: datetime
) -> None:
    hours = [replace(way.hours, weekday=weekday) for weekday in sorted(week)]
    visits.set_working_hours(technician, asker=machine(machine_at), valid_from=first, days=hours)


def yard_day(days: Days) -> date:
    """The next day of stock taking: a Wednesday, two to three weeks ahead."""
    day = days.ago(-15)
    return day + timedelta(days=(2 - day.weekday()) % 7)


def _close_days(days: Days) -> None:
    """A day in the yard to come; and a weekend or holiday on which they work for once."""
    asker = machine(days.now)
    for day in (days.today, days.ago(-1)):
        if why_closed(day):
            visits.close_days(
                asker=asker, first_on=day, last_on=day, name="we drive all the same", is_worked=True
            )
    day = yard_day(days)
    visits.close_days(asker=asker, first_on=day, last_on=day, name="yard day, vans and stock")


def _go_away(county: County, days: Days) -> None:
    """Three days of leave, and half a day of a course."""
    asker = as_account(county.dispatcher, days.at(days.ago(12), 9))
    _, basil, _, dmitri = county.technicians
    monday = days.ago(-14) - timedelta(days=days.ago(-14).weekday())
    away = [
        (dmitri, monday, time(0), monday + timedelta(days=3), time(0), "leave"),
        (basil, days.ago(-5), time(13), days.ago(-5), time(18), "first aid course"),
    ]
    for technician, first, from_, last, until, because in away:
        visits.enter_absence(
            technician,
            asker=asker,
            from_at=wall.instant(first, from_, ZONE),
            until_at=wall.instant(last, until, ZONE),
            because=because,
        )
