"""The pieces of a line and a pump: fittings of a section, points of a curve, a shared main."""

from math import isclose
from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.register.actions.systems import say_changed
from drainservice.register.models import (
    CurvePoint,
    Downspout,
    Fitting,
    Line,
    Pump,
    Section,
    SharedMain,
    System,
)

# A number shown in another unit and read back comes within this of what is stored.
SAME = 1e-5


class MainIsJoined(CannotBeDone):
    """A main that a line joins is there."""


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
        same = next((flow for flow in wanted if isclose(flow, row.flow_m3s, rel_tol=SAME)), None)
        if same is None:
            _set(row, pump.system, asker, None)
        elif not isclose(head_m := wanted.pop(same), row.head_m, rel_tol=SAME):
            _set(row, pump.system, asker, {"head_m": head_m})
    for flow_m3s, head_m in wanted.items():
        _enter(CurvePoint(pump=pump, flow_m3s=flow_m3s, head_m=head_m), pump.system, asker)


@transaction.atomic
def remove_part(row: Section | Downspout, *, asker: Asker) -> None:
    """A stretch or a downspout that is not there; it stays readable in history."""
    history.remove(row, asker=asker)
    say_changed(row, row.line.system if isinstance(row, Section) else row.system, asker)


@transaction.atomic
def take_main_off(main: SharedMain, *, asker: Asker) -> None:
    """A shared main that no line joins. Errors: MainIsJoined."""
    joined = Line.objects.standing().filter(main=main).select_related("system__site").first()
    if joined is not None:
        raise MainIsJoined(
            f"The line at {joined.system.site.address} still joins this main; let it end "
            "somewhere else first."
        )
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
