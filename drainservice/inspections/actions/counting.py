"""Counting the due dates of a batch of systems, in a fixed number of statements a batch."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db import transaction
from django.db.models import Max

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.engine.explain import tell_all
from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.due import DueDate
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.fleet_tests import fleet_tests_of
from drainservice.engine.interval.plain import to_plain
from drainservice.engine.reliability.fleet import FleetTest
from drainservice.engine.units import UnitSystem
from drainservice.inspections.models import Due, Reckoning
from drainservice.inspections.queries.facts import facts_of, priors_now, settings_of
from drainservice.inspections.queries.gathered import gather
from drainservice.inspections.queries.pump_dates import Key, dates_at, position_of
from drainservice.register import queries as register
from drainservice.register.models import Status, System
from drainservice.register.queries import Whole

BATCH = 200
# The same inputs are counted again after so many days, for the year has moved on.
COUNT_AGAIN_DAYS = 7
# A dead pump there counts so many days more urgent in the list's order; judgement, no source.
HEAD_START = {"": 7, "yard": 0, "near_structure": 7, "living_space": 21, "flooded_before": 28}


@dataclass(slots=True)
class Tally:
    """What a counting has done so far, and the pump tests it met, by class of pump."""

    systems: int = 0
    counted: int = 0
    changed: int = 0
    tests: dict[str, list[FleetTest]] = field(default_factory=dict)


@dataclass(slots=True)
class Writing:
    """What a batch will write at its end."""

    units: UnitSystem
    today: date
    rows: list[Due] = field(default_factory=list)
    retired: list[int] = field(default_factory=list)
    confirmed: list[int] = field(default_factory=list)


def batches() -> Iterator[list[int]]:
    """Numbers of all systems, so many at a time."""
    last = 0
    while True:
        standing = System.objects.standing().filter(pk__gt=last).order_by("pk")
        ids = list(standing.values_list("pk", flat=True)[:BATCH])
        if not ids:
            return
        yield ids
        last = ids[-1]


@transaction.atomic
def count_batch(ids: list[int], tally: Tally, *, asker: Asker, force: bool) -> None:
    """Count the dates of these systems; a date that stays as it was writes nothing."""
    firm = accounts.the_firm()
    settings, priors = settings_of(firm), priors_now()
    writing = Writing(UnitSystem(firm.units), wall.today_in(firm.zone, asker.at))
    behind = gather(ids)
    last, current = _last_reckonings(ids), _current_dues(ids)
    tally.systems += len(ids)
    for whole in register.wholes(System.objects.filter(pk__in=ids), day=writing.today):
        old = current.pop(whole.system.pk, {})
        positions = _positions(whole) if whole.system.status == Status.IN_USE else []
        for position in positions:
            seen = whole.at_pump(position) if position else whole
            facts = facts_of(seen, behind, settings=settings, priors=priors, at=asker.at)
            if facts.pump is not None:
                own = tally.tests.setdefault(str(facts.pump.pump_class), [])
                own.extend(fleet_tests_of(facts))
            mine = {key: old.pop(key) for key in list(old) if position_of(key[1]) == position}
            before = last.get((whole.system.pk, position))
            _count_one(whole, position, facts, before, mine, tally, writing, asker, force)
        # Of a system out of use, or a pump that is gone.
        writing.retired += [due.pk for due in old.values()]
    Due.objects.filter(pk__in=writing.retired).update(retired_at=asker.at)
    Due.objects.bulk_create(writing.rows, batch_size=BATCH)
    Reckoning.objects.filter(pk__in=writing.confirmed).update(confirmed_on=writing.today)


def _positions(whole: Whole) -> list[int]:
    """0 for the lead pump and all else, then the position of each further pump."""
    return [0, *(pump.position for pump in whole.pumps[1:])]


def _count_one(
    whole: Whole,
    position: int,
    facts: SystemFacts,
    before: Reckoning | None,
    old: dict[Key, Due],
    tally: Tally,
    writing: Writing,
    asker: Asker,
    force: bool,
) -> None:
    inputs = to_plain(facts)
    inputs_hash = hashlib.sha256(json.dumps(inputs, sort_keys=True).encode()).hexdigest()
    is_same = _is_same(before, inputs_hash, writing.units)
    if not force and is_same and _is_fresh(before, writing.today):
        return
    tally.counted += 1
    today = wall.today_in(whole.site.zone, asker.at)
    fresh = dates_at(position, facts, today=today)
    gone = [due.pk for key, due in old.items() if key not in fresh]
    new = {
        key: d for key, d in fresh.items() if key not in old or _differs(old[key], d, writing.units)
    }
    tally.changed += len(gone) + len(new)
    if before is not None and is_same and not new and not gone:
        writing.confirmed.append(before.pk)
        return
    reckoning = Reckoning.objects.create(
        system=whole.system,
        position=position,
        today=today,
        inputs=inputs,
        inputs_hash=inputs_hash,
        model_version=MODEL_VERSION,
        units=writing.units,
        made_at=asker.at,
        confirmed_on=writing.today,
    )
    writing.retired += gone + [old[key].pk for key in new if key in old]
    for key, due in new.items():
        row = _row(whole.system, reckoning, due, writing.units)
        writing.rows.append(_with_flag(row, old.get(key), today))


def _last_reckonings(ids: list[int]) -> dict[tuple[int, int], Reckoning]:
    """The latest reckoning of each system and pump, without its inputs."""
    by_pump = Reckoning.objects.filter(system__in=ids).values("system", "position")
    last = by_pump.annotate(last=Max("pk")).values("last")
    rows = Reckoning.objects.filter(pk__in=last).defer("inputs")
    return {(row.system_id, row.position): row for row in rows}


def _current_dues(ids: list[int]) -> dict[int, dict[Key, Due]]:
    grouped: dict[int, dict[Key, Due]] = {}
    for due in Due.objects.current().filter(system__in=ids):
        grouped.setdefault(due.system_id, {})[(due.kind, due.what)] = due
    return grouped


def _is_same(before: Reckoning | None, inputs_hash: str, units: UnitSystem) -> bool:
    return (
        before is not None
        and before.inputs_hash == inputs_hash
        and before.model_version == MODEL_VERSION
        and before.units == units
    )


def _is_fresh(before: Reckoning | None, today: date) -> bool:
    return before is not None and (today - before.confirmed_on).days < COUNT_AGAIN_DAYS


def _differs(old: Due, new: DueDate, units: UnitSystem) -> bool:
    """The stored answer holds day, window, governing candidate and reason; its words the units."""
    return bool(old.answer != new.as_stored()) or old.reason_text != _words(new, units)


def _words(due: DueDate, units: UnitSystem) -> str:
    of_pump = f"{due.defect.capitalize()}: " if position_of(due.defect) else ""
    return (of_pump + tell_all(due.reason, units))[:5000]


def _with_flag(row: Due, old: Due | None, today: date) -> Due:
    """What stands flagged stays so when it is counted anew, while it is past."""
    if old is not None and row.due_on < today:
        row.flag, row.flagged_at = old.flag, old.flagged_at
    return row


def _row(system: System, reckoning: Reckoning, due: DueDate, units: UnitSystem) -> Due:
    head_start = timedelta(days=HEAD_START[system.consequence])
    return Due(
        system=system,
        reckoning=reckoning,
        kind=str(due.kind),
        what=due.defect,
        due_on=due.due_on,
        opens_on=due.opens_on,
        rank_on=due.due_on - head_start,
        can_be_judged=due.can_be_judged,
        governed_by=str(due.governed_by),
        answer=due.as_stored(),
        reason_text=_words(due, units),
        dead_chance=due.posterior.dead_after_year if due.posterior else None,
        made_at=reckoning.made_at,
    )
