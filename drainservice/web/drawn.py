"""Rows of the register as the facts of a section, for every page that draws one."""

from drainservice.engine.drawings import pit_facts as drawn
from drainservice.engine.drawings.section import Section, draw_section
from drainservice.engine.drawings.sheet import Width
from drainservice.engine.units import UnitSystem
from drainservice.register.models import CheckValve, Pump
from drainservice.register.queries import Whole

BASES = {
    "flat_solid": drawn.Base.SOLID,
    "tub": drawn.Base.SOLID,
    "loose_stone": drawn.Base.LOOSE_STONE,
}
FABRICS = {
    "non_woven": drawn.Fabric.NON_WOVEN,
    "landscape": drawn.Fabric.LANDSCAPE,
    "none": drawn.Fabric.NONE,
}
ATTITUDES = {"upright": drawn.Attitude.UPRIGHT, "on_its_side": drawn.Attitude.ON_ITS_SIDE}
PLACES = {"in_pit": drawn.Place.IN_PIT, "buried": drawn.Place.BURIED}
ARROWS = {"with_flow": drawn.Arrow.WITH_FLOW, "against_flow": drawn.Arrow.AGAINST_FLOW}
ENDS = {"daylight": drawn.LineEnd.DAYLIGHT, "pop_up": drawn.LineEnd.POP_UP}
JOINTS = {"wye": drawn.LineEnd.MAIN_BY_WYE, "tee": drawn.LineEnd.MAIN_BY_TEE}


def section_of(whole: Whole, *, width: Width, units: UnitSystem, prefix: str) -> Section:
    """The system's section, to scale. Errors: PitCannotBeDrawn, a sentence."""
    return draw_section(pit_facts(whole), width, units, prefix)


def pit_facts(whole: Whole) -> drawn.PitFacts:
    """One pit as built: heights above the hole's bottom become depths below grade."""
    pit, lid = whole.pit, whole.access_point
    is_covered = lid is not None and lid.covered_by not in {"", "nothing"}
    return drawn.PitFacts(
        name=f"{whole.site.address}, {whole.system.place}",
        depth_m=pit.depth_m if pit else None,
        width_m=(pit.width_m or pit.length_m) if pit else None,
        insert_diameter_m=pit.insert_diameter_m if pit else None,
        insert_height_m=pit.insert_height_m if pit else None,
        lid=drawn.Lid(
            size_m=lid.size_m if lid else None,
            covered_by=lid.get_covered_by_display() if lid and is_covered else "",
        ),
        stone_m=pit.stone_size_m if pit else None,
        fabric=FABRICS.get(pit.fabric if pit else "", drawn.Fabric.UNKNOWN),
        pump=_pump(whole.pump, whole) if whole.pump else None,
        valve=_valve(whole.valve, whole),
        discharge=_discharge(whole),
        inlets=tuple(
            drawn.Inlet(d.name, d.inlet_diameter_m, d.invert_depth_m) for d in whole.downspouts
        ),
        faults=_faults(whole.valve),
    )


def _below(whole: Whole, height_m: float | None) -> float | None:
    depth_m = whole.pit.depth_m if whole.pit else None
    return None if depth_m is None or height_m is None else depth_m - height_m


def _pump(pump: Pump, whole: Whole) -> drawn.Pump:
    return drawn.Pump(
        power_w=pump.power_w,
        on_below_m=_below(whole, pump.on_level_m),
        off_below_m=_below(whole, pump.off_level_m),
        alarm_below_m=_below(whole, pump.alarm_level_m),
        base=BASES.get(pump.base, drawn.Base.UNKNOWN),
    )


def _valve(valve: CheckValve | None, whole: Whole) -> drawn.CheckValve:
    if valve is None:
        return drawn.CheckValve(drawn.Known.UNKNOWN)
    return drawn.CheckValve(
        present=_known(valve.is_present),
        attitude=ATTITUDES.get(valve.attitude, drawn.Attitude.UNKNOWN),
        place=PLACES.get(valve.place, drawn.Place.UNKNOWN),
        arrow=ARROWS.get(valve.arrow, drawn.Arrow.UNKNOWN),
        below_m=_below(whole, valve.height_m),
        weep_hole=_known(valve.has_weep_hole),
    )


def _discharge(whole: Whole) -> drawn.Discharge | None:
    line = whole.line
    if line is None:
        return None
    joined = JOINTS.get(line.joint, drawn.LineEnd.UNKNOWN)
    end = joined if line.end == "shared_main" else ENDS.get(line.end, drawn.LineEnd.UNKNOWN)
    bore_m = whole.sections[0].diameter_m if whole.sections else None
    return drawn.Discharge(bore_m=bore_m, below_m=None, end=end, end_words=line.end_place)


def _faults(valve: CheckValve | None) -> tuple[drawn.Fault, ...]:
    """What the drawing has no shape for, in words."""
    if valve is None or valve.attitude != "upside_down":
        return ()
    sentence = "The check valve hangs upside down, so that its flap falls open; set it upright."
    return (drawn.Fault("valve", "upside down", sentence),)


def _known(claim: bool | None) -> drawn.Known:
    if claim is None:
        return drawn.Known.UNKNOWN
    return drawn.Known.YES if claim else drawn.Known.NO
