"""What cannot be planned: seasons that are refused, visits that are set aside with a sentence."""

from collections import Counter
from collections.abc import Iterator

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import (
    PlaceCannotBe,
    PlacesSwapped,
    check_near,
    check_place,
    haversine_km,
)
from drainservice.engine.rounds.season.facts import GivenCosts, SeasonFacts, SeasonVisit
from drainservice.engine.rounds.season.result import Fault, SetAside
from drainservice.engine.rounds.season.sets import MOST_WEEKS_A_CELL

MOST_WEEKS = 53
WEEK_MIN = 7 * 24 * 60.0
# Beyond any crew, and beyond any risk: a slip of the keys, not a season.
MOST_CREW_MIN = 1e8
MOST_UNITS = 1e9


class SeasonCannotBePlanned(ValueError):
    """The season as a whole lacks something; the text says what to enter."""


class NoWeeks(SeasonCannotBePlanned):
    """No week, or more than a year of them."""


class NoCrew(SeasonCannotBePlanned):
    """No week has a minute of crew that may be filled."""


class NoYard(SeasonCannotBePlanned):
    """Nowhere to set out from."""


class WeekCannotBe(SeasonCannotBePlanned):
    """A week's minutes are below nothing or no number, or weeks do not follow each other."""


class StormChancesCannotBe(SeasonCannotBePlanned):
    """Chances of storms that are missing for planned weeks, or no chances."""


class SettingCannotBe(SeasonCannotBePlanned):
    """A setting of the season outside of what makes sense."""


class TwoVisitsOneKey(SeasonCannotBePlanned):
    """Two visits go by the same key."""


def refuse_impossible_season(facts: SeasonFacts) -> None:
    """Raise SeasonCannotBePlanned (by the kind that fits) or PlaceCannotBe for a yard."""
    count = len(facts.weeks)
    if not 1 <= count <= MOST_WEEKS:
        raise NoWeeks(
            f"A season has 1 to {MOST_WEEKS} weeks, not {count}; choose its first and last."
        )
    if not facts.homes:
        raise NoYard("No yard was given to set out from; enter where the crew leaves.")
    for home in facts.homes:
        check_place(home, "A yard")
    _refuse_settings(facts)
    _refuse_weeks(facts)
    chances = facts.storm_chances
    if len(chances) < count or not all(0.0 <= chance <= 1.0 for chance in chances):
        raise StormChancesCannotBe(
            f"Each of the {count} weeks needs its chance of a storm, from 0 to 1, and the wet "
            f"season behind them should have its own; {len(chances)} were given."
        )
    twice = [key for key, times in Counter(v.key for v in facts.visits).items() if times > 1]
    if twice:
        raise TwoVisitsOneKey(f"Visit {twice[0]} was given twice; give each visit once.")


def _refuse_weeks(facts: SeasonFacts) -> None:
    for before, after in zip(facts.weeks, facts.weeks[1:], strict=False):
        if (after.starts_on - before.starts_on).days != 7:
            raise WeekCannotBe(
                f"The week after {before.starts_on.isoformat()} starts seven days later, not on "
                f"{after.starts_on.isoformat()}; give the weeks in order, none left out."
            )
    for week in facts.weeks:
        minutes = (week.crew_min, week.promised_min)
        if not all(0.0 <= given <= MOST_CREW_MIN for given in minutes):
            raise WeekCannotBe(
                f"The crew's minutes in the week of {week.starts_on.isoformat()} are below "
                f"nothing or above {MOST_CREW_MIN:,.0f}; correct its shifts, absences or promises."
            )
    if all(facts.rim_min(week) <= 0.0 for week in range(len(facts.weeks))):
        raise NoCrew(
            "In no week has the crew a minute left after the reserve and what is promised; enter "
            "shifts, or open days."
        )


def _refuse_settings(facts: SeasonFacts) -> None:
    travel, given = facts.travel, facts.settings
    speeds = (travel.speed_kmh, travel.near_speed_kmh)
    if not (1.0 <= travel.detour <= 3.0 and all(0.0 < speed <= 130.0 for speed in speeds)):
        raise SettingCannotBe(
            "Roads are 1 to 3 times the straight way and driven at speeds above 0, up to 130 km/h; "
            "correct detour or speed."
        )
    if not 0.0 <= travel.park_min <= 60.0:
        raise SettingCannotBe("To park and walk takes 0 to 60 minutes; correct it.")
    if not 0.0 <= given.reserve_share < 1.0:
        raise SettingCannotBe("The reserve is a share of the crew from 0 to below 1, such as 0.15.")
    if not all(0.0 <= units <= MOST_UNITS for units in (given.moved_units, given.left_out_units)):
        raise SettingCannotBe(
            "What moving an offer or leaving out costs cannot be below nothing, nor beyond "
            f"{MOST_UNITS:,.0f} units; correct it."
        )
    if not (given.cell_visits >= 1 and 1 <= given.cell_weeks <= MOST_WEEKS_A_CELL):
        raise SettingCannotBe(
            "A neighbourhood has at least one visit and is driven to in 1 to "
            f"{MOST_WEEKS_A_CELL} weeks; correct these two settings."
        )


