"""Writing systems: each part dated and never overwritten; what changes is announced."""

from datetime import date
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Model

from drainservice.accounts import history, text
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.codes import new_lid_code
from drainservice.accounts.models import Kept
from drainservice.register import queries
from drainservice.register.models import (
    AccessPoint,
    Backup,
    CheckValve,
    CurvePoint,
    Downspout,
    Fitting,
    How,
    Line,
    Pit,
    Pump,
    Section,
    SharedMain,
    Site,
    System,
)
from jobs import queue

Row = TypeVar("Row", bound=Kept)


class PumpIsGone(CannotBeDone):
    """A pump that has left the pit is history and is not changed."""


def known(how: str = How.TOLD, **values: Any) -> dict[str, Any]:
    """Values together with how they are known: known("drawn", depth_m=1.2) for a row's fields.

    An empty value stays unknown.
    """
    told: dict[str, Any] = {}
    for name, value in values.items():
        told[name] = value
        told[f"{name}_how"] = How.UNKNOWN if value in (None, "") else how
    return told


@transaction.atomic
def enter_system(
    site: Site, *, asker: Asker, place: str, lid_code: str = "", **values: Any
) -> System:
    """A system with a fresh lid code, or with the one its tag bears already; its as-built check
    and due dates follow by themselves."""
    values.setdefault("entered_on", queries.today_at(site, asker.at))
    values.setdefault("status_since", values["entered_on"])
    system = System(
        site=site,
        lid_code=lid_code or _free_lid_code(),
        place=text.clean_line(place, most=200, what="The place name"),
        **values,
    )
    history.enter(system, asker=asker)
    queue.put(
        "system.entered",
        key=f"{system.pk}:{system.version}",
        at=asker.at,
        system_id=system.pk,
    )
    return system


@transaction.atomic
def add_pit(system: System, *, asker: Asker, **values: Any) -> Pit:
    """The system's pit."""
    return _add(Pit(system=system, **values), system, asker)


@transaction.atomic
def add_access_point(system: System, *, asker: Asker, **values: Any) -> AccessPoint:
    """Its lid."""
    return _add(AccessPoint(system=system, **values), system, asker)


@transaction.atomic
def add_downspout(system: System, *, asker: Asker, **values: Any) -> Downspout:
    """A downspout and its roof."""
    return _add(Downspout(system=system, **values), system, asker)


@transaction.atomic
def add_pump(
    system: System, *, asker: Asker, curve: list[tuple[float, float]], **values: Any
) -> Pump:
    """A pump in its position, with points of its curve as (flow in m3/s, head in m)."""
    pump = _add(Pump(system=system, **values), system, asker)
    points = [CurvePoint(pump=pump, flow_m3s=q, head_m=h) for q, h in curve]
    history.enter_rows(points, asker=asker)
    return pump


@transaction.atomic
def add_check_valve(pump: Pump, *, asker: Asker, **values: Any) -> CheckValve:
    """The check valve over a pump, or the knowledge that there is none."""
    return _add(CheckValve(pump=pump, **values), pump.system, asker)


@transaction.atomic
def add_backup(system: System, *, asker: Asker, **values: Any) -> Backup:
    """A battery or generator, or the knowledge that there is none."""
    return _add(Backup(system=system, **values), system, asker)


@transaction.atomic
def add_line(
    system: System,
    *,
    asker: Asker,
    sections: list[dict[str, Any]],
    **values: Any,
) -> Line:
    """The discharge line; each section may carry `fittings` as {kind: count}."""
    line = _add(Line(system=system, **values), system, asker)
    for rank, section in enumerate(sections, start=1):
        add_section(line, asker=asker, rank=rank, **section)
    return line


@transaction.atomic
def add_section(line: Line, *, asker: Asker, fittings: dict[str, int], **values: Any) -> Section:
    """One stretch of a line with its fittings."""
    section = _add(Section(line=line, **values), line.system, asker)
    history.enter_rows(
        [Fitting(section=section, kind=kind, count=count) for kind, count in fittings.items()],
        asker=asker,
    )
    return section


@transaction.atomic
def enter_main(*, asker: Asker, sites: list[Site], **values: Any) -> SharedMain:
    """A main that several lines join, recorded once."""
    main = history.enter(SharedMain(**values), asker=asker)
    return history.add_to(main, "sites", sites, asker=asker)


@transaction.atomic
def change_part(row: Kept, *, asker: Asker, **new: Any) -> Kept:
    """Change one part of a system where it is still as it was read; the checks follow."""
    if isinstance(row, Pump) and row.until_on is not None:
        raise PumpIsGone("This pump has left the pit; its record stays as it was.")
    before = row.version
    history.keep(row, asker=asker, **new)
    if row.version != before:
        for system in _systems_of(row):
            say_changed(row, system, asker)
    return row


@transaction.atomic
def replace_pump(
    old: Pump,
    *,
    asker: Asker,
    on: date,
    because: str,
    curve: list[tuple[float, float]],
    valve: dict[str, Any] | None = None,
    **values: Any,
) -> Pump:
    """Take a pump out and put another in its place; the old one stays dated in history.

    The check valve moves to the new pump as it was, unless `valve` describes another.
    """
    if old.until_on is not None:
        raise PumpIsGone("This pump has left the pit already; look at the one that is there now.")
    standing = CheckValve.objects.standing().filter(pump=old, until_on__isnull=True).first()
    history.keep(old, asker=asker, until_on=on, until_because=because)
    new = add_pump(
        old.system,
        asker=asker,
        curve=curve,
        position=old.position,
        from_on=on,
        from_span="day",
        **values,
    )
    if standing is not None:
        history.keep(standing, asker=asker, until_on=on)
        kept = {
            f.name: getattr(standing, f.name)
            for f in CheckValve._meta.concrete_fields
            if f.name not in {"id", "pump", "from_on", "until_on", "version", "removed_at"}
        }
        add_check_valve(new, asker=asker, from_on=on, **(valve or kept))
    elif valve is not None:
        add_check_valve(new, asker=asker, from_on=on, **valve)
    return new


@transaction.atomic
def set_status(system: System, *, asker: Asker, status: str) -> System:
    """In use, out of use, or dug out, from today on."""
    day = queries.today_at(system.site, asker.at)
    before = system.version
    history.keep(system, asker=asker, status=status, status_since=day)
    if system.version != before:
        say_changed(system, system, asker)
    return system


def _add(row: Row, system: System, asker: Asker) -> Row:
    history.enter(row, asker=asker)
    say_changed(row, system, asker)
    return row


def say_changed(row: Model, system: System, asker: Asker) -> None:
    """Announce that something of a system changed: its checks and dates follow."""
    version = getattr(row, "version", 1)
    queue.put(
        "system.changed",
        key=f"{system.pk}:{row._meta.model_name}:{row.pk}:{version}",
        at=asker.at,
        folds_into=f"{system.pk}:",
        system_id=system.pk,
    )


def _systems_of(row: Any) -> list[System]:
    """The systems a part belongs to: one, but for a shared main."""
    if isinstance(row, System):
        return [row]
    if isinstance(row, SharedMain):
        return list(System.objects.standing().filter(line__main=row, line__removed_at__isnull=True))
    if isinstance(row, CheckValve | CurvePoint):
        return [row.pump.system]
    if isinstance(row, Fitting):
        return [row.section.line.system]
    if isinstance(row, Section):
        return [row.line.system]
    return [row.system]


def _free_lid_code() -> str:
    """A code nobody has had; 28 million codes make a second try rare."""
    code = new_lid_code()
    while System.objects.filter(lid_code=code).exists():
        code = new_lid_code()
    return code
