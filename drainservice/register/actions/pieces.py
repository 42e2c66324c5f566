"""The pieces of a line and a pump: fittings of a section, points of a curve, a shared main."""

from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker
from drainservice.register.actions.systems import say_changed
from drainservice.register.models import CurvePoint, Fitting, Pump, Section, SharedMain, System


@transaction.atomic
def set_fittings(section: Section, *, asker: Asker, fittings: dict[str, int]) -> None:
    """So many of each kind; a kind that is not named is there no more."""
    system, wanted = section.line.system, dict(fittings)
    for row in Fitting.objects.standing().filter(section=section).order_by("pk"):
        count = wanted.pop(row.kind, 0)
        _set(row, system, asker, {"count": count} if count else None)
    for kind, count in wanted.items():
        _enter(Fitting(section=section, kind=kind, count=count), system, asker)


@transaction.atomic
def set_curve(pump: Pump, *, asker: Asker, curve: list[tuple[float, float]]) -> None:
    """The points of a pump's curve as (flow in m3/s, head in m); others are there no more."""
    wanted = dict(curve)
    for row in CurvePoint.objects.standing().filter(pump=pump).order_by("pk"):
        head_m = wanted.pop(row.flow_m3s, None)
        _set(row, pump.system, asker, None if head_m is None else {"head_m": head_m})
    for flow_m3s, head_m in wanted.items():
        _enter(CurvePoint(pump=pump, flow_m3s=flow_m3s, head_m=head_m), pump.system, asker)


@transaction.atomic
def remove_section(section: Section, *, asker: Asker) -> None:
    """A stretch that is not in the ground; it stays readable in history."""
    history.remove(section, asker=asker)
    say_changed(section, section.line.system, asker)


@transaction.atomic
def take_main_off(main: SharedMain, *, asker: Asker) -> None:
    """A shared main that no line joins."""
    history.remove(main, asker=asker)


def _set(row: Any, system: System, asker: Asker, new: dict[str, Any] | None) -> None:
    before = row.version
    if new is None:
        history.remove(row, asker=asker)
    else:
        history.keep(row, asker=asker, **new)
    if row.version != before:
        say_changed(row, system, asker)


def _enter(row: Any, system: System, asker: Asker) -> None:
    history.enter(row, asker=asker)
    say_changed(row, system, asker)
