"""What the page of a day's rounds says: how the day stands, each round, each gate, each plan."""

import math
from dataclasses import dataclass
from datetime import date, datetime

from drainservice.accounts import wall
from drainservice.engine.drawings.dates import say_span
from drainservice.visits.models import Lock, Plan, PlanState, State, Visit
from drainservice.visits.queries import DayRound, DayRounds
from drainservice.visits.queries.said import say_day, say_first_name, say_instant
from drainservice.web.words import count_of, visit_phrase, window

OVER = {State.MADE, State.NOT_REACHED}
CAN_HAND_ON = {State.PLANNED, State.OFFERED, State.AGREED}


@dataclass(frozen=True, slots=True)
class Gate:
    """One visit of a round as the page tells it."""

    visit: Visit
    about: str
    spare: str
    is_tight: bool
    state: str
    lock: str
    can_hand_on: bool
    can_take_out: bool
    can_lock: bool


def say_lead(found: DayRounds, today: date) -> str:
    """Four rounds, 31 visits; the tightest promise is 12 Mill Lane, 6 min to spare."""
    day = say_day(found.day)
    driven = [one for one in found.rounds if one.visits]
    many = sum(len(one.visits) for one in driven)
    if not driven:
        if found.day < today:
            return f"{day}: nobody drove."
        return f"{day}: no visit stands in a round yet."
    told = f"{day}: {count_of(len(driven), 'round,rounds')}, {count_of(many, 'visit,visits')}"
    broken = [one for one in driven if not one.is_kept]
    if broken:
        names = " and ".join(say_first_name(one.technician) for one in broken)
        verb = "keeps" if len(broken) == 1 else "keep"
        return f"{told}; {names} no longer {verb} every promise as the day stands."
    if found.day < today:
        return f"{told}."
    tight = min((one.tightest for one in driven if one.tightest), key=lambda t: t[0], default=None)
    if tight is None:
        return f"{told}; nobody has been promised anything that still lies ahead."
    return f"{told}; the tightest promise is {tight[1].site.address}, {_spare(tight[0])}."


def say_round(round_: DayRound) -> str:
    """8 to 5, 6 visits, 1 h 40 min of driving, 12 min of overtime."""
    shift = round_.crew.shift
    if shift is None:
        return round_.crew.why or "No shift on this day."
    zone = round_.visits[0].site.zone if round_.visits else ""
    parts = [count_of(len(round_.visits), "visit,visits")]
    if zone:
        hours = f"{say_instant(shift.starts_at, zone)} to {say_instant(shift.ends_at, zone)}"
        parts.insert(0, hours)
    if round_.driving_s:
        parts.append(f"{say_span(round(round_.driving_s / 60))} of driving ahead")
    if round_.overtime_s:
        parts.append(f"{say_span(-(-round_.overtime_s // 60))} of overtime")
    said = ", ".join(parts) + "."
    said = said[:1].upper() + said[1:]
    if not round_.is_kept:
        said += " Not every promise, the break and the way home can be kept as it stands."
    why = round_.crew.why
    return f"{why[:1].upper()}{why[1:]} {said}" if why else said


def say_gates(round_: DayRound) -> list[Gate]:
    """The visits of a round in order."""
    return [_gate(visit, round_) for visit in round_.visits]


def _gate(visit: Visit, round_: DayRound) -> Gate:
    room = round_.rooms_min.get(visit.pk)
    is_told = visit.state != State.PLANNED
    is_bound = visit.is_named and is_told
    return Gate(
        visit=visit,
        about=_about(visit, round_.starts_at.get(visit.pk, visit.slot_starts_at)),
        spare=_spare(room) if room is not None and is_told else "",
        is_tight=room is not None and is_told and room < 15,
        state=visit_phrase(visit),
        lock=f"Locked: {Lock(visit.lock).label} stay{'s' if visit.lock == Lock.TECHNICIAN else ''}."
        if visit.lock
        else "",
        can_hand_on=visit.state in CAN_HAND_ON and not visit.lock and not is_bound,
        can_take_out=visit.state == State.PLANNED,
        can_lock=visit.state in {State.PLANNED, State.OFFERED, State.HELD, State.AGREED},
    )


def _about(visit: Visit, starts_at: datetime | None) -> str:
    """about 10:20, promised 9 to 11"""
    if starts_at is None or visit.state in OVER:
        return ""
    start = wall.local(starts_at, visit.site.zone)
    said = f"about {start.hour}:{start:%M}"
    told = window(visit) if visit.state != State.PLANNED else ""
    return f"{said}, promised {told}" if told else said


def _spare(minutes: float) -> str:
    spare = math.floor(minutes)
    if spare < 0:
        return f"{say_span(-spare)} too late"
    return f"{say_span(spare)} to spare" if spare else "no time to spare"


def say_plan_line(plan: Plan) -> str:
    """One plan in a line: what it is about, how it stands."""
    about = "A better order"
    if plan.kind == "repair":
        about = "A repair"
    elif plan.first_on != plan.last_on:
        about = f"A better order until {say_day(plan.last_on)}"
    if plan.what_if:
        about = f"What if: {plan.what_if}"
    ends = {
        PlanState.THINKING: "is being looked for",
        PlanState.READY: "is ready to be looked at",
        PlanState.ADOPTED: "was adopted",
        PlanState.STALE: "was overtaken by a change of the rounds",
        PlanState.FAILED: "could not be found",
    }
    return f"{about} {ends.get(PlanState(plan.state), 'was put aside')}."
