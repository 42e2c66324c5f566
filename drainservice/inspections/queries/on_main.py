"""The pits whose lines join one main, as the engine's parts of the sum."""

from datetime import date

from drainservice.engine.hydraulics.main_line import Main, PitOnMain
from drainservice.engine.results.neighbours import MainInput
from drainservice.inspections.queries.parts import (
    Missing,
    duty_input_of,
    full_tailwater,
    joint_degrees,
)
from drainservice.register import queries as register
from drainservice.register.models import SharedMain, System
from drainservice.register.models.system import Status
from drainservice.register.queries import Whole


def main_input_of(whole: Whole) -> MainInput | None:
    """This pit and its neighbours on the main, all pumps new; None where it shares none.

    Nobody writes down where along the main each line joins: all are taken to join at its upper
    end, where they hinder each other most. Errors: Missing, naming the first gap.
    """
    main = whole.line.main if whole.line else None
    if main is None or whole.pump is None:
        return None
    neighbours = [near for near in _neighbours(whole, main) if near.pump is not None]
    if not neighbours:
        return None
    if main.diameter_m is None or not main.slope or main.length_m is None:
        raise Missing(
            "Other pumps share this main, but its size, slope or length is not on record: without "
            "them nobody can say what they leave of this pump's flow."
        )
    pits = [_pit(whole, main, f"the pit {whole.system.place}")]
    for number, near in enumerate(neighbours, start=1):
        name = _name(near, whole, number)
        try:
            pits.append(_pit(near, main, name))
        except Missing as gap:
            raise Missing(f"{name[0].upper()}{name[1:]} joins the same main. {gap}") from gap
    tailwater_m = full_tailwater(main)
    return MainInput(Main(main.diameter_m, main.slope, tailwater_m=tailwater_m), tuple(pits))


def _neighbours(whole: Whole, main: SharedMain) -> list[Whole]:
    """As they stand on record now: a past day of theirs is not asked for."""
    systems = System.objects.standing().filter(
        line__main=main, line__removed_at__isnull=True, status=Status.IN_USE
    )
    return register.wholes(systems.exclude(pk=whole.system.pk).order_by("pk"), day=date.max)


def _name(near: Whole, whole: Whole, number: int) -> str:
    """Of another yard no more than that it is one: the result is kept with this yard's papers."""
    if near.system.site_id == whole.system.site_id:
        return f"the pit {near.system.place}"
    return f"pit {number} of another yard"


def _pit(whole: Whole, main: SharedMain, name: str) -> PitOnMain:
    duty = duty_input_of(whole)
    return PitOnMain(
        name=name,
        pumps=duty.pumps,
        sections=duty.sections,
        water_above_floor_m=(duty.on_above_floor_m + duty.off_above_floor_m) / 2,
        to_end_m=main.length_m or 0.0,
        invert_above_floor_m=duty.outlet_above_floor_m,
        weep_hole_m=duty.weep_hole_m,
        branch_angle_degrees=joint_degrees(whole),
    )
