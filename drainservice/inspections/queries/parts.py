"""Rows of the register as the engine's parts of a sum; what nobody wrote down is named."""

from dataclasses import replace
from typing import Any

from drainservice.engine.hydraulics.curves import PumpPoint, fit_pump_curve
from drainservice.engine.hydraulics.fittings import Fitting, FittingKind
from drainservice.engine.hydraulics.friction import HazenWilliams
from drainservice.engine.hydraulics.line import Section
from drainservice.engine.hydraulics.measured import Measured
from drainservice.engine.hydraulics.plan_area import BoxPit, RoundPit, area_between
from drainservice.engine.hydraulics.shared_main import Daylight, SharedMain
from drainservice.engine.hydraulics.system_duty import DAYLIGHT, DutyInput
from drainservice.engine.results.pit import LimitInput
from drainservice.engine.soakage.drain_time import CountsFrom, CountsTo, Definition
from drainservice.engine.soakage.pit import Pit as SoakPit
from drainservice.engine.soakage.pit import box_pit, round_pit
from drainservice.engine.units import HOUR_S, INCH_M
from drainservice.register.models import SharedMain as MainRow
from drainservice.register.models.line import LineEnd
from drainservice.register.queries import Whole

# How surely a length is known, as sd over value; judgement, no source.
SD_SHARE = {"measured": 0.01, "drawn": 0.03, "told": 0.05, "assumed": 0.10}
# A poured volume gives the area to 3 %; judgement, no source.
AREA_SD_SHARE = {"measured": 0.03, "drawn": 0.08, "told": 0.08, "assumed": 0.12}
VOID_SD = 0.03
LEVEL_SD_M = 0.25 * INCH_M
STOPWATCH_SD_S = 0.5
# New PVC; an aged line of other pipe is rougher (from memory).
HAZEN_WILLIAMS_C = {"pvc": 150.0, "abs": 150.0, "polyethylene": 150.0, "corrugated": 100.0}
CHECK_VALVES = {
    "swing": FittingKind.SWING_CHECK,
    "lift": FittingKind.LIFT_CHECK,
    "spring": FittingKind.LIFT_CHECK,
}
TEE_DEGREES = 90.0
WYE_DEGREES = 45.0
ENDS_OPEN = {LineEnd.DAYLIGHT, LineEnd.POP_UP}
COUNTS_FROM = {
    "peak": CountsFrom.PEAK,
    "end_of_rain": CountsFrom.END_OF_RAIN,
    "filled": CountsFrom.FULL,
}


class Missing(ValueError):
    """What the sum needs and nobody has written down."""


def area_of(whole: Whole, low_m: float, high_m: float) -> Measured:
    """Effective plan area of the pit, m2: as poured where it was measured, else from its shape.

    Errors: Missing.
    """
    pit = whole.pit
    if pit is not None and pit.plan_area_m2 is not None:
        return Measured(pit.plan_area_m2, pit.plan_area_m2 * AREA_SD_SHARE[pit.plan_area_m2_how])
    if pit is None or not pit.length_m or not pit.insert_diameter_m:
        raise Missing(
            "Write down the pit's size and the insert's diameter, or pour a known volume and "
            "read the rise: without them a fall of the level is no flow."
        )
    insert = _length(pit, "insert_diameter_m")
    void = Measured(pit.void_ratio or 0.40, VOID_SD)
    if pit.shape == "round":
        shape: BoxPit | RoundPit = RoundPit(insert, _length(pit, "length_m"), void)
    else:
        width = "width_m" if pit.width_m else "length_m"
        shape = BoxPit(insert, _length(pit, "length_m"), _length(pit, width), void)
    return area_between(shape, low_m, high_m).measured


def duty_input_of(whole: Whole) -> DutyInput:
    """The whole discharge as the engine wants it. Errors: Missing, naming the first gap."""
    pump, line = whole.pump, whole.line
    if pump is None:
        raise Missing("There is no pump on record here.")
    points = [p for p in pump.curve_points.all() if p.removed_at is None]
    if not points:
        raise Missing("The pump's head at a flow is not on record; find its plate or its sheet.")
    if pump.on_level_m is None or pump.off_level_m is None:
        raise Missing("The levels at which the pump starts and stops are not on record.")
    if line is None or line.lift_m is None:
        raise Missing("The lift from the pit's floor to the outlet is not on record.")
    sections = sections_of(whole)
    if not sections:
        raise Missing("The discharge line's size and length are not on record.")
    curve = fit_pump_curve([PumpPoint(p.flow_m3s, p.head_m) for p in points])
    valve = whole.valve
    return DutyInput(
        pumps=(curve,),
        sections=sections,
        outlet_above_floor_m=line.lift_m,
        on_above_floor_m=pump.on_level_m,
        off_above_floor_m=pump.off_level_m,
        weep_hole_m=_weep_hole(valve),
        joint=_joint(whole),
    )


