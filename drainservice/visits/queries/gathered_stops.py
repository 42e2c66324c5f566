"""Visits as the engine plans them: what each state lets a planner do."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import F
from django.db.models import Window as Over
from django.db.models.functions import RowNumber

from drainservice.engine.rounds.facts import DAY_S, Place, Stop, Window
from drainservice.visits.models import BOOKED, Lock, PlanningTerms, State, Visit
from drainservice.visits.queries.crew import CrewShift, Polygon
from drainservice.visits.queries.worth import Wanted

NOON_S = 12 * 3600
LAST_VISITS = 5
WEEK = timedelta(days=7)
WORKDAYS = timedelta(days=5)
# What each earlier move adds to moving a promise again: judgement.
MOVED_BEFORE_UNITS = 60
BOUND_TO_TECHNICIAN = {Lock.TECHNICIAN, Lock.DAY, Lock.START}
BOUND_TO_DAY = {Lock.DAY, Lock.START}


def is_promised(visit: Visit, at: datetime) -> bool:
    """Whether its window stands for somebody: offered, agreed, or held and not run out."""
    if visit.state == State.HELD:
        return visit.held_until is not None and visit.held_until > at
    return visit.state in BOOKED


def is_placed(visit: Visit, at: datetime) -> bool:
    """Whether it has its time in somebody's round; a hold that ran out is free again."""
    if visit.slot_starts_at is None or visit.technician_id is None:
        return False
    return visit.state == State.PLANNED or is_promised(visit, at)


@dataclass(frozen=True, slots=True)
class StopFacts:
    """What all stops of a plan share. `spans` are from the first start to the last end of each
    day's shifts, by number of the day; `areas` those of the technicians who have any."""

    day0: date
    at: datetime
    seconds_of: Callable[[datetime], int]
    spans: Mapping[int, tuple[int, int]]
    terms: PlanningTerms
    usual: Mapping[int, int]
    areas: Mapping[int, tuple[Polygon, ...]]
    wanted: Mapping[int, Wanted] = field(default_factory=dict)
    worth: Mapping[int, int] = field(default_factory=dict)
    for_repair: bool = False


def make_stop(visit: Visit, place: int, point: Place | None, facts: StopFacts) -> Stop | None:
    """The visit as a stop; None where none of the days is open to it."""
    is_must = is_promised(visit, facts.at)
    windows = _promise(visit, facts) if is_must else _options(visit, facts)
    if not windows:
        return None
    is_kept = is_placed(visit, facts.at)
    keeps_start = is_kept and visit.lock == Lock.START and visit.slot_starts_at is not None
    return Stop(
        key=visit.pk or 0,
        place=place,
        work_s=visit.minutes * 60,
        windows=windows,
        must=is_must,
        worth=0 if is_must else facts.worth.get(visit.pk, 0),
        skills=frozenset(visit.skills_wanted),
        only=_only(visit, is_must, is_kept),
        usual=facts.usual.get(visit.site_id),
        apart=apart_of(point, facts.areas, facts.terms.outside_area_units),
        fixed_s=facts.seconds_of(visit.slot_starts_at) if keeps_start else None,  # type: ignore[arg-type]
        move_units=_move_units(visit, facts) if is_must and facts.for_repair else None,
    )


def _promise(visit: Visit, facts: StopFacts) -> tuple[Window, ...]:
    assert visit.window_starts_at is not None  # a booked visit has a promise:
    assert visit.window_ends_at is not None  # a constraint says so
    return (
        Window(facts.seconds_of(visit.window_starts_at), facts.seconds_of(visit.window_ends_at)),
    )


def _only(visit: Visit, is_must: bool, is_kept: bool) -> frozenset[int] | None:
    is_bound = (is_must and visit.is_named) or (is_kept and visit.lock in BOUND_TO_TECHNICIAN)
    return frozenset({visit.technician_id}) if is_bound and visit.technician_id else None


def _move_units(visit: Visit, facts: StopFacts) -> int | None:
    if visit.state == State.AGREED:
        return facts.terms.move_promise_units + MOVED_BEFORE_UNITS * visit.sequence
    return facts.terms.move_offer_units


