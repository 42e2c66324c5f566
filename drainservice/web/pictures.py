"""From the record to what the drawing of one pit is drawn from."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from drainservice.engine.drawings.pit_facts import (
    Arrow,
    Attitude,
    Base,
    CheckValve,
    Discharge,
    Fabric,
    Fault,
    Inlet,
    Known,
    Lid,
    LineEnd,
    PitFacts,
    Place,
    Pump,
    TopLayer,
)
from drainservice.register import models as register
from drainservice.register.queries import Whole
from drainservice.web.wrong import defect_words

# Kind of defect: the part of the drawing it stands at.
SPOTS = {
    "no_weep_hole": "weep",
    "pump_on_loose_stone": "base",
    "insert_not_supported": "insert",
    "fine_stone": "stone",
    "wrong_fabric": "fabric",
    "fabric_is_torn": "fabric",
    "no_leaf_trap": "grade",
    "near_trees": "grade",
    "silted_up": "silt",
    "no_alarm": "alarm",
    "alarm_is_silent": "alarm",
}
SPOTS_OF_PARTS = {
    "check_valve": "valve",
    "line": "discharge",
    "access_point": "lid",
    "pit": "grade",
    "power": "pump",
    "pump": "pump",
}
BASES = {"flat_solid": Base.SOLID, "tub": Base.SOLID, "loose_stone": Base.LOOSE_STONE}
FABRICS = {
    "non_woven": Fabric.NON_WOVEN,
    "landscape": Fabric.LANDSCAPE,
    "woven": Fabric.LANDSCAPE,
    "none": Fabric.NONE,
}
ATTITUDES = {"upright": Attitude.UPRIGHT, "on_its_side": Attitude.ON_ITS_SIDE}
TOP_LAYER_M = 0.1


def pit_facts_of(
    whole: Whole,
    *,
    defects: Iterable[Any] = (),
    water_m: float | None = None,
    water_on: date | None = None,
    sediment_m: float | None = None,
) -> PitFacts:
    """One pit as built and as last seen. Levels of the record stand above the floor of the hole,
    those of a drawing below grade; without a depth they are not known."""
    pit, lid = whole.pit, whole.access_point
    depth_m = pit.depth_m if pit else None
    top = pit.top_layer if pit else ""
    return PitFacts(
        name=whole.system.place,
        depth_m=depth_m,
        width_m=pit.length_m if pit else None,
        insert_diameter_m=pit.insert_diameter_m if pit else None,
        insert_height_m=pit.insert_height_m if pit else None,
        lid=Lid(lid.size_m if lid else None, covered_by=_cover(lid)),
        stone_m=pit.stone_size_m if pit else None,
        fabric=FABRICS.get(pit.fabric if pit else "", Fabric.UNKNOWN),
        pump=_pump(whole.pump, depth_m),
        valve=_valve(whole.valve, depth_m),
        discharge=_discharge(whole),
        inlets=tuple(
            Inlet(spout.name, spout.inlet_diameter_m, spout.invert_depth_m)
            for spout in whole.downspouts
        ),
        top_layer=TopLayer(top, TOP_LAYER_M) if top else None,
        water_below_m=_below(water_m, depth_m),
        water_seen=f"on {water_on.day} {water_on:%B}" if water_on else "",
        sediment_m=sediment_m,
        faults=tuple(_fault(defect) for defect in defects),
    )


def _fault(defect: Any) -> Fault:
    words = defect_words(defect.kind)
    spot = SPOTS.get(defect.kind) or SPOTS_OF_PARTS.get(defect.part, "grade")
    return Fault(spot, words, defect.note or f"{words[:1].upper()}{words[1:]}.")


def _below(level_m: float | None, depth_m: float | None) -> float | None:
    return None if level_m is None or depth_m is None else depth_m - level_m


def _cover(lid: register.AccessPoint | None) -> str:
    if lid is None or lid.covered_by in {"", register.Cover.NOTHING}:
        return ""
    return str(register.Cover(lid.covered_by).label)


def _yes_no(value: bool | None) -> Known:
    return Known.UNKNOWN if value is None else Known.YES if value else Known.NO


def _pump(pump: register.Pump | None, depth_m: float | None) -> Pump | None:
    if pump is None:
        return None
    return Pump(
        pump.power_w,
        _below(pump.on_level_m, depth_m),
        _below(pump.off_level_m, depth_m),
        _below(pump.alarm_level_m, depth_m),
        BASES.get(pump.base, Base.UNKNOWN),
    )


def _valve(valve: register.CheckValve | None, depth_m: float | None) -> CheckValve:
    if valve is None:
        return CheckValve(Known.UNKNOWN)
    places = {"in_pit": Place.IN_PIT, "buried": Place.BURIED}
    arrows = {"with_flow": Arrow.WITH_FLOW, "against_flow": Arrow.AGAINST_FLOW}
    return CheckValve(
        _yes_no(valve.is_present),
        ATTITUDES.get(valve.attitude, Attitude.UNKNOWN),
        places.get(valve.place, Place.UNKNOWN),
        arrows.get(valve.arrow, Arrow.UNKNOWN),
        _below(valve.height_m, depth_m),
        _yes_no(valve.has_weep_hole),
    )


def _discharge(whole: Whole) -> Discharge | None:
    line = whole.line
    if line is None:
        return None
    bore_m = whole.sections[0].diameter_m if whole.sections else None
    ends = {"daylight": LineEnd.DAYLIGHT, "pop_up": LineEnd.POP_UP}
    by_joint = {"wye": LineEnd.MAIN_BY_WYE, "tee": LineEnd.MAIN_BY_TEE}
    end = ends.get(line.end) or by_joint.get(line.joint) or LineEnd.UNKNOWN
    return Discharge(bore_m, None, end)
