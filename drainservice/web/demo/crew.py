"""The demonstration's crew: where rounds begin, who works when, who may do what."""

from datetime import time, timedelta

from drainservice.visits import actions as visits
from drainservice.visits.actions.hours import DayHours
from drainservice.visits.queries import why_closed
from drainservice.web.demo.county import TOWNS, County
from drainservice.web.demo.days import Days, machine

WEEK = range(5)
EIGHT, FIVE = time(8), time(17)


def staff_rounds(county: County, days: Days) -> None:
    """A yard, hours on working days, and who may work on wires.

    Whichever day it is loaded on, today and tomorrow have rounds to be looked at: on a weekend or
    a holiday the crew works for once.
    """
    asker = machine(days.now)
    latitude, longitude = TOWNS[0][2]
    visits.enter_base(asker=asker, name="the yard", latitude=latitude, longitude=longitude)
    today, tomorrow = days.today, days.today + timedelta(days=1)
    shown = sorted({today.weekday(), tomorrow.weekday()})
    for technician in county.technicians:
        patterns = [(days.ago(4000), list(WEEK))]
        if not set(shown) <= set(WEEK):
            patterns += [(today, sorted({*WEEK, *shown})), (days.ago(-2), list(WEEK))]
        for first, weekdays in patterns:
            hours = [DayHours(weekday, EIGHT, FIVE) for weekday in weekdays]
            visits.set_working_hours(technician, asker=asker, valid_from=first, days=hours)
    for day in (today, tomorrow):
        if why_closed(day):
            visits.close_days(
                asker=asker, first_on=day, last_on=day, name="we drive all the same", is_worked=True
            )
    visits.give_skill(county.technicians[0], asker=asker, word="electric")
