"""Plans as the office may see them, and how a proposal differs from the rounds as they stood."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import QuerySet

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, NotFound
from drainservice.engine.rounds.check import drive_round
from drainservice.engine.rounds.facts import PlanInputs, Round, Window
from drainservice.engine.rounds.repair.explain import explain_stop
from drainservice.engine.rounds.repair.explain_words import say_explained
from drainservice.visits.models import Plan, PlanKind, PlanState, State, Visit
from drainservice.visits.queries.gathered import Clock
from drainservice.visits.queries.proposals import day0_of, proposal_of, speech_for

LARGE = ("inputs", "proposal")


def plans_for(asker: Asker) -> QuerySet[Plan]:
    """All plans for the office, newest first, without their large columns; none for others."""
    plans: QuerySet[Plan] = Plan.objects.standing().order_by("-asked_at", "-pk").defer(*LARGE)
    return plans if asker.is_office else plans.none()


def plan_for(asker: Asker, plan_id: int) -> Plan:
    """One plan, whole. Errors: NotFound."""
    try:
        return plans_for(asker).defer(None).get(pk=plan_id)
    except (ObjectDoesNotExist, ValueError, OverflowError):
        raise NotFound from None


def plan_under_way(kind: str, scope: str) -> Plan | None:
    """The plan of that scope that is being worked out; there is one at most."""
    thinking: QuerySet[Plan] = Plan.objects.standing().filter(
        kind=kind, scope=scope, state=PlanState.THINKING
    )
    return thinking.first()


def newest_plan(
    asker: Asker, kind: str, *, scope: str = "", day: date | None = None
) -> Plan | None:
    """The newest of a kind, of one scope or touching one day."""
    plans = plans_for(asker).filter(kind=kind)
    if scope:
        plans = plans.filter(scope=scope)
    if day is not None:
        plans = plans.filter(first_on__lte=day, last_on__gte=day)
    return plans.first()


def plans_of_day(asker: Asker, day: date) -> list[Plan]:
    """Plans of rounds and repairs that touch a day, newest first; those put aside are not told."""
    plans = plans_for(asker).filter(first_on__lte=day, last_on__gte=day)
    return list(plans.exclude(kind=PlanKind.SEASON).exclude(state=PlanState.REFUSED))


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a visit stands in rounds: with whom, and when it starts."""

    technician_id: int
    who: str
    starts_at: datetime


@dataclass(frozen=True, slots=True)
class Moved:
    """One visit that the proposal moves. `is_told`: adopting it tells the household; `is_asked`:
    a person must ask them for another day."""

    visit: Visit
    before: Stand | None
    after: Stand | None
    window_from_at: datetime | None
    window_to_at: datetime | None
    is_told: bool
    is_asked: bool
    words: str


@dataclass(frozen=True, slots=True)
class Difference:
    """Rows of what changes, in the order of the new rounds; how many visits only slide in their
    windows; and minutes saved against the rounds as they stood (None: these cannot be driven),
    where `saved_min` counts the risk of visits without a time and all else that costs."""

    moved: tuple[Moved, ...]
    slid: int
    saved_min: float | None
    driving_saved_min: float | None
    words: str


def difference(plan: Plan) -> Difference:
    """How the proposal of a plan of rounds or a repair differs from what stood when it was asked.

    Errors: InputsCannotBeRead where it was stored in another form.
    """
    inputs, rounds = proposal_of(plan)
    clock = Clock(day0_of(plan), accounts.the_firm().zone)
    names = _names(inputs)
    before = _stands(inputs, inputs.present, clock, names)
    after = _stands(inputs, rounds.rounds, clock, names)
    keys = [stop.key for stop in inputs.stops]
    visits = {v.pk: v for v in Visit.objects.filter(pk__in=keys).select_related("site")}
    moved, slid = [], 0
    for number in [*after, *(n for n in before if n not in after)]:
        visit = visits.get(keys[number])
        was, now = before.get(number), after.get(number)
        window = _window_of(inputs, rounds.rounds, number)
        if visit is None:
            continue
        row = _moved(visit, was, now, window, clock)
        if row is not None:
            moved.append(row)
        elif was is not None and now is not None and was.starts_at != now.starts_at:
            slid += 1
    saved, driving = _saved(plan, "total"), _saved(plan, "driving")
    return Difference(tuple(moved), slid, saved, driving, _say(moved, slid, driving))


def _names(inputs: PlanInputs) -> dict[int, str]:
    people = accounts.accounts_of_firm().filter(pk__in={s.technician for s in inputs.shifts})
    return {account.pk: account.person.name.split()[0] for account in people}


