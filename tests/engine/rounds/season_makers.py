"""Seasons to be planned: small ones to change one fact at a time, and ones drawn from a seed.

Invented neighbourhoods round an invented yard.
"""

from datetime import date, timedelta
from random import Random

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.season.cells import cut_into_cells
from drainservice.engine.rounds.season.facts import (
    GivenCosts,
    PumpRisk,
    SeasonFacts,
    SeasonSettings,
    SeasonTravel,
    SeasonVisit,
    SeasonWeek,
)

MONDAY = date(2027, 2, 15)
YARD = Place(38.0, -97.0)
PLAIN = SeasonSettings(reserve_share=0.0)


def make_visit(key, costs=(0.0, 0.0), left_out=60.0, at=(0.0, 0.1), work_min=45.0, **changes):
    """A visit `at` degrees north and east of the yard, with given costs of its weeks."""
    place = Place(YARD.lat + at[0], YARD.lon + at[1])
    return SeasonVisit(
        key, place, work_min, GivenCosts(tuple(float(c) for c in costs), left_out), **changes
    )


def make_season(visits, crew=(600.0, 600.0), settings=PLAIN, **changes):
    """A season of these visits with so many minutes of crew in its weeks, no reserve kept."""
    weeks = tuple(
        SeasonWeek(MONDAY + timedelta(weeks=week), float(minutes))
        for week, minutes in enumerate(crew)
    )
    given = {"homes": (YARD,), "storm_chances": (0.02,) * len(weeks), **changes}
    return SeasonFacts(visits=tuple(visits), weeks=weeks, settings=settings, **given)


def draw_small(count, weeks, seed, tight=0.8, settings=PLAIN, promised=0.0):
    """A small season with whole units and minutes, some of its visits bound or offered; the crew
    has `tight` of what all visits with a drive each would take."""
    random = Random(seed)
    visits = []
    for key in range(1, count + 1):
        earliest = random.choice((0, 0, 0, 1))
        is_promised = random.random() < promised
        visits.append(
            make_visit(
                key,
                costs=[random.randrange(150) for _ in range(weeks)],
                left_out=float(random.randrange(60, 400)),
                at=(random.uniform(-0.2, 0.2), random.uniform(-0.2, 0.2)),
                work_min=float(random.choice((30, 45, 60, 75))),
                earliest=earliest,
                last=random.randrange(earliest, weeks) if random.random() < 0.2 else None,
                offered=random.randrange(weeks) if random.random() < 0.2 else None,
                promised=random.randrange(weeks) if is_promised else None,
            )
        )
    needed = sum(v.work_min for v in visits) + 25.0 * count
    crew = [tight * needed / weeks * random.uniform(0.8, 1.2) for _ in range(weeks)]
    return make_season(visits, crew, settings)


def draw_season(count, weeks=16, load=0.88, seed=1, offered=0.15, hard=0.10):
    """`count` visits over a town of about 40 km, the wet season two weeks before the last week.

    `load`: minutes of all visits with two drives to each neighbourhood, over the crew's minutes
    less the reserve. 60 % yards, 25 % near a structure, 15 % living space.
    """
    random = Random(seed)
    towns = [
        Place(YARD.lat + random.gauss(0, 0.10), YARD.lon + random.gauss(0, 0.13))
        for _ in range(max(1, count // 60))
    ]
    visits = [_draw_visit(key, weeks, towns, offered, hard, random) for key in range(1, count + 1)]
    return crew_for(visits, weeks, load, random)


def _draw_visit(key, weeks, towns, offered, hard, random):
    town = random.choice(towns)
    first = random.choice((0, 0, 0, random.randrange(weeks * 3 // 4 + 1)))
    return SeasonVisit(
        key=key,
        place=Place(town.lat + random.gauss(0, 0.02), town.lon + random.gauss(0, 0.025)),
        work_min=random.choice((30.0, 35.0, 40.0, 45.0, 60.0, 75.0)),
        costs=PumpRisk(
            failure_per_week=random.uniform(0.05, 0.6) / 52,
            age_weeks=random.uniform(20, 60),
            dead_units=random.choices((200.0, 2000.0, 10_000.0), (60, 25, 15))[0],
        ),
        earliest=first,
        last=random.randrange(first, weeks) if random.random() < hard else None,
        offered=random.randrange(first, weeks) if random.random() < offered else None,
    )


def crew_for(visits, weeks, load, random, homes=(YARD,)):
    """The season of these visits with just so much crew, a tenth less or more from week to week."""
    cells = cut_into_cells([v.place for v in visits], homes, SeasonTravel(), 12)
    needed = sum(v.work_min for v in visits)
    needed += sum(c.between_min * len(c.members) + 2 * c.drive_min for c in cells)
    shares = [random.uniform(0.9, 1.1) for _ in range(weeks)]
    crew = needed / load / 0.85 / sum(shares)
    return SeasonFacts(
        visits=tuple(visits),
        weeks=tuple(
            SeasonWeek(MONDAY + timedelta(weeks=week), crew * share)
            for week, share in enumerate(shares)
        ),
        homes=homes,
        storm_chances=(0.02,) * (weeks - 2) + (0.25,) * 17,
    )