def _options(visit: Visit, facts: StopFacts) -> tuple[Window, ...]:
    """Whole days, or the halves that are liked; the day it stands on in any case."""
    start_s = None
    if is_placed(visit, facts.at) and visit.slot_starts_at is not None:
        start_s = facts.seconds_of(visit.slot_starts_at)
    if start_s is not None and visit.lock in BOUND_TO_DAY:
        return _whole([start_s // DAY_S], facts)
    open_days = [day for day in sorted(facts.spans) if _is_open(visit, day, facts)]
    found = _liked(visit, _before_it_is_past(visit, open_days, facts), facts)
    if start_s is not None and not any(w.from_s <= start_s <= w.to_s for w in found):
        found = tuple(sorted({*found, *_whole([start_s // DAY_S], facts)}))
    return found


def _is_open(visit: Visit, day: int, facts: StopFacts) -> bool:
    on = facts.day0 + timedelta(days=day)
    if visit.is_urgent:
        return True
    if visit.meant_for is not None:
        monday = visit.meant_for - timedelta(days=visit.meant_for.weekday())
        # What its own week has not seen by Saturday, any later week may take.
        today = facts.day0 + timedelta(days=facts.seconds_of(facts.at) // DAY_S)
        return on >= monday and (on < monday + WEEK or today >= monday + WORKDAYS)
    wanted = facts.wanted.get(visit.pk)
    return wanted is None or wanted.opens_on is None or on >= wanted.opens_on


def _before_it_is_past(visit: Visit, days: Sequence[int], facts: StopFacts) -> Sequence[int]:
    """Days before it is past due, where there are any; else all, for it is late already."""
    if visit.wanted_by is None:
        return days
    return [day for day in days if facts.day0 + timedelta(days=day) <= visit.wanted_by] or days


def _liked(visit: Visit, days: Sequence[int], facts: StopFacts) -> tuple[Window, ...]:
    """The days and halves that the household likes; all of them where it can have none."""
    likes = {str(like) for like in visit.likes}
    weekdays = [day for day in days if str((facts.day0 + timedelta(days=day)).weekday()) in likes]
    windows = _whole(weekdays or days, facts)
    halves = likes & {"morning", "afternoon"}
    if len(halves) != 1:
        return windows
    cut = [_half(window, "morning" in halves) for window in windows]
    return tuple(window for window in cut if window.from_s <= window.to_s) or windows


def _half(window: Window, is_morning: bool) -> Window:
    noon_s = window.from_s // DAY_S * DAY_S + NOON_S
    if is_morning:
        return Window(window.from_s, min(window.to_s, noon_s))
    return Window(max(window.from_s, noon_s), window.to_s)


def _whole(days: Iterable[int], facts: StopFacts) -> tuple[Window, ...]:
    return tuple(Window(*facts.spans[day]) for day in days if day in facts.spans)


def usual_technicians(site_ids: Iterable[int]) -> dict[int, int]:
    """Who made most of the last five visits made at each site; of equals, who was there last."""
    newest = Over(
        RowNumber(), partition_by=F("site_id"), order_by=[F("left_at").desc(), F("pk").desc()]
    )
    made = Visit.objects.standing().filter(
        state=State.MADE, site__in=set(site_ids), technician__isnull=False
    )
    rows = made.annotate(newest=newest).filter(newest__lte=LAST_VISITS).order_by("newest")
    who: dict[int, list[int]] = {}
    for site_id, technician_id in rows.values_list("site_id", "technician_id"):
        who.setdefault(site_id, []).append(technician_id)
    # `max` keeps the first of equals, and the newest stand first.
    return {site_id: max(each, key=each.count) for site_id, each in who.items()}


def areas_of(shifts: Iterable[CrewShift]) -> dict[int, tuple[Polygon, ...]]:
    """The areas of every technician who has any."""
    return {shift.technician.pk: shift.areas for shift in shifts if shift.areas}


def apart_of(
    point: Place | None, areas: Mapping[int, tuple[Polygon, ...]], units: int
) -> tuple[tuple[int, int], ...]:
    """What it costs that somebody comes in whose areas do not hold the point."""
    if point is None:
        return ()
    return tuple(
        (technician, units)
        for technician, each in sorted(areas.items())
        if not any(is_within(point, corners) for corners in each)
    )


def is_within(point: Place, corners: Polygon) -> bool:
    """Whether a point lies in a polygon: a ray from it crosses the outline an odd number of
    times."""
    is_inside = False
    for (lat_a, lon_a), (lat_b, lon_b) in zip(corners, [*corners[1:], corners[0]], strict=True):
        if (lat_a > point.lat) != (lat_b > point.lat):
            crosses_lon = lon_a + (point.lat - lat_a) / (lat_b - lat_a) * (lon_b - lon_a)
            is_inside ^= point.lon < crosses_lon
    return is_inside
