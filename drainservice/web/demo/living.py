"""One home of the demonstration from the day it was entered to the day of loading."""

import random
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from drainservice.inspections import actions as inspections
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import SharedMain
from drainservice.web.demo import cast, stories
from drainservice.web.demo.bookings import Office
from drainservice.web.demo.builds import Build, draw_build
from drainservice.web.demo.county import JURISDICTIONS, TOWNS
from drainservice.web.demo.days import Days, as_household, machine
from drainservice.web.demo.ground import put_in_ground
from drainservice.web.demo.history import look_again
from drainservice.web.demo.homes import Home, make_home, sell_house
from drainservice.web.demo.names import Names
from drainservice.web.demo.places import Place, draw_lid_code

FOUNDED_DAYS_AGO = 1120
SOLD_DAYS_AGO = 320


@dataclass(frozen=True, slots=True)
class Entered:
    """A home on the day it was entered; `ages` are days since each of its later looks."""

    story: cast.Story
    places: list[Place]
    entered_on: date
    ages: tuple[int, ...]


def enter_home(
    office: Office,
    story: cast.Story,
    names: Names,
    rng: random.Random,
    number: int,
    mains: dict[str, SharedMain],
) -> Entered:
    """One home with what is in its ground, as of the day it was entered."""
    days, county = office.days, office.county
    town = number % 4 if story.town is None else story.town
    years_old = story.years_old if story.name else rng.uniform(0.3, 9)
    installed_on = days.ago(365.25 * years_old)
    founded_on = days.ago(FOUNDED_DAYS_AGO)
    entered_on = max(installed_on, founded_on)
    is_adopted = bool(story.build.get("is_adopted")) or (not story.name and rng.random() < 0.12)
    ages = (
        story.ages if story.name else _draw_ages(rng, days, town, (days.today - installed_on).days)
    )
    if is_adopted:
        # Others built it; it came to the firm not long before its first look.
        came_on = days.ago(max(ages, default=rng.randint(20, 200)) + 15)
        entered_on = max(came_on, installed_on)
    asker = machine(days.at(entered_on, 12))
    home = make_home(
        county, names, rng, kind=story.home, town=town, entered_on=entered_on, asker=asker
    )
    limit_h = home.site.jurisdiction.drain_limit_h
    build = draw_build(rng, installed_on, limit_h)
    build = replace(build, **{"is_adopted": is_adopted} | story.build)
    places = [
        _build(office, story, home, build, rng, mains, part=part, at=days.at(entered_on, 12))
        for part in range(story.systems)
    ]
    return Entered(story, places, entered_on, ages)


def live(office: Office, home: Entered, names: Names) -> None:
    """One home from the day it was entered to today."""
    _agree_terms(office, home.story, home.places, home.entered_on)
    _look_back(office, home.story, home.places, names, home.ages)
    _ask_for_bucket_tests(office, home.places)


def _build(
    office: Office,
    story: cast.Story,
    home: Home,
    build: Build,
    rng: random.Random,
    mains: dict[str, SharedMain],
    *,
    part: int,
    at: datetime,
) -> Place:
    asker = machine(at)
    if part:
        build = replace(
            build, place=f"by house {part + 1}" if home.kind == "hoa" else "at the gate"
        )
    if build.tree_m and not part:
        register.note_surrounding(
            home.site, asker=asker, kind="tree", what="large maple", distance_m=build.tree_m
        )
    main = None
    if story.name in cast.ON_ONE_MAIN:
        main = mains.get("main") or _enter_main(home, at)
        mains["main"] = main
    system, pump = put_in_ground(
        home.site, build, office.county, asker=asker, main=main, lid_code=draw_lid_code(rng)
    )
    inspections.check_as_built(asker=asker, system_id=system.pk)
    return Place(story.name, home, build, system, pump, rng, cleaned_on=build.installed_on)


def _enter_main(home: Home, at: datetime) -> SharedMain:
    return register.enter_main(
        asker=machine(at),
        sites=[home.site],
        name="Main under the back yards",
        **known(
            "drawn",
            end="daylight",
            diameter_m=0.1023,
            slope=0.01,
            length_m=60.0,
            surcharges=False,
        ),
    )


def _draw_ages(rng: random.Random, days: Days, town: int, age_days: int) -> tuple[int, ...]:
    """Days since each yearly look, the newest first: mostly in the weeks before a wet season."""
    last = rng.randint(12, 420) if rng.random() < 0.28 else _before_season(rng, days, town)
    ages = [last]
    while ages[-1] < FOUNDED_DAYS_AGO - 400:
        ages.append(ages[-1] + rng.randint(345, 385))
    return tuple(age for age in ages if age < age_days - 20)


def _before_season(rng: random.Random, days: Days, town: int) -> int:
    """Days since the look before the last wet season, or the one that is near."""
    seasons = JURISDICTIONS[TOWNS[town][3]]["wet_seasons"]
    starts = [
        date(year, *map(int, start.split("-")))
        for start, _ in seasons
        for year in range(days.today.year - 2, days.today.year + 2)
    ]
    looked = [start - timedelta(days=rng.randint(8, 70)) for start in starts]
    return min((days.today - on).days for on in looked if (days.today - on).days >= 12)


def _look_back(
    office: Office, story: cast.Story, places: list[Place], names: Names, ages: tuple[int, ...]
) -> None:
    own = stories.OWN_AGES.get(story.name, set())
    is_sold = False
    for age in sorted(set(ages) - own, reverse=True):
        if story.home == "sold" and age < SOLD_DAYS_AGO and not is_sold:
            on = office.days.ago(SOLD_DAYS_AGO)
            sell_house(places[0].home, names, on=on, at=machine(office.days.at(on, 12)))
            is_sold = True
        look_again(office, places, office.days.ago(age))
    if story.name in stories.STORIES:
        stories.STORIES[story.name](office, places[0])


def _agree_terms(office: Office, story: cast.Story, places: list[Place], starts_on: date) -> None:
    """One agreement for all systems of a home, mostly."""
    rng = places[0].rng
    if not story.name and rng.random() < 0.15:
        return
    register.enter_agreement(
        places[0].home.household,
        asker=machine(office.days.at(starts_on, 13)),
        systems=[place.system for place in places],
        looks_a_year=2 if places[0].has_frost else 1,
        covers_parts=rng.random() < 0.3,
        covers_storm_calls=rng.random() < 0.5,
        fix_limit="what takes less than half an hour",
        starts_on=starts_on,
        ends_on=office.days.ago(30) if story.home == "ended" else None,
    )


def _ask_for_bucket_tests(office: Office, places: list[Place]) -> None:
    """Some households do the quarterly bucket test, and most see it run."""
    place = places[0]
    rng, home = place.rng, place.home
    if place.story or place.pump is None or place.is_down or rng.random() > 0.35:
        return
    for ago in sorted(rng.sample(range(15, 300), 2), reverse=True):
        on = office.days.ago(ago)
        if on <= place.build.installed_on + timedelta(days=30):
            continue
        inspections.give_self_check(
            place.system,
            asker=as_household(home.person, home.household, office.days.at(on, 17)),
            answer=rng.choices(["ran_and_stopped", "could_not"], [85, 15])[0],
            on=on,
            outlet_seen=rng.random() < 0.7,
        )
