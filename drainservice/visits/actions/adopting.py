"""Adopting a plan of rounds: one act, on the rounds it was asked on, judged once more on the facts
of now; who was promised something else is told once, after the half minute in which it can be
undone."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.db.models import F

from drainservice.accounts import history, wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.history import ChangedMeanwhile, RuleBroken
from drainservice.engine.rounds.broken import shifts_after
from drainservice.engine.rounds.carry import allow_what_it_asks, carry_over
from drainservice.engine.rounds.check import drive_round, find_faults
from drainservice.engine.rounds.facts import Gate, PlanInputs, Stop
from drainservice.engine.rounds.facts import Plan as Rounds
from drainservice.engine.rounds.repair_stored import read_repair
from drainservice.visits.actions.access import open_for
from drainservice.visits.actions.book import announce
from drainservice.visits.actions.plans import need_plan
from drainservice.visits.actions.season import adopt_season
from drainservice.visits.actions.slots import NewTime, write_times
from drainservice.visits.models import Plan, PlanKind, PlanState, Round, State, Visit
from drainservice.visits.queries.broken_day import gather_for_repair
from drainservice.visits.queries.gathered import Gathered, gather_rounds
from drainservice.visits.queries.gathered_stops import is_promised
from drainservice.visits.queries.proposals import days_of, proposal_of, versions_of
from drainservice.visits.queries.reached import reached_only

WHAT_IF = (
    "This plan tries what would be if; it cannot be adopted. Change the facts themselves, such as "
    "an absence, and ask again."
)
# What a visit is that nobody was promised, or whose hold ran out; its time may still be planned.
NOBODY_TOLD: dict[str, Any] = {
    "state": State.PLANNED,
    "held_until": None,
    "held_token": None,
    "window_from": None,
    "window_to": None,
    "window_starts_at": None,
    "window_ends_at": None,
}
STALE = (
    "The rounds have changed since this plan was asked for ({why}), so it was not adopted and "
    "nothing was changed. Fit it to the rounds of now, or ask again."
)


class PlanIsStale(CannotBeDone):
    """What the plan was asked on is no longer so."""


class CannotAdopt(CannotBeDone):
    """The plan is not one that is done."""


@dataclass(frozen=True, slots=True)
class Fresh:
    """A proposal on the facts of now: rounds that the judge passed, and the rows behind them."""

    gathered: Gathered
    inputs: PlanInputs
    rounds: Rounds


def adopt_plan(plan: Plan, *, asker: Asker) -> Plan:
    """Do what the plan proposes, whole or not at all.

    Errors: NotInThisPlan, CannotAdopt, PlanIsStale; the plan is then marked as stale.
    """
    need_plan(plan, PlanState.READY)
    if plan.what_if:
        raise CannotAdopt(WHAT_IF)
    try:
        return _adopt(plan, asker=asker if asker.group else asker.acting(group=uuid4().hex))
    except PlanIsStale:
        _mark_stale(plan.pk, asker)
        raise
    except (ChangedMeanwhile, RuleBroken) as clash:
        _mark_stale(plan.pk, asker)
        raise PlanIsStale(STALE.format(why="somebody booked at this moment")) from clash


@transaction.atomic
def _adopt(plan: Plan, *, asker: Asker) -> Plan:
    row: Plan = Plan.objects.select_for_update().get(pk=plan.pk)
    need_plan(row, PlanState.READY)
    told = adopt_season(row, asker=asker) if row.kind == PlanKind.SEASON else _write(row, asker)
    Plan.objects.filter(pk=row.pk).update(done=row.done | told)
    row.done = row.done | told
    return history.keep(
        row, asker=asker, state=PlanState.ADOPTED, ended_at=asker.at, group=asker.group
    )


def _write(row: Plan, asker: Asker) -> dict[str, Any]:
    """Write the rounds; answers what undoing must know."""
    guard_rounds(row)
    fresh = say_in_terms_of_now(row, asker.at)
    changes = _changes(fresh, asker)
    touched = _touched(changes, fresh)
    before = raise_versions(touched, fresh)
    write_times([change for change, _ in changes], asker=asker)
    for change, kind in changes:
        _follow(change.visit, kind, asker)
    return {"breaks_before": before}


@transaction.atomic
def _mark_stale(plan_id: int, asker: Asker) -> None:
    row = Plan.objects.select_for_update().get(pk=plan_id)
    if row.state == PlanState.READY:
        # Apart from the act that was not done, so that there is nothing of it to undo.
        history.keep(row, asker=asker, state=PlanState.STALE)


def guard_rounds(plan: Plan) -> None:
    """Lock the plan's rounds and compare their versions. Errors: PlanIsStale."""
    wanted = versions_of(plan)
    days = {day for _, day in wanted}
    # Rows are made where there are none, so that there is something to lock.
    Round.objects.bulk_create(
        [
            Round(technician_id=who, day=day)
            for (who, day), version in wanted.items()
            if not version
        ],
        ignore_conflicts=True,
    )
    rows = Round.objects.select_for_update().filter(day__in=days)
    rows = rows.order_by("technician_id", "day")
    found = {(row.technician_id, row.day): row.version for row in rows}
    changed = [key for key, version in wanted.items() if found.get(key) != (version or 1)]
    if changed:
        raise PlanIsStale(STALE.format(why=_who(changed)))


