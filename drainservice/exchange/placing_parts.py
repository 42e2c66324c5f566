"""Fields of a system's tables: what is unknown is filled, what contradicts the record is told."""

from dataclasses import dataclass, field
from typing import Any

from drainservice.accounts.codes import seal, unseal
from drainservice.exchange.keys import agrees
from drainservice.exchange.on_record import SiteEntry, SystemEntry
from drainservice.exchange.plan import Plan
from drainservice.exchange.said import say_value
from drainservice.exchange.spans import covers, write_span
from drainservice.exchange.wanted import Field, Wanted
from drainservice.register.models import (
    AccessPoint,
    Backup,
    CheckValve,
    CurvePoint,
    Downspout,
    Line,
    Pit,
    Pump,
    Section,
)

NEEDS = {"valve": "pump", "section": "line"}
ROOF = "whole roof"


@dataclass(slots=True)
class Filled:
    """Facts that were added, and those that contradict what stands: (field, what stands)."""

    added: list[str] = field(default_factory=list)
    clashes: list[tuple[Field, str]] = field(default_factory=list)


def find_clashes(entry: SystemEntry, wanted: Wanted, plan: Plan) -> list[Field]:
    """As-built facts of the row that are not so in this system."""
    clashes = []
    for each in wanted.fields:
        row = _row(entry, None, each.table)
        if row is None or not (each.is_as_built or each.span):
            continue
        if _stands(row, each, plan) is not None and not _says_same(row, each, plan):
            clashes.append(each)
    return clashes


def count_agreeing(entry: SystemEntry, wanted: Wanted, plan: Plan) -> int:
    """As-built facts of the row that the system has already."""
    rows = ((_row(entry, None, each.table), each) for each in wanted.fields)
    return sum(
        row is not None
        and (each.is_as_built or bool(each.span))
        and _stands(row, each, plan) is not None
        and _says_same(row, each, plan)
        for row, each in rows
    )


def fill(
    entry: SystemEntry,
    site: SiteEntry,
    wanted: Wanted,
    plan: Plan,
    overrule: frozenset[str],
    units: str,
) -> Filled:
    """Put every field in its row; rows that are missing are made."""
    filled = Filled()
    for each in wanted.fields:
        if each.name == "origin":
            if entry.is_new:
                entry.system.origin = each.value
            continue
        _fill_one(entry, site, each, plan, filled, overrule, units)
    if wanted.curve:
        _add_curve(entry, wanted.curve, plan, filled, units)
    _add_pumps(entry, wanted, plan)
    entry.is_bare = False
    return filled


def _fill_one(
    entry: SystemEntry,
    site: SiteEntry,
    each: Field,
    plan: Plan,
    filled: Filled,
    overrule: frozenset[str],
    units: str,
) -> None:
    row = _row(entry, site, each.table) or make_part(entry, each.table, plan)
    if row is None:
        return
    if _stands(row, each, plan) is None or (each.fact in overrule and each.name != "dog_note"):
        _put(row, each, plan)
        filled.added.append(each.fact)
    elif each.name == "access_note" and not _says_same(row, each, plan):
        plan.put(row, access_note=f"{plan.value(row, 'access_note')}\n{each.value}"[:5000])
        filled.added.append(each.fact)
    elif not _says_same(row, each, plan):
        filled.clashes.append((each, _in_words(row, each, plan, units)))
    elif each.span and _is_more_precise(row, each, plan):
        _put(row, each, plan)
        filled.added.append(each.fact)


def _row(entry: SystemEntry, site: SiteEntry | None, table: str) -> Any:
    if table == "site":
        return site.site if site else None
    if table == "system":
        return entry.system
    return entry.parts.get(table)