def _stands(
    inputs: PlanInputs, rounds: Iterable[Round], clock: Clock, names: dict[int, str]
) -> dict[int, Stand]:
    found = {}
    for round_ in rounds:
        shift, driven = inputs.shifts[round_.shift], drive_round(inputs, round_)
        starts = (
            driven.starts_s
            if driven
            else [inputs.stops[g.stop].windows[g.window].from_s for g in round_.gates]
        )
        for gate, start_s in zip(round_.gates, starts, strict=True):
            who = names.get(shift.technician, "")
            found[gate.stop] = Stand(shift.technician, who, clock.instant_of(start_s))
    return found


def _window_of(inputs: PlanInputs, rounds: Iterable[Round], stop: int) -> Window | None:
    gates = (gate for round_ in rounds for gate in round_.gates if gate.stop == stop)
    return next((inputs.stops[stop].windows[gate.window] for gate in gates), None)


def _moved(
    visit: Visit, was: Stand | None, now: Stand | None, window: Window | None, clock: Clock
) -> Moved | None:
    is_promised = visit.window_starts_at is not None and visit.state != State.PLANNED
    from_at = to_at = None
    if is_promised and window is not None:
        from_at, to_at = clock.instant_of(window.from_s), clock.instant_of(window.to_s)
    is_window_moved = from_at is not None and from_at != visit.window_starts_at
    is_same = was is not None and now is not None and _is_same(was, now, clock)
    if is_same and not is_window_moved:
        return None
    is_handed_on = was is not None and now is not None and was.technician_id != now.technician_id
    is_told = is_promised and (is_window_moved or (visit.is_named and is_handed_on))
    return Moved(
        visit=visit,
        before=was,
        after=now,
        window_from_at=from_at if is_window_moved else None,
        window_to_at=to_at if is_window_moved else None,
        is_told=is_told,
        is_asked=is_promised and now is None,
        words=_words(was, now, is_told, is_promised, clock),
    )


def _is_same(was: Stand, now: Stand, clock: Clock) -> bool:
    days = [clock.day_of(clock.seconds_of(one.starts_at)) for one in (was, now)]
    return was.technician_id == now.technician_id and days[0] == days[1]


def _words(
    was: Stand | None,
    now: Stand | None,
    is_told: bool,
    is_promised: bool,
    clock: Clock,
) -> str:
    """Tue 11 May with Ana; it was Wed 12 May with Ben. Nobody is told."""
    if now is not None:
        before = f"it was {_stand(was, clock)}" if was else "it stood in no round"
        told = "The household is told." if is_told else "Nobody is told."
        return f"{_stand(now, clock)}; {before}. {told}"
    if is_promised:
        return "No round can keep the promise; ask the household for another day."
    return f"Out of the round of {_stand(was, clock)}; nobody was told." if was else ""


def _stand(stand: Stand, clock: Clock) -> str:
    day = clock.day_of(clock.seconds_of(stand.starts_at))
    return f"{day:%a} {day.day} {day:%b} with {stand.who}"


def _saved(plan: Plan, part: str) -> float | None:
    before = plan.cost.get("before")
    return None if before is None else (before[part] - plan.cost[part]) / 60


def _say(moved: list[Moved], slid: int, driving_saved: float | None) -> str:
    """3 visits get a time, 2 change technician or day, 4 slide in their windows; nobody is told.
    19 min less driving."""
    if not moved and not slid:
        return "The rounds stay as they are; nothing better was found."
    kinds = [
        (sum(row.before is None for row in moved), "get a time", "gets a time"),
        (
            sum(row.before is not None and row.after is not None for row in moved),
            "change technician, day or window",
            "changes technician, day or window",
        ),
        (sum(row.after is None for row in moved), "lose their time", "loses its time"),
        (slid, "slide in their windows", "slides in its window"),
    ]
    said = [
        f"{_visits(count)} {one if count == 1 else many}" for count, many, one in kinds if count
    ]
    told = sum(row.is_told for row in moved)
    asked = sum(row.is_asked for row in moved)
    ends = [f"{told} household{'s' if told > 1 else ''} told" if told else "nobody is told"]
    if asked:
        ends.append(f"{asked} must be asked for another day")
    return f"{', '.join(said)}; {', '.join(ends)}.{_driving(driving_saved)}"


def _visits(count: int) -> str:
    return "1 visit" if count == 1 else f"{count} visits"


def _driving(saved: float | None) -> str:
    if saved is None or abs(saved) < 1:
        return ""
    return f" {abs(saved):.0f} min {'less' if saved > 0 else 'more'} driving."


def why_there(plan: Plan, visit_id: int) -> list[str]:
    """Why a proposal has a visit where it is, in sentences from the tables of its rounds: what it
    costs there, the next best, the promise in the way elsewhere, who may not go; or why it waits.

    Empty for a visit that the plan does not know. Errors: InputsCannotBeRead.
    """
    inputs, rounds = proposal_of(plan)
    numbers = {stop.key: number for number, stop in enumerate(inputs.stops)}
    if visit_id not in numbers:
        return []
    explained = explain_stop(inputs, rounds, numbers[visit_id])
    return say_explained(inputs, rounds, explained, speech_for(inputs, day0_of(plan)))