def _who(changed: list[tuple[int, date]]) -> str:
    days = sorted({day for _, day in changed})
    said = ", ".join(f"{day:%a} {day.day} {day:%b}" for day in days[:3])
    more = f" and {len(days) - 3} more days" if len(days) > 3 else ""
    return f"{said}{more}"


def say_in_terms_of_now(plan: Plan, at: datetime) -> Fresh:
    """The proposal on today's facts, passed by the judge. Errors: PlanIsStale."""
    old, rounds = proposal_of(plan)
    is_repair = plan.kind == PlanKind.REPAIR
    gathered = gather_for(plan, at, days_of(plan))
    new = what_a_repair_sees(plan, gathered, at) if is_repair else gathered.inputs
    carried = carry_over(old, rounds, new)
    if carried.lost:
        raise PlanIsStale(STALE.format(why=f"{len(carried.lost)} of its visits"))
    faults = find_faults(new, carried.plan)
    if faults:
        raise PlanIsStale(STALE.format(why="what it needs is not free any more"))
    return Fresh(gathered, new, carried.plan)


def gather_for(plan: Plan, at: datetime, days: list[date]) -> Gathered:
    """The days as a plan of its kind reads them."""
    if plan.kind == PlanKind.REPAIR:
        return gather_for_repair(days, at=at)
    return reached_only(gather_rounds(at=at, days=days))


def what_a_repair_sees(plan: Plan, gathered: Gathered, at: datetime) -> PlanInputs:
    """The facts of now after what broke, with what the repair asks of people."""
    old, rounds = proposal_of(plan)
    broken = replace(read_repair(plan.inputs).broken, now_s=gathered.seconds_of(at))
    left = replace(gathered.inputs, shifts=shifts_after(gathered.inputs, broken))
    return allow_what_it_asks(old, rounds, left)


def _changes(fresh: Fresh, asker: Asker) -> list[tuple[NewTime, str]]:
    """What becomes of each visit that changes, and the fact to announce of it (empty: none)."""
    found = []
    people = {shift.technician.pk: shift.technician for shift in fresh.gathered.shifts}
    for round_ in fresh.rounds.rounds:
        driven = drive_round(fresh.inputs, round_)
        assert driven is not None  # the judge has driven it
        who = people[fresh.inputs.shifts[round_.shift].technician]
        for gate, start_s in zip(round_.gates, driven.starts_s, strict=True):
            stop, visit = fresh.inputs.stops[gate.stop], fresh.gathered.visits[gate.stop]
            starts_at = fresh.gathered.instant_of(start_s)
            ends_at = starts_at + timedelta(minutes=visit.minutes)
            more, kind = _promise(visit, stop, gate, who.pk, fresh.gathered)
            if not is_promised(visit, asker.at):
                more |= NOBODY_TOLD | {"day": wall.today_in(visit.site.zone, starts_at)}
            found.append((NewTime(visit, who, starts_at, ends_at, more), kind))
    for number in fresh.rounds.left_out:
        change = _left_out(fresh.gathered.visits[number], asker)
        if change is not None:
            found.append((change, ""))
    return [(change, kind) for change, kind in found if _is_change(change)]


def _is_change(change: NewTime) -> bool:
    visit = change.visit
    now = (visit.technician_id, visit.slot_starts_at, visit.slot_ends_at)
    who = None if change.technician is None else change.technician.pk
    is_same = now == (who, change.starts_at, change.ends_at)
    return not is_same or any(getattr(visit, name) != new for name, new in change.more.items())


