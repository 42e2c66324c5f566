"""Shifts as the engine plans them: whole, or what is left of today from where somebody stands."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime, timedelta

from drainservice.engine.rounds.facts import Break, Shift
from drainservice.visits.models import Round, State, Visit
from drainservice.visits.queries.crew import CrewShift

BEEN_THERE = {State.AT_PIT, State.MADE, State.NOT_REACHED}
Seconds = Callable[[datetime], int]


def is_settled(visit: Visit, today: date) -> bool:
    """Whether it has been made or somebody is on the way or there: nothing of it may change, and
    the rest of that day starts there."""
    is_under_way = visit.set_out_at is not None and visit.day == today
    return visit.state in BEEN_THERE or (visit.state == State.AGREED and is_under_way)


def free_from(visit: Visit, at: datetime) -> datetime:
    """When a settled visit is expected to leave its technician free."""
    work = timedelta(minutes=visit.minutes)
    if visit.state in {State.MADE, State.NOT_REACHED}:
        return max(at, visit.left_at or at)
    if visit.state == State.AT_PIT and visit.arrived_at is not None:
        return max(at, visit.arrived_at + work)
    return max(at, visit.slot_starts_at or at) + work


def make_shift(
    crew: CrewShift,
    *,
    day0: date,
    base: int,
    seconds_of: Seconds,
    at: datetime,
    settled: Iterable[tuple[Visit, int]] = (),
    round_: Round | None = None,
) -> Shift | None:
    """A shift in the engine's terms; None where nothing is left of it.

    `settled` are today's visits of this technician that are made or under way, each with its
    place's number: the day goes on from the last of them.
    """
    starts_s, here = seconds_of(crew.starts_at), base
    ends_s = seconds_of(crew.ends_at)
    if at > crew.starts_at:
        starts_s = max(starts_s, seconds_of(at))
    last = max(settled, key=lambda one: (free_from(one[0], at), one[0].pk), default=None)
    if last is not None:
        starts_s, here = max(starts_s, seconds_of(free_from(last[0], at))), last[1]
    if starts_s >= ends_s + crew.overtime_minutes * 60:
        return None
    return Shift(
        technician=crew.technician.pk,
        day=(crew.day - day0).days,
        starts_s=starts_s,
        ends_s=ends_s,
        leaves_from=here,
        returns_to=base,
        overtime_s=crew.overtime_minutes * 60,
        pause=_pause(crew, starts_s, ends_s, seconds_of, at, round_),
        skills=crew.skills,
    )


def _pause(
    crew: CrewShift,
    starts_s: int,
    ends_s: int,
    seconds_of: Seconds,
    at: datetime,
    round_: Round | None,
) -> Break | None:
    """The break that is still to come. Today one that was planned to have begun, or whose time is
    over, is taken to have been had."""
    if crew.pause is None:
        return None
    earliest_at, latest_at, minutes = crew.pause
    earliest_s, latest_s = seconds_of(earliest_at), seconds_of(latest_at)
    was_had = (
        round_ is not None
        and round_.break_starts_at is not None
        and round_.break_starts_at <= at
        and starts_s > seconds_of(crew.starts_at)
    )
    if was_had or latest_s < starts_s or earliest_s >= ends_s:
        return None
    return Break(earliest_s, latest_s, minutes * 60)


def settled_by_technician(
    visits: Iterable[Visit], today: date, place_of: Callable[[int], int]
) -> Mapping[int, list[tuple[Visit, int]]]:
    """Today's settled visits of each technician, with the numbers of their places."""
    found: dict[int, list[tuple[Visit, int]]] = {}
    for visit in visits:
        if is_settled(visit, today) and visit.technician_id is not None:
            found.setdefault(visit.technician_id, []).append((visit, place_of(visit.site_id)))
    return found