def make_part(entry: SystemEntry, table: str, plan: Plan) -> Any:
    """A row for a part nobody had told of; a valve stands over a pump, a section is of a line."""
    if table == "downspout" and "downspouts" in entry.parts:
        return None
    whole = NEEDS.get(table)
    if whole and whole not in entry.parts:
        make_part(entry, whole, plan)
    system = entry.system
    makers: dict[str, Any] = {
        "pit": lambda: Pit(system=system),
        "pump": lambda: Pump(system=system, position=1),
        "valve": lambda: CheckValve(pump=entry.parts["pump"]),
        "line": lambda: Line(system=system),
        "section": lambda: Section(line=entry.parts["line"], rank=1),
        "lid": lambda: AccessPoint(system=system),
        "backup": lambda: Backup(system=system, position=1),
        "downspout": lambda: Downspout(system=system, name=ROOF),
    }
    entry.parts[table] = plan.add(makers[table]())
    return entry.parts[table]


def _stands(row: Any, each: Field, plan: Plan) -> Any:
    """The value on record, or None where nobody knows."""
    value = plan.value(row, each.name)
    if value in ("", None):
        return None
    if each.name == "status" and row.pk is None:
        return None
    return unseal(value) or "(a code)" if each.name == "codes" else value


def _says_same(row: Any, each: Field, plan: Plan) -> bool:
    stands = _stands(row, each, plan)
    if each.span:
        ours = (each.value, each.span)
        theirs = (stands, _span(row, each, plan) or "day")
        return covers(ours, theirs) or covers(theirs, ours)
    if each.name == "dog_note":
        return True
    if each.name == "access_note":
        return str(each.value).lower() in str(stands).lower()
    return agrees(each.value, stands)


def _span(row: Any, each: Field, plan: Plan) -> str:
    return str(plan.value(row, each.name.replace("_on", "_span")))


def _is_more_precise(row: Any, each: Field, plan: Plan) -> bool:
    theirs = (plan.value(row, each.name), _span(row, each, plan) or "day")
    return theirs != (each.value, each.span) and covers(theirs, (each.value, each.span))


def _put(row: Any, each: Field, plan: Plan) -> None:
    value = seal(each.value) if each.name == "codes" else each.value
    plan.put(row, **{each.name: value})
    if each.span:
        plan.put(row, **{each.name.replace("_on", "_span"): each.span})
    if each.is_as_built:
        plan.put(row, **{f"{each.name}_how": "told"})


def _in_words(row: Any, each: Field, plan: Plan, units: str) -> str:
    """What stands, and how it is known; a code is never shown."""
    if each.name == "codes":
        return "another code"
    stands = _stands(row, each, plan)
    words = say_value(each.fact, stands, units)
    if each.span:
        words = write_span(stands, _span(row, each, plan))
    how = str(getattr(row, f"{each.name}_how", "")) if each.is_as_built else ""
    return f"{words} ({how})" if how else words


def _add_curve(
    entry: SystemEntry, point: tuple[float, float], plan: Plan, filled: Filled, units: str
) -> None:
    flow, head = point
    near = [h for q, h in entry.curve if agrees(flow, q)]
    if near:
        if not any(agrees(head, h) for h in near):
            each = Field("pump.head_m", "pump", "head_m", head)
            filled.clashes.append((each, f"{say_value(each.fact, near[0], units)} at that flow"))
        return
    pump = entry.parts.get("pump") or make_part(entry, "pump", plan)
    plan.add(CurvePoint(pump=pump, flow_m3s=flow, head_m=head))
    entry.curve.append(point)
    filled.added.append("pump.flow_m3s")


def _add_pumps(entry: SystemEntry, wanted: Wanted, plan: Plan) -> None:
    """A row that counts pumps tells of them alike."""
    first = entry.parts.get("pump")
    if wanted.pump_count < 2 or first is None or first.pk is not None or "pump 2" in entry.parts:
        return
    for position in range(2, wanted.pump_count + 1):
        values = {
            f.name: getattr(first, f.name)
            for f in Pump._meta.concrete_fields
            if f.name not in {"id", "position", "serial", "version"}
        }
        entry.parts[f"pump {position}"] = plan.add(Pump(position=position, **values))