def _promise(
    visit: Visit, stop: Stop, gate: Gate, technician_id: int, gathered: Gathered
) -> tuple[dict[str, Any], str]:
    """What changes of a promise, and the fact that tells the household; nothing while the window
    stands and nobody was promised by name."""
    if visit.window_starts_at is None or visit.state not in {
        State.HELD,
        State.OFFERED,
        State.AGREED,
    }:
        return {}, ""
    window = stop.windows[gate.window]
    told = (gathered.seconds_of(visit.window_starts_at), gathered.seconds_of(_end(visit)))
    is_moved = told != (window.from_s, window.to_s)
    if visit.state == State.HELD:
        return (_new_window(visit, window.from_s, window.to_s, gathered) if is_moved else {}), ""
    if not is_moved and not (visit.is_named and visit.technician_id != technician_id):
        return {}, ""
    more: dict[str, Any] = {"sequence": visit.sequence + 1, "needs_person_since": None}
    if is_moved:
        more |= _new_window(visit, window.from_s, window.to_s, gathered)
    if visit.state == State.OFFERED:
        return more, "visit.offered"
    # Who had set out to the old time sets out anew to the new one.
    moved_from = {"was_moved": True} | _moved_from(visit) if is_moved else {}
    return more | {"set_out_at": None} | moved_from, "visit.moved"


def _end(visit: Visit) -> datetime:
    assert visit.window_ends_at is not None  # a booked visit has a promise: a constraint says so
    return visit.window_ends_at


def _new_window(visit: Visit, from_s: int, to_s: int, gathered: Gathered) -> dict[str, Any]:
    starts_at, ends_at = gathered.instant_of(from_s), gathered.instant_of(to_s)
    begins = wall.local(starts_at, visit.site.zone)
    return {
        "day": begins.date(),
        "window_from": begins.time(),
        "window_to": wall.local(ends_at, visit.site.zone).time(),
        "window_starts_at": starts_at,
        "window_ends_at": ends_at,
    }


def _moved_from(visit: Visit) -> dict[str, Any]:
    return {
        "moved_from_day": visit.day,
        "moved_from_window": f"{visit.window_from:%H:%M}-{visit.window_to:%H:%M}",
    }


def _left_out(visit: Visit, asker: Asker) -> NewTime | None:
    """Out of its round where nobody was told; a promise stays as it was and awaits a person, who
    asks the household for another day."""
    if visit.state == State.PLANNED:
        return NewTime(visit, None, None, None, {"day": None})
    if visit.state not in {State.OFFERED, State.AGREED}:
        return None
    since = {"needs_person_since": visit.needs_person_since or asker.at}
    return NewTime(visit, visit.technician, visit.slot_starts_at, visit.slot_ends_at, since)


def _touched(changes: list[tuple[NewTime, str]], fresh: Fresh) -> set[tuple[int, date]]:
    """Technician and day of every round that loses, wins or moves a visit."""
    found = set()
    for change, _ in changes:
        visit = change.visit
        before = (visit.technician_id, visit.slot_starts_at)
        after = (None if change.technician is None else change.technician.pk, change.starts_at)
        for who, starts_at in (before, after):
            if who is not None and starts_at is not None:
                found.add((who, wall.today_in(fresh.gathered.zone, starts_at)))
    return found


def raise_versions(touched: set[tuple[int, date]], fresh: Fresh) -> dict[str, str | None]:
    """Count each touched round up and write its break down. Answers the breaks as they were."""
    breaks = {}
    for round_ in fresh.rounds.rounds:
        driven, shift = drive_round(fresh.inputs, round_), fresh.inputs.shifts[round_.shift]
        day = fresh.gathered.day0 + timedelta(days=shift.day)
        if driven is not None and driven.break_starts_s is not None:
            breaks[(shift.technician, day)] = fresh.gathered.instant_of(driven.break_starts_s)
    before: dict[str, str | None] = {}
    for row in Round.objects.filter(day__in={day for _, day in touched}).order_by("pk"):
        key = (row.technician_id, row.day)
        if key in touched:
            was = row.break_starts_at
            before[str(row.pk)] = was.isoformat() if was else None
            Round.objects.filter(pk=row.pk).update(
                version=F("version") + 1, break_starts_at=breaks.get(key)
            )
    return before


def _follow(visit: Visit, kind: str, asker: Asker) -> None:
    """The technician is let in, and the household told, once."""
    if visit.state in {State.OFFERED, State.AGREED}:
        open_for(visit, asker=asker)
    if kind:
        announce(kind, visit, asker)