def _length(row: Any, field: str) -> Measured:
    value = getattr(row, field)
    return Measured(value, value * SD_SHARE[getattr(row, f"{field}_how")])


def sections_of(whole: Whole) -> tuple[Section, ...]:
    """The line in order from the pump, the check valve in its first section. Errors: Missing.

    Water that leaves into the open loses its speed there, whether or not anybody wrote the exit
    down; what joining a main costs is counted at the joint.
    """
    made: list[Section] = []
    line = whole.line
    joins_main = line is not None and (line.main is not None or line.end == LineEnd.SHARED_MAIN)
    for rank, row in enumerate(whole.sections):
        if row.diameter_m is None or row.length_m is None:
            raise Missing("A section of the discharge line has no size or length on record.")
        fittings = [
            Fitting(FittingKind(f.kind), f.count)
            for f in row.fittings.all()
            if f.removed_at is None and not (joins_main and f.kind == FittingKind.EXIT)
        ]
        valve = whole.valve
        if rank == 0 and valve is not None and valve.is_present:
            fittings.append(Fitting(CHECK_VALVES.get(valve.kind, FittingKind.SWING_CHECK)))
        c = HAZEN_WILLIAMS_C.get(row.material, 140.0)
        made.append(Section(row.length_m, row.diameter_m, HazenWilliams(c), tuple(fittings)))
    if line is not None and line.end in ENDS_OPEN and not joins_main:
        return _with_exit(made)
    return tuple(made)


def _with_exit(made: list[Section]) -> tuple[Section, ...]:
    if not made or any(f.kind is FittingKind.EXIT for s in made for f in s.fittings):
        return tuple(made)
    last = made[-1]
    return (*made[:-1], replace(last, fittings=(*last.fittings, Fitting(FittingKind.EXIT))))


def up_to_high_point(
    sections: tuple[Section, ...], high_point_m: float | None
) -> tuple[Section, ...]:
    """The part of the line that can run back: up to its first high point."""
    if high_point_m is None:
        return sections
    kept, left = [], high_point_m
    for section in sections:
        if left <= 0:
            break
        length_m = min(section.length_m, left)
        kept.append(Section(length_m, section.inside_diameter_m))
        left -= length_m
    return tuple(kept) or sections[:1]


def _weep_hole(valve: Any) -> float:
    if valve is None or not valve.has_weep_hole:
        return 0.0
    return float(valve.weep_hole_m or 0.1875 * INCH_M)


def _joint(whole: Whole) -> Daylight | SharedMain:
    line = whole.line
    main = line.main if line else None
    if line is None or main is None or main.diameter_m is None or not main.slope:
        return DAYLIGHT
    return SharedMain(
        inside_diameter_m=main.diameter_m,
        slope=main.slope,
        length_m=main.length_m or 0.0,
        invert_above_floor_m=line.lift_m or 0.0,
        tailwater_m=full_tailwater(main),
        branch_angle_degrees=joint_degrees(whole),
    )


def joint_degrees(whole: Whole) -> float:
    """The angle at which the line joins its main; a wye where nobody saw it."""
    is_tee = whole.line is not None and whole.line.joint == "tee"
    return TEE_DEGREES if is_tee else WYE_DEGREES


def full_tailwater(main: MainRow) -> float:
    """Water over the invert of the main's end while it stands full, m.

    On record is the head above the joints, which lie higher by the main's fall.
    """
    if not main.surcharges or main.surcharge_head_m is None:
        return 0.0
    return float(main.surcharge_head_m + (main.slope or 0.0) * (main.length_m or 0.0))


def soak_pit_of(whole: Whole) -> SoakPit:
    """The pit as it soaks. Errors: Missing."""
    pit = whole.pit
    if pit is None or not pit.length_m:
        raise Missing("Write down the pit's size: without it a fall of the level is no rate.")
    void, insert_m = pit.void_ratio or 0.40, pit.insert_diameter_m or 0.0
    if pit.shape == "round":
        return round_pit(pit.length_m, void, insert_m)
    return box_pit(pit.length_m, pit.width_m or pit.length_m, void, insert_m)


def full_depth_of(whole: Whole) -> float:
    """Water as deep as the lowest inlet lets it stand; without one, most of the pit."""
    pit = whole.pit
    if pit is None or pit.depth_m is None:
        raise Missing("The pit's depth is not on record.")
    inverts = [d.invert_depth_m for d in whole.downspouts if d.invert_depth_m is not None]
    return pit.depth_m - max(inverts) if inverts and max(inverts) < pit.depth_m else pit.depth_m


def limit_of(whole: Whole) -> LimitInput:
    """The drain-time limit of the place, and how it counts."""
    rule = whole.site.jurisdiction
    to_m = rule.drain_to_level_m
    counts_to = CountsTo.LEVEL if to_m > 0 else CountsTo.EMPTY
    counts = Definition(COUNTS_FROM[rule.drain_from], counts_to, to_level_m=to_m)
    return LimitInput(rule.drain_limit_h * HOUR_S, counts, rule.drain_source or rule.name)