def find_set_aside(facts: SeasonFacts) -> tuple[SetAside, ...]:
    """The visits that cannot be planned, each with its first fault and what to change."""
    found = []
    for visit in facts.visits:
        first = next(_faults_of(visit, facts), None)
        if first is not None:
            found.append(SetAside(visit.key, *first))
    return tuple(found)


def _faults_of(visit: SeasonVisit, facts: SeasonFacts) -> Iterator[tuple[Fault, str]]:
    named = f"Visit {visit.key}"
    place = _place_fault(visit.place, facts, named)
    if place:
        yield Fault.PLACE, place
    if not 0.0 < visit.work_min <= WEEK_MIN:
        yield (
            Fault.MINUTES,
            f"{named} would take {visit.work_min:g} minutes; enter how long it takes, above 0 and "
            "below a week.",
        )
    costs = _cost_fault(visit, facts, named)
    if costs:
        yield Fault.COSTS, costs
    if visit.promised is not None:
        yield from _promise_faults(visit.promised, facts, named)
    else:
        yield from _week_faults(visit, facts, named)


def _place_fault(place: Place, facts: SeasonFacts, named: str) -> str:
    try:
        check_place(place, named)
        nearest = min(facts.homes, key=lambda home: haversine_km(home, place))
        check_near(place, nearest, named)
    except (PlaceCannotBe, PlacesSwapped) as why:
        return str(why)
    return ""


def _cost_fault(visit: SeasonVisit, facts: SeasonFacts, named: str) -> str:
    given = visit.costs
    if isinstance(given, GivenCosts):
        if len(given.weeks) != len(facts.weeks):
            return (
                f"{named} has costs for {len(given.weeks)} weeks, the season has "
                f"{len(facts.weeks)}; give one for each."
            )
        values = (*given.weeks, given.left_out)
    else:
        values = (given.failure_per_week, given.age_weeks, given.dead_units)
    if all(0.0 <= value <= MOST_UNITS for value in values):
        return ""
    return (
        f"{named} has a risk that is no number, below nothing or beyond {MOST_UNITS:,.0f}; correct "
        "its rate, age or costs."
    )


def _promise_faults(week: int, facts: SeasonFacts, named: str) -> Iterator[tuple[Fault, str]]:
    if not 0 <= week < len(facts.weeks):
        yield (
            Fault.PROMISED_OUTSIDE,
            f"{named} is promised for a week outside this season; plan it in the season it is in.",
        )
    elif facts.weeks[week].crew_min <= 0.0:
        yield (
            Fault.PROMISED_CLOSED,
            f"{named} is promised for the week of {facts.weeks[week].starts_on.isoformat()}, in "
            "which nobody works; move the promise, or open a day.",
        )


def _week_faults(visit: SeasonVisit, facts: SeasonFacts, named: str) -> Iterator[tuple[Fault, str]]:
    weeks = len(facts.weeks)
    last = weeks - 1 if visit.last is None else min(visit.last, weeks - 1)
    if last < 0 or visit.earliest >= weeks:
        yield (
            Fault.OUTSIDE_SEASON,
            f"{named} has no week within this season; plan it by hand, or choose other weeks.",
        )
    if last < visit.earliest:
        yield (
            Fault.ENDS_BEFORE_IT_BEGINS,
            f"{named} must be made by week {last + 1}, but not before week {visit.earliest + 1}; "
            "correct its last week, or the days kept between looks.",
        )
    if visit.offered is not None and not 0 <= visit.offered < weeks:
        yield (
            Fault.OFFERED_OUTSIDE,
            f"{named} is offered for a week outside this season; take the offer back first.",
        )
    allowed = range(max(visit.earliest, 0), last + 1)
    if not any(facts.weeks[week].crew_min > 0.0 for week in allowed):
        yield (
            Fault.ALL_CLOSED,
            f"{named} may only be made in weeks in which nobody works; open one.",
        )
    elif visit.work_min > max(facts.rim_min(week) for week in allowed):
        yield (
            Fault.TOO_LONG,
            f"{named} takes {visit.work_min:g} minutes, more than any of its weeks may be filled "
            "with; split it, or add crew.",
        )
