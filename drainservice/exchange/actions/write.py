"""Writing a plan: whole tables at a time, through the one writer, in the caller's transaction."""

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.accounts.codes import new_lid_code
from drainservice.exchange.plan import ORDER, Plan
from drainservice.exchange.visits_told import inspection_record
from drainservice.inspections import actions as inspections
from drainservice.register.models import System
from jobs import queue

# Beyond so many systems, what follows from them is long work and lets other facts pass.
MANY = 50


def write_plan(plan: Plan, *, asker: Asker, because: str) -> None:
    """Save everything; as-built checks and due dates follow by themselves."""
    systems: list[System] = plan.new[System]  # type: ignore[assignment]
    _give_lid_codes(systems)
    for model in ORDER:
        history.enter_rows(plan.new[model], asker=asker)
    changed = dict(plan.touched)
    for row, new in plan.changes.values():
        history.keep(row, asker=asker, **new)
        system = _system_of(row)
        if system is not None:
            changed[system.pk] = system
    for model in ORDER:
        for row in plan.new[model]:
            system = _system_of(row)
            if system is not None:
                changed[system.pk] = system
    _announce(systems, changed, asker, because)
    told = [
        (
            visit.entry.system,
            inspection_record(visit.facts, system_key=visit.entry.system.lid_code, note=visit.note),
        )
        for visit in plan.visits
    ]
    inspections.record_told(told, asker=asker, lane=_lane(len(told)))


def _lane(count: int) -> str:
    return "long" if count > MANY else ""


def _announce(
    systems: list[System], changed: dict[int, System], asker: Asker, because: str
) -> None:
    lane = _lane(len(systems))
    new = {system.pk for system in systems}
    rows = [
        queue.new_row(
            "system.entered",
            key=f"{system.pk}:{system.version}",
            at=asker.at,
            due_at=asker.at,
            lane=lane,
            system_id=system.pk,
        )
        for system in systems
    ]
    rows += [
        queue.new_row(
            "system.changed",
            key=f"{pk}:{because}",
            at=asker.at,
            due_at=asker.at,
            lane=lane,
            system_id=pk,
        )
        for pk in changed
        if pk not in new
    ]
    if rows:
        queue.put_many(rows)


def _system_of(row: object) -> System | None:
    """The system a row belongs to, by way of its pump or line."""
    if isinstance(row, System):
        return row
    whole = getattr(row, "pump", None) or getattr(row, "line", None)
    return getattr(whole or row, "system", None)


def _give_lid_codes(systems: list[System]) -> None:
    """Codes nobody has had, by one look at the table."""
    while True:
        open_ = [system for system in systems if not system.lid_code]
        if not open_:
            return
        for system in open_:
            system.lid_code = new_lid_code()
        codes = [system.lid_code for system in systems]
        taken = set(System.objects.filter(lid_code__in=codes).values_list("lid_code", flat=True))
        seen: set[str] = set()
        for system in systems:
            if system.lid_code in taken or system.lid_code in seen:
                system.lid_code = ""
            seen.add(system.lid_code)
