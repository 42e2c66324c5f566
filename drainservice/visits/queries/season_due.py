"""What is due at each site before a season begins, and the open visit that brings it already."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Max

from drainservice.engine.rounds.season.facts import (
    PumpRisk,
)
from drainservice.engine.rounds.season.risk import DEAD_UNITS
from drainservice.inspections.models import Due, Look
from drainservice.register.models import Site, Status, System
from drainservice.visits.models import OPEN, State, Visit
from drainservice.visits.queries.minutes import read_times
from drainservice.visits.queries.seasons import SeasonAhead
from drainservice.visits.queries.seen import end_of_next_week
from drainservice.visits.queries.worth import (
    DEAD_CHANCE,
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
    that brings them already. `is_kept`: that visit is so near, or so urgent, that it stays in its
    week though nobody was told."""

    site: Site
    looks: dict[int, list[str]] = field(default_factory=dict)
    risks: list[PumpRisk] = field(default_factory=list)
    earliest_on: date | None = None
    hard_on: date | None = None
    wanted_by: date | None = None
    visit: Visit | None = None
    is_kept: bool = False
    minutes: int = 0


def wanted_at_sites(season: SeasonAhead) -> dict[int, Wanted]:
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


def open_visits(season: SeasonAhead) -> list[Visit]:
    """Everything meant or booked until the season's end."""
    visits = Visit.objects.standing().filter(state__in=OPEN)
    visits = visits.select_related("site").prefetch_related("visit_systems").order_by("pk")
    rows = [v for v in visits if v.day is None or v.day <= season.last_day]
    # Those with a promise first: a planned visit of the same looks is the lesser claim.
    return sorted(rows, key=lambda v: (v.state == State.PLANNED, v.pk))


def match_visits(
    wanted: dict[int, Wanted], visits: Iterable[Visit], season: SeasonAhead, today: date
) -> None:
    """The open visit that brings any of a site's looks is its visit; one that goes before the
    first week brings them before they are planned."""
    for visit in visits:
        one = wanted.get(visit.site_id)
        if one is None or one.visit is not None or not _brings(visit, one):
            continue
        is_kept = visit.state == State.PLANNED and _is_near(visit, today)
        day = visit.meant_for if is_kept else visit.day
        if (is_kept or visit.state != State.PLANNED) and season.week_of(day) is None:
            del wanted[visit.site_id]
        else:
            one.visit, one.is_kept = visit, is_kept


def _is_near(visit: Visit, today: date) -> bool:
    """Meant for this week or the next, so that somebody may be booking it this morning."""
    if visit.meant_for is None:
        return visit.is_urgent
    monday = today - timedelta(days=today.weekday())
    return monday <= visit.meant_for <= end_of_next_week(today)


def _brings(visit: Visit, one: Wanted) -> bool:
    rows = [row for row in visit.visit_systems.all() if row.removed_at is None]
    return any(set(row.looks_wanted) & set(one.looks.get(row.system_id, ())) for row in rows)
