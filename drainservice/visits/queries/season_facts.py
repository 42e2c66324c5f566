"""Rows become what a season is planned from: what is due at each site, whose week it may be, the
crew's minutes and what is promised of them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median

from drainservice.accounts import queries as accounts
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import (
    PlaceCannotBe,
    PlacesSwapped,
    check_near,
    make_place,
)
from drainservice.engine.rounds.season.facts import (
    GivenCosts,
    SeasonFacts,
    SeasonSettings,
    SeasonTravel,
    SeasonVisit,
    SeasonWeek,
)
from drainservice.engine.rounds.season.risk import risk_curves
from drainservice.register.models import Site
from drainservice.visits.models import HomeBase, State, Visit
from drainservice.visits.queries.closed import the_terms
from drainservice.visits.queries.crew import shifts_on
from drainservice.visits.queries.season_due import (
    PROMISED,
    UNKNOWN_MIN,
    Wanted,
    match_visits,
    open_visits,
    wanted_at_sites,
)
from drainservice.visits.queries.seasons import SeasonAhead
from drainservice.visits.queries.worth import (
    LEFT_OUT_UNITS,
    STORM_IN_SEASON,
    STORM_OUTSIDE,
)


@dataclass(frozen=True, slots=True)
class GatheredSeason:
    """Facts of a season and the rows behind them, by site number, which is each visit's key.

    `promised_min` by week are minutes of all that is promised, `begin_from` the weeks meant now.
    """

    season: SeasonAhead
    facts: SeasonFacts
    wanted: dict[int, Wanted]
    promised_min: tuple[float, ...]
    begin_from: dict[int, int | None]
    notes: tuple[str, ...]


def gather_season(season: SeasonAhead, *, at: datetime) -> GatheredSeason:
    """Everything due before the season begins at its places, in a fixed number of statements."""
    today = accounts.today_of_firm(at)
    terms = the_terms()
    wanted = wanted_at_sites(season)
    visits_ahead = open_visits(season)
    match_visits(wanted, visits_ahead, season, today)
    notes: list[str] = []
    homes = _homes(wanted.values(), notes)
    crew = crew_minutes(season, today)
    visits, begin = [], {}
    chances = {place: _chances(season, place) for place, _, _ in season.starts}
    for number in sorted(wanted):
        one = wanted[number]
        place, added = _place(one.site, homes, notes)
        visits.append(_visit(one, place, added, season, today, chances))
        if one.visit is not None and one.visit.state == State.PLANNED and not one.is_kept:
            begin[number] = season.week_of(one.visit.meant_for)
    theirs = {one.visit.pk for one in wanted.values() if one.visit is not None}
    promised, others = _promised(visits_ahead, theirs, season)
    facts = SeasonFacts(
        visits=tuple(visits),
        weeks=tuple(
            SeasonWeek(monday, crew[n], others[n]) for n, monday in enumerate(season.mondays)
        ),
        homes=tuple(homes),
        storm_chances=chances[season.starts[0][0]],
        travel=SeasonTravel(detour=terms.detour),
        settings=SeasonSettings(
            reserve_share=terms.reserve_percent / 100, moved_units=float(terms.move_offer_units)
        ),
    )
    return GatheredSeason(season, facts, wanted, tuple(promised), begin, tuple(notes))


def _visit(
    one: Wanted,
    place: Place,
    added: int,
    season: SeasonAhead,
    today: date,
    chances: Mapping[int, tuple[float, ...]],
) -> SeasonVisit:
    costs = risk_curves(
        one.risks, chances[one.site.jurisdiction_id], season.weeks, LEFT_OUT_UNITS
    ).sum(axis=0)
    earliest = 0
    if one.earliest_on is not None and one.earliest_on > season.first_week:
        earliest = min((one.earliest_on - season.first_week).days // 7, season.weeks - 1)
    last = season.week_of(one.hard_on) if one.hard_on and one.hard_on >= today else None
    week = None
    if one.visit is not None:
        week = season.week_of(one.visit.meant_for if one.is_kept else one.visit.day)
    is_promised = one.is_kept or (one.visit is not None and one.visit.state in PROMISED)
    is_offered = one.visit is not None and one.visit.state == State.OFFERED
    if is_offered and week is not None:
        # An offer that stands may stay where it is, whatever else is said.
        earliest, last = min(earliest, week), None if last is None else max(last, week)
    minutes = one.visit.minutes if one.visit is not None and not _is_free(one) else one.minutes
    return SeasonVisit(
        key=one.site.pk,
        place=place,
        work_min=float(minutes + added),
        costs=GivenCosts(tuple(float(c) for c in costs[:-1]), float(costs[-1])),
        earliest=earliest,
        last=None if last is None else max(last, earliest),
        promised=week if is_promised else None,
        offered=week if is_offered else None,
    )


def _is_free(one: Wanted) -> bool:
    return one.visit is None or (one.visit.state == State.PLANNED and not one.is_kept)


def _place(site: Site, homes: Sequence[Place], notes: list[str]) -> tuple[Place, int]:
    """Where it is, and the minutes to add; a site that nobody can place counts as at the yard."""
    try:
        place = make_place(site.latitude, site.longitude, site.address)
        check_near(place, homes[0], site.address)
    except (PlaceCannotBe, PlacesSwapped) as wrong:
        notes.append(f"{wrong} Until then 20 min of driving count each way.")
        return homes[0], UNKNOWN_MIN
    return place, 0


def _homes(wanted: Iterable[Wanted], notes: list[str]) -> list[Place]:
    bases = HomeBase.objects.standing().order_by("pk").values_list("latitude", "longitude")
    homes = [Place(lat, lon) for lat, lon in bases]
    if homes:
        return homes
    known = [
        (one.site.latitude, one.site.longitude)
        for one in wanted
        if one.site.latitude is not None and one.site.longitude is not None
    ]
    notes.append(
        "No home base is entered, so each drive is counted from the middle of the sites; enter a "
        "base on the page of the crew."
    )
    if not known:
        return [Place(0.01, 0.01)]
    return [Place(median(lat for lat, _ in known), median(lon for _, lon in known))]


def crew_minutes(season: SeasonAhead, today: date) -> list[float]:
    """Minutes of all shifts of each week from today on, breaks taken off."""
    first = max(season.first_week, today)
    count = (season.last_day - first).days + 1
    minutes = [0.0] * season.weeks
    for shift in shifts_on([first + timedelta(days=n) for n in range(count)]):
        week = season.week_of(shift.day)
        pause = shift.pause[2] if shift.pause is not None else 0
        if week is not None:
            length = (shift.ends_at - shift.starts_at).total_seconds() / 60
            minutes[week] += max(0.0, length - pause)
    return minutes


def promised_minutes(season: SeasonAhead) -> list[float]:
    """Minutes by week of all that was promised or offered."""
    return _promised(open_visits(season), set(), season)[0]


def _promised(
    visits: Iterable[Visit], theirs: set[int], season: SeasonAhead
) -> tuple[list[float], list[float]]:
    """Minutes by week of all that is promised, and of it what is not among the visits planned."""
    every, others = [0.0] * season.weeks, [0.0] * season.weeks
    for visit in visits:
        week = season.week_of(visit.day)
        if week is None or visit.state not in PROMISED | {State.OFFERED}:
            continue
        every[week] += visit.minutes
        if visit.pk not in theirs:
            others[week] += visit.minutes
    return every, others


def _chances(season: SeasonAhead, place: int) -> tuple[float, ...]:
    """The chance of a storm that matters, week by week, to the end of the place's wet season."""
    first, last = next((a, b) for where, a, b in season.starts if where == place)
    weeks = max((last - season.first_week).days // 7 + 1, season.weeks)
    mondays = (season.first_week + timedelta(weeks=n) for n in range(weeks))
    return tuple(
        STORM_IN_SEASON if first <= monday + timedelta(days=6) and monday <= last else STORM_OUTSIDE
        for monday in mondays
    )
