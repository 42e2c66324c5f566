"""Loading the demonstration: the firm, its homes with their past, what lies ahead, the queue."""

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import CannotBeDone
from drainservice.register.models import SharedMain
from drainservice.web.demo import cast
from drainservice.web.demo.ahead import AFTER_SEASON, AHEAD, fill_rounds
from drainservice.web.demo.bookings import Office
from drainservice.web.demo.county import ZONE, found_firm
from drainservice.web.demo.crew import staff_rounds
from drainservice.web.demo.days import Days, Diary
from drainservice.web.demo.endings import count_dates, end_history, react_to_now
from drainservice.web.demo.history import write_down_all
from drainservice.web.demo.living import FOUNDED_DAYS_AGO, enter_home, live
from drainservice.web.demo.names import Names
from drainservice.web.demo.places import find_truths
from drainservice.web.demo.planning import (
    cross_rounds,
    fall_ill,
    plan_rounds,
    plan_season,
    run_late,
)

ORDINARY = cast.Story("")


class HoldsRealWork(CannotBeDone):
    """The database is not empty."""


class TooFew(CannotBeDone):
    """Not every story finds room."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What was loaded."""

    sites: int
    systems: int
    sent_on: int


@transaction.atomic
@accounts.firm_read_once()
def load(*, seed: int, systems: int, today: date, now: datetime) -> Loaded:
    """Load everything in one transaction. Errors: HoldsRealWork, TooFew.

    The same seed, size, day and moment give the same rows, random tokens apart.
    """
    if accounts.firm() is not None:
        raise HoldsRealWork(
            "This database holds a firm already, and the demonstration is loaded into an empty one "
            "only. Set DRAIN_VAR or DATABASE_URL to a new place and run it again."
        )
    if systems < cast.LEAST_SYSTEMS:
        raise TooFew(f"Ask for {cast.LEAST_SYSTEMS} systems or more, so that each story has room.")
    days = Days(today, now, ZONE)
    county = found_firm(days.at(days.ago(FOUNDED_DAYS_AGO)))
    staff_rounds(county, days)
    office = Office(county, days, Diary())
    names = Names(random.Random(f"names {seed}"))
    mains: dict[str, SharedMain] = {}
    entered = []
    for number, story in enumerate(_stories(systems)):
        rng = random.Random(f"{seed} {number} {story.name}")
        entered.append(enter_home(office, story, names, rng, number, mains))
    homes = [(home.story, home.places) for home in entered]
    find_truths((place for _, places in homes for place in places), today)
    for home in entered:
        live(office, home, names)
    write_down_all(office)
    end_history(at=now)
    for story, places in homes:
        if story.ahead and story.ahead not in AFTER_SEASON:
            AHEAD[story.ahead](office, places)
    fill_rounds(office, [places for story, places in homes if story.name == ""])
    count_dates(at=now)
    plan_season(office)
    for story, places in homes:
        if story.ahead in AFTER_SEASON:
            AHEAD[story.ahead](office, places)
    cross_rounds(office)
    plan_rounds(office)
    fall_ill(office)
    run_late(office)
    sent_on = react_to_now(days)
    return Loaded(len(homes), sum(len(places) for _, places in homes), sent_on)


def _stories(systems: int) -> Iterator[cast.Story]:
    """Every home: those with a story first, then ordinary ones up to so many systems."""
    told = [replace(cast.HOA, systems=cast.hoa_systems(systems)), *cast.STORIES]
    yield from told
    for _ in range(systems - sum(story.systems for story in told)):
        yield ORDINARY
