"""How a day breaks, and what must be known of its visits before anybody is disturbed.

Moments are seconds as in `facts`; technicians are named by their number, stops by their index in
`PlanInputs`, what is known of a stop by its key.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from drainservice.engine.rounds.facts import Break, PlanInputs, Shift, Stop

# Whom nobody asks any more, because the visit is too near: judgement.
TOO_NEAR_S = 2 * 3600


class Told(StrEnum):
    """What the household knows. A time held for somebody counts as agreed."""

    NOBODY = "nobody"
    OFFERED = "offered"
    AGREED = "agreed"


@dataclass(frozen=True, slots=True)
class StopFacts:
    """What a repair must know of a visit.

    `is_named`: the household was promised the technicians of `Stop.only`. `moved_before`: how
    often we have moved it this season. `can_wait_days`: until it is due, None where nobody knows.
    `technician`: who was to come, where no present round says. `is_held`: somebody is choosing
    this time at this moment.
    """

    name: str
    told: Told = Told.NOBODY
    is_named: bool = False
    is_living_space: bool = False
    moved_before: int = 0
    can_wait_days: int | None = None
    technician: int | None = None
    is_held: bool = False


@dataclass(frozen=True, slots=True)
class Away:
    """A technician who cannot go from one moment to another: ill, or without a van."""

    technician: int
    from_s: int
    until_s: int


@dataclass(frozen=True, slots=True)
class Late:
    """A technician who will be free later than planned, and where; None: where the shift says."""

    technician: int
    free_s: int
    place: int | None = None


@dataclass(frozen=True, slots=True)
class Broken:
    """All that is wrong with a day at one moment. `urgent` are stops that must be reached today,
    one that came in or a whole list before a storm."""

    now_s: int
    away: tuple[Away, ...] = ()
    late: tuple[Late, ...] = ()
    urgent: tuple[int, ...] = ()


Facts = Mapping[int, StopFacts]


def facts_of(facts: Facts, stop: Stop) -> StopFacts:
    """What is known of a stop; of one that nobody described, only that a promise is a promise."""
    told = Told.AGREED if stop.must else Told.NOBODY
    return facts.get(stop.key) or StopFacts(f"visit {stop.key}", told)


def why_never_asked(stop: Stop, known: StopFacts, now_s: int) -> str:
    """Why this household is not asked for another time; empty: it may be asked."""
    if known.is_held:
        return "somebody is choosing this time at this moment"
    if known.is_living_space:
        return "living space lies below grade there"
    if known.moved_before:
        return "we have moved it this season already"
    if min(window.from_s for window in stop.windows) < now_s + TOO_NEAR_S:
        return "it begins within 2 hours"
    return ""


def shifts_after(inputs: PlanInputs, broken: Broken) -> tuple[Shift, ...]:
    """The shifts with what is left of them. One of which nothing is left begins when it ends."""
    return tuple(_shift_after(shift, broken) for shift in inputs.shifts)


def _shift_after(shift: Shift, broken: Broken) -> Shift:
    if shift.starts_s < broken.now_s:
        shift = _begin_at(shift, broken.now_s, is_rested=True)
    for late in broken.late:
        if late.technician == shift.technician and late.free_s > shift.starts_s:
            shift = _begin_at(shift, late.free_s, is_rested=False)
        if late.technician == shift.technician and late.place is not None:
            shift = replace(shift, leaves_from=late.place)
    for away in broken.away:
        if away.technician == shift.technician:
            shift = _without(shift, away)
    return shift


def _begin_at(shift: Shift, at_s: int, *, is_rested: bool) -> Shift:
    """The shift from a later moment. A break that should have begun by then was taken, or begins
    at once where the technician was held up."""
    begins_s = min(at_s, shift.closes_s)
    pause = shift.pause
    if pause is not None and pause.latest_s < begins_s:
        pause = None if is_rested else Break(pause.earliest_s, begins_s, pause.length_s)
    over_s = max(0, begins_s - shift.ends_s)
    return replace(
        shift,
        starts_s=begins_s,
        ends_s=shift.ends_s + over_s,
        overtime_s=shift.overtime_s - over_s,
        pause=pause,
    )


def _without(shift: Shift, away: Away) -> Shift:
    """The longer part of the shift before or after somebody is away; nothing works overtime into
    an absence."""
    if away.until_s <= shift.starts_s or away.from_s >= shift.closes_s:
        return shift
    before_s, after_s = away.from_s - shift.starts_s, shift.ends_s - away.until_s
    if before_s <= 0 and after_s <= 0:
        return replace(shift, ends_s=shift.starts_s, overtime_s=0, pause=None)
    if before_s >= after_s:
        ends_s = min(shift.ends_s, away.from_s)
        overtime_s = min(shift.closes_s, away.from_s) - ends_s
        rest = replace(shift, ends_s=ends_s, overtime_s=overtime_s)
    else:
        rest = replace(shift, starts_s=away.until_s)
    return replace(rest, pause=_pause_within(rest))


def _pause_within(shift: Shift) -> Break | None:
    """The break, where what is left of the shift still has its time."""
    pause = shift.pause
    if pause is None or pause.latest_s < shift.starts_s:
        return None
    return pause if pause.earliest_s + pause.length_s <= shift.ends_s else None
