"""Counting due dates, set-based and one by one; flagging what is past."""

import hashlib
import json
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.engine.explain import tell_all
from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.due import DueDate, DueDates
from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.plain import to_plain
from drainservice.engine.units import UnitSystem
from drainservice.inspections.actions.flags import flag_overdue
from drainservice.inspections.actions.learning import batches, learn_from_fleet
from drainservice.inspections.models import Due, Reckoning
from drainservice.inspections.queries.facts import facts_of, priors_now, settings_of
from drainservice.inspections.queries.gathered import gather
from drainservice.register import queries as register
from drainservice.register.models import Status, System

# The same inputs are counted again after so many days, for the year has moved on.
COUNT_AGAIN_DAYS = 7
# A dead pump there counts so many days more urgent in the list's order; judgement, no source.
HEAD_START = {"": 7, "yard": 0, "near_structure": 7, "living_space": 21, "flooded_before": 28}


@dataclass(frozen=True, slots=True)
class Counted:
    """What a night's counting did."""

    systems: int
    counted: int
    changed: int
    past_pump_tests: int
    clogged_pits: int


def refresh_due(*, asker: Asker, system_id: int) -> int:
    """Count one system's dates now. Answers how many changed."""
    systems = System.objects.standing().filter(pk=system_id)
    return sum(_count_batch(list(systems.values_list("pk", flat=True)), asker, force=True)[1:])


def find_due(*, asker: Asker, force: bool = False) -> Counted:
    """Count every system's dates, batch by batch, and flag what is past.

    A date that stays as it was writes nothing; a change adds a row and retires the last.
    """
    counted = changed = total = 0
    learn_from_fleet(asker=asker)
    for ids in batches():
        total += len(ids)
        done, new = _count_batch(ids, asker, force=force)
        counted += done
        changed += new
    pumps, pits = flag_overdue(asker=asker)
    return Counted(total, counted, changed, pumps, pits)


@transaction.atomic
def _count_batch(ids: list[int], asker: Asker, *, force: bool) -> tuple[int, int]:
    """Answers how many systems were counted and how many dates changed."""
    firm = accounts.the_firm()
    settings = settings_of(firm)
    priors = priors_now()
    units = UnitSystem(firm.units)
    today = wall.today_in(firm.zone, asker.at)
    behind = gather(ids)
    loaded = register.wholes(System.objects.filter(pk__in=ids), day=today)
    last = _last_reckonings(ids)
    current = _current_dues(ids)
    counted = changed = 0
    new_rows: list[Due] = []
    retired: list[int] = []
    confirmed: list[int] = []
    for whole in loaded:
        system = whole.system
        if system.status != Status.IN_USE:
            retired += [due.pk for due in current.get(system.pk, {}).values()]
            continue
        facts = facts_of(whole, behind, settings=settings, priors=priors, at=asker.at)
        inputs = to_plain(facts)
        inputs_hash = _hash(inputs)
        before = last.get(system.pk)
        if not force and _still_fresh(before, inputs_hash, today):
            continue
        counted += 1
        dates = _dates(facts, whole.site.zone, asker.at)
        old = current.get(system.pk, {})
        fresh = {(str(d.kind), d.defect): d for d in dates}
        gone = [due.pk for key, due in old.items() if key not in fresh]
        differing = {key: d for key, d in fresh.items() if key not in old or _differs(old[key], d)}
        changed += len(gone) + len(differing)
        if before is not None and before.inputs_hash == inputs_hash and not differing and not gone:
            confirmed.append(before.pk)
            continue
        reckoning = Reckoning.objects.create(
            system=system,
            today=dates.today,
            inputs=inputs,
            inputs_hash=inputs_hash,
            model_version=MODEL_VERSION,
            made_at=asker.at,
            confirmed_on=today,
        )
        retired += gone + [old[key].pk for key in differing if key in old]
        new_rows += [_row(system, reckoning, due, units, asker.at) for due in differing.values()]
    Due.objects.filter(pk__in=retired).update(retired_at=asker.at)
    Due.objects.bulk_create(new_rows, batch_size=200)
    Reckoning.objects.filter(pk__in=confirmed).update(confirmed_on=today)
    return counted, changed


def _dates(facts: SystemFacts, zone: str, at: datetime) -> DueDates:
    return due_dates(facts, today=wall.today_in(zone, at))


def _last_reckonings(ids: list[int]) -> dict[int, Reckoning]:
    """The latest reckoning of each system, without its inputs."""
    rows = Reckoning.objects.filter(system__in=ids).defer("inputs").order_by("system_id", "pk")
    return {row.system_id: row for row in rows}


def _current_dues(ids: list[int]) -> dict[int, dict[tuple[str, str], Due]]:
    grouped: dict[int, dict[tuple[str, str], Due]] = {}
    for due in Due.objects.current().filter(system__in=ids):
        grouped.setdefault(due.system_id, {})[(due.kind, due.what)] = due
    return grouped


def _still_fresh(before: Reckoning | None, inputs_hash: str, today: date) -> bool:
    return (
        before is not None
        and before.inputs_hash == inputs_hash
        and before.model_version == MODEL_VERSION
        and (today - before.confirmed_on).days < COUNT_AGAIN_DAYS
    )


def _differs(old: Due, new: DueDate) -> bool:
    return (
        old.due_on != new.due_on
        or old.opens_on != new.opens_on
        or old.governed_by != str(new.governed_by)
        or old.can_be_judged != new.can_be_judged
        or old.answer != new.as_stored()
    )


def _row(
    system: System, reckoning: Reckoning, due: DueDate, units: UnitSystem, at: datetime
) -> Due:
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
        reason_text=tell_all(due.reason, units)[:5000],
        dead_chance=due.posterior.dead_after_year if due.posterior else None,
        made_at=at,
    )


def _hash(inputs: object) -> str:
    return hashlib.sha256(json.dumps(inputs, sort_keys=True).encode()).hexdigest()
