"""Rows become what a season is planned from: what is due at each site, whose week it may be, the
crew's minutes and what is promised of them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from statistics import median
from typing import Any

from django.db.models import Max

from drainservice.accounts import queries as accounts
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.places import PlaceCannotBe, PlacesSwapped, check_near, make_place
from drainservice.engine.rounds.season_facts import (
    GivenCosts,
    PumpRisk,
    SeasonFacts,
    SeasonSettings,
    SeasonTravel,
    SeasonVisit,
    SeasonWeek,
)
from drainservice.engine.rounds.season_risk import DEAD_UNITS, risk_curves
from drainservice.inspections.models import Due, Look
from drainservice.register.models import Site, Status, System
from drainservice.visits.models import OPEN, HomeBase, State, Visit
from drainservice.visits.queries.closed import the_terms
from drainservice.visits.queries.crew import shifts_on
from drainservice.visits.queries.minutes import read_times
from drainservice.visits.queries.seasons import SeasonAhead
from drainservice.visits.queries.worth import (
    DEAD_CHANCE,
    LEFT_OUT_UNITS,
    STORM_IN_SEASON,
    STORM_OUTSIDE,
    YEAR_WEEKS,
)

# Where nobody knows where a site is, it counts as 20 min from the yard each way: judgement.
UNKNOWN_MIN = 40
# Nobody looks again so soon after a look: judgement, as for due dates.
SPACING = timedelta(days=30)
PROMISED = {State.HELD, State.AGREED, State.AT_PIT}


@dataclass(slots=True)
class Wanted:
    """What is due at a site: looks by system, its risks, from when and by when; and the open visit
    that brings them already."""

    site: Site
    looks: dict[int, list[str]] = field(default_factory=dict)
    risks: list[PumpRisk] = field(default_factory=list)
    earliest_on: date | None = None
    hard_on: date | None = None
    wanted_by: date | None = None
    visit: Visit | None = None
    minutes: int = 0


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
    wanted = _wanted(season)
    open_visits = _open_visits(season)
    _match(wanted, open_visits, season)
    notes: list[str] = []
    homes = _homes(wanted.values(), notes)
    crew = crew_minutes(season, today)
    visits, begin = [], {}
    chances = {place: _chances(season, place) for place, _, _ in season.starts}
    for number in sorted(wanted):
        one = wanted[number]
        place, added = _place(one.site, homes, notes)
        visits.append(_visit(one, place, added, season, today, chances))
        if one.visit is not None and one.visit.state == State.PLANNED:
            begin[number] = season.week_of(one.visit.meant_for)
    theirs = {one.visit.pk for one in wanted.values() if one.visit is not None}
    promised, others = _promised(open_visits, theirs, season)
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


def _wanted(season: SeasonAhead) -> dict[int, Wanted]:
    """By site: the looks that are due before the season begins there, those past due with them:
    who is seen before the first week drops out by then."""
    starts = {place: first for place, first, _ in reversed(season.starts)}
    systems = System.objects.standing().filter(
        status=Status.IN_USE, site__removed_at__isnull=True, site__jurisdiction__in=starts
    )
    dues = Due.objects.current().filter(system__in=systems, due_on__lte=max(starts.values()))
    rows = dues.select_related("system__site").order_by("system__site_id", "system_id", "pk")
    found: dict[int, Wanted] = {}
    of_system: dict[int, list[Due]] = defaultdict(list)
    for due in rows:
        if due.due_on <= starts[due.system.site.jurisdiction_id]:
            of_system[due.system_id].append(due)
    looked = _last_looks(of_system)
    for system_id, each in of_system.items():
        system = each[0].system
        one = found.setdefault(system.site_id, Wanted(system.site))
        one.looks[system_id] = list(dict.fromkeys(due.kind for due in each))
        one.risks.append(_risk(system, each, looked.get(system_id), season))
        _bound(one, each, looked.get(system_id))
    times = read_times()
    for one in found.values():
        one.minutes = times.of(one.looks.values()).minutes
    return found


def _last_looks(systems: Iterable[int]) -> dict[int, date]:
    """The day each system's pump was last looked at."""
    looks = Look.objects.standing().filter(
        kind="pump",
        outcome="done",
        inspection__system__in=list(systems),
        inspection__removed_at__isnull=True,
        inspection__closed_at__isnull=False,
        inspection__corrected_by__isnull=True,
    )
    rows = looks.order_by().values("inspection__system").annotate(last=Max("inspection__on"))
    return {row["inspection__system"]: row["last"] for row in rows}


def _risk(
    system: System, dues: Sequence[Due], looked_on: date | None, season: SeasonAhead
) -> PumpRisk:
    """The pump's rate as its due date believes it (posterior mean), and its age since it was last
    looked at, built or entered, counted to the first week."""
    told: list[dict[str, Any]] = [
        due.answer["posterior"] for due in dues if due.answer.get("posterior")
    ]
    per_a = max((one["mean_per_a"] for one in told), default=DEAD_CHANCE)
    since = looked_on or system.installed_on or system.entered_on
    age = 52.0 if since is None else max(0.0, (season.first_week - since).days / 7)
    units = DEAD_UNITS.get(system.consequence, DEAD_UNITS["near_structure"])
    return PumpRisk(per_a / YEAR_WEEKS, age, units)


def _bound(one: Wanted, dues: Sequence[Due], looked_on: date | None) -> None:
    """A rule's day is a hard end; the other dates are weighed as risk."""
    if looked_on is not None:
        earliest = looked_on + SPACING
        one.earliest_on = min(one.earliest_on or earliest, earliest)
    hard = [due.due_on for due in dues if due.governed_by == "rule"]
    one.hard_on = min([day for day in (one.hard_on, *hard) if day], default=None)
    soonest = min(due.due_on for due in dues)
    one.wanted_by = min(one.wanted_by or soonest, soonest)


def _open_visits(season: SeasonAhead) -> list[Visit]:
    """Everything meant or booked until the season's end."""
    visits = Visit.objects.standing().filter(state__in=OPEN)
    visits = visits.select_related("site").prefetch_related("visit_systems").order_by("pk")
    rows = [v for v in visits if v.day is None or v.day <= season.last_day]
    # Those with a promise first: a planned visit of the same looks is the lesser claim.
    return sorted(rows, key=lambda v: (v.state == State.PLANNED, v.pk))


def _match(wanted: dict[int, Wanted], visits: Iterable[Visit], season: SeasonAhead) -> None:
    """The open visit that brings any of a site's looks is its visit; one that goes before the
    first week brings them before they are planned."""
    for visit in visits:
        one = wanted.get(visit.site_id)
        if one is None or one.visit is not None or not _brings(visit, one):
            continue
        if visit.state != State.PLANNED and season.week_of(visit.day) is None:
            del wanted[visit.site_id]
        else:
            one.visit = visit


def _brings(visit: Visit, one: Wanted) -> bool:
    rows = [row for row in visit.visit_systems.all() if row.removed_at is None]
    return any(set(row.looks_wanted) & set(one.looks.get(row.system_id, ())) for row in rows)


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
    week = season.week_of(one.visit.day) if one.visit is not None else None
    is_promised = one.visit is not None and one.visit.state in PROMISED
    is_offered = one.visit is not None and one.visit.state == State.OFFERED
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
    return one.visit is None or one.visit.state == State.PLANNED


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
    return _promised(_open_visits(season), set(), season)[0]


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
