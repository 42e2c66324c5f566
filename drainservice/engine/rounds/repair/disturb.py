"""Whom a repair disturbs, in the order in which one would rather: nobody, a start within its
window, a stop nobody was told of, a technician's evening, an offer, a household, another day."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from drainservice.engine.rounds.facts import Gate, Plan, PlanInputs, Round, Stop, Window
from drainservice.engine.rounds.repair.broken import (
    Broken,
    Facts,
    StopFacts,
    Told,
    facts_of,
    why_never_asked,
)
from drainservice.engine.rounds.repair.priced import asking_units
from drainservice.engine.rounds.tables import make_tables

# A start that slides by less is not worth a word: judgement.
SLIDES_S = 300


class Step(StrEnum):
    """The order of section headings in a proposal; the first disturbs least."""

    OTHER_TECHNICIAN = "a"
    SLIDES = "b"
    WAITS = "c"
    OVERTIME = "d"
    OFFER = "e"
    HOUSEHOLD = "f"
    OTHER_DAY = "g"
    UNREACHED = "h"


@dataclass(frozen=True, slots=True)
class Disturbance:
    """One thing a repair changes for somebody, and its price in units.

    `stop` is an index, None for overtime. `technician` comes, or works longer; `was` came before.
    `by_s` are seconds later (below nought: earlier) or longer. `window` is the one asked for, None
    where it is to be another day. `why_called` says why this household should not be asked, only
    called, because no better plan was found.
    """

    step: Step
    units: int = 0
    stop: int | None = None
    technician: int | None = None
    was: int | None = None
    by_s: int = 0
    window: Window | None = None
    why_called: str = ""
    breaks_promise: bool = False


@dataclass(frozen=True, slots=True)
class _At:
    """Where a stop stands: technician, planned start (None: the round cannot be kept), gate."""

    technician: int
    starts_s: int | None
    gate: Gate


def find_disturbed(
    inputs: PlanInputs, broken: Broken, facts: Facts, asked: PlanInputs, plan: Plan
) -> tuple[Disturbance, ...]:
    """Everybody whom the plan, sound by `asked`, disturbs against the rounds as they stood."""
    before, after = _standing(inputs, inputs.present), _standing(asked, plan.rounds)
    found: list[Disturbance] = list(_overtime(inputs, asked, plan))
    for number, stop in enumerate(inputs.stops):
        known = facts_of(facts, stop)
        was, now = before.get(number), after.get(number)
        if known.told != Told.NOBODY:
            found += _told(inputs, broken, number, known, was, now, asked)
        elif now is None and (stop.must or number in broken.urgent):
            found.append(Disturbance(Step.UNREACHED, stop.worth, number))
        elif now is None and (was is not None or known.technician is not None):
            came = known.technician if was is None else was.technician
            found.append(Disturbance(Step.WAITS, stop.worth, number, was=came))
    return tuple(sorted(found, key=lambda one: (one.step, one.units, one.stop or 0)))


def driving_s(inputs: PlanInputs, rounds: Iterable[Round]) -> int:
    """Seconds on the road in rounds, whether they can be kept or not."""
    total = 0
    for round_ in rounds:
        shift = inputs.shifts[round_.shift]
        if round_.gates:
            places = [inputs.stops[gate.stop].place for gate in round_.gates]
            way = [shift.leaves_from, *places, shift.returns_to]
            total += sum(inputs.drives[a][b] for a, b in pairwise(way))
    return total


def _standing(inputs: PlanInputs, rounds: Iterable[Round]) -> dict[int, _At]:
    found = {}
    for round_ in rounds:
        tables = make_tables(inputs, round_)
        starts = tables.planned.starts_s if tables.is_feasible else (None,) * len(round_.gates)
        for gate, starts_s in zip(round_.gates, starts, strict=True):
            found[gate.stop] = _At(tables.shift.technician, starts_s, gate)
    return found


def _told(
    inputs: PlanInputs,
    broken: Broken,
    number: int,
    known: StopFacts,
    was: _At | None,
    now: _At | None,
    asked: PlanInputs,
) -> Iterator[Disturbance]:
    """What happens to a household that knows of its visit: at most one thing."""
    stop = inputs.stops[number]
    came = was.technician if was is not None else known.technician
    if now is None or _must_be_asked(stop, known, now):
        yield _asks(inputs, broken, number, known, came, now, asked)
    elif came is not None and came != now.technician:
        yield Disturbance(Step.OTHER_TECHNICIAN, 0, number, now.technician, came)
    elif was is not None and was.starts_s is not None and now.starts_s is not None:
        by_s = now.starts_s - was.starts_s
        if abs(by_s) >= SLIDES_S:
            yield Disturbance(Step.SLIDES, 0, number, now.technician, came, by_s)


def _must_be_asked(stop: Stop, known: StopFacts, now: _At) -> bool:
    """Whether its window is another, or somebody comes who was not promised."""
    is_another = known.is_named and stop.only is not None and now.technician not in stop.only
    return now.gate.window >= len(stop.windows) or is_another


def _asks(
    inputs: PlanInputs,
    broken: Broken,
    number: int,
    known: StopFacts,
    came: int | None,
    now: _At | None,
    asked: PlanInputs,
) -> Disturbance:
    stop, is_agreed = inputs.stops[number], known.told == Told.AGREED
    asks = Step.OTHER_DAY if now is None else Step.HOUSEHOLD
    step = asks if is_agreed else Step.OFFER
    return Disturbance(
        step,
        asking_units(stop, known, inputs.tariff),
        number,
        None if now is None else now.technician,
        came,
        window=None if now is None else asked.stops[number].windows[now.gate.window],
        why_called=why_never_asked(stop, known, broken.now_s) if is_agreed else "",
        breaks_promise=is_agreed,
    )


def _overtime(inputs: PlanInputs, asked: PlanInputs, plan: Plan) -> Iterator[Disturbance]:
    """Technicians who come home later after their paid end than they would have."""
    before = {round_.shift: make_tables(inputs, round_) for round_ in inputs.present}
    for round_ in plan.rounds:
        tables, old = make_tables(asked, round_), before.get(round_.shift)
        was_s = old.overtime_s if old is not None and old.is_feasible else 0
        longer_s = tables.overtime_s - was_s
        if longer_s > 0:
            units = inputs.tariff.overtime * longer_s // 60
            technician = tables.shift.technician
            yield Disturbance(Step.OVERTIME, units, technician=technician, by_s=longer_s)
