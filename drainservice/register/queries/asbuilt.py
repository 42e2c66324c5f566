"""The record of a system as the engine's as-built facts, each with how it is known."""

from enum import Enum
from typing import Any, TypeVar

from drainservice.engine.asbuilt.facts import (
    AsBuilt,
    Fabric,
    Joint,
    PumpBase,
    Stone,
    ValveAttitude,
    ValvePlace,
)
from drainservice.engine.asbuilt.facts import Cover as LidCover
from drainservice.engine.asbuilt.known import How, Known, unknown
from drainservice.register.models import CheckValve, Cover, Lid, LineEnd, SurroundingKind
from drainservice.register.queries.whole import Whole

Word = TypeVar("Word", bound=Enum)
# Near, by judgement: a structure within 10 ft, a large tree within 20 ft.
STRUCTURE_NEAR_M = 3.05
TREE_NEAR_M = 6.1
ATTITUDES = {
    "upright": ValveAttitude.UPRIGHT,
    "on_its_side": ValveAttitude.ON_SIDE,
    "upside_down": ValveAttitude.UPSIDE_DOWN,
}
PLACES = {"in_pit": ValvePlace.IN_PIT, "buried": ValvePlace.BURIED}
BASES = {
    "flat_solid": PumpBase.SOLID,
    "tub": PumpBase.SOLID,
    "loose_stone": PumpBase.LOOSE_STONE,
}
JOINTS = {"wye": Joint.WYE, "tee": Joint.TEE}
STONES = {"large_clean": Stone.CLEAN_LARGE, "small": Stone.SMALL, "graded": Stone.GRADED}
FABRICS = {
    "non_woven": Fabric.NON_WOVEN,
    "landscape": Fabric.LANDSCAPING,
    "none": Fabric.NONE,
}


def as_built_of(whole: Whole, *, valve: CheckValve | None = None) -> AsBuilt:
    """The engine's facts of one system; with `valve`, those under that check valve's pump."""
    pit, pump, line, lid = whole.pit, whole.pump, whole.line, whole.access_point
    valve = valve or whole.valve
    has_pump = Known(bool(pump), How.TOLD) if pump or pit else unknown()
    if pump is None:
        return AsBuilt(
            has_pump=has_pump,
            stone=_word(pit, "stone", STONES),
            fabric=_word(pit, "fabric", FABRICS),
            insert_is_supported=_fact(pit, "insert_is_supported"),
            cover=_cover(lid),
            tree_is_near=_near(whole, SurroundingKind.TREE, TREE_NEAR_M),
            structure_is_near=_structure(whole),
            leaf_trap_is_present=_leaf_trap(whole),
            ground_freezes=_freezes(whole),
        )
    return AsBuilt(
        has_pump=has_pump,
        valve_is_present=_fact(valve, "is_present"),
        valve_attitude=_word(valve, "attitude", ATTITUDES),
        valve_arrow_with_flow=_arrow(valve),
        valve_place=_word(valve, "place", PLACES),
        weep_hole_is_present=_fact(valve, "has_weep_hole"),
        pump_base=_word(pump, "base", BASES),
        insert_is_supported=_fact(pit, "insert_is_supported"),
        joint=_joint(line),
        stone=_word(pit, "stone", STONES),
        fabric=_word(pit, "fabric", FABRICS),
        cover=_cover(lid),
        tree_is_near=_near(whole, SurroundingKind.TREE, TREE_NEAR_M),
        leaf_trap_is_present=_leaf_trap(whole),
        structure_is_near=_structure(whole),
        has_alarm=_fact(pump, "has_alarm"),
        has_backup=_backup(whole),
        outlet_is_gfci=_fact(pump, "has_gfci"),
        line_holds_water=_fact(line, "holds_water"),
        ground_freezes=_freezes(whole),
        water_to_start_m3=_fact(pit, "water_to_start_m3"),
    )


def _fact(row: Any, field: str) -> Known[Any]:
    if row is None:
        return unknown()
    how = How(getattr(row, f"{field}_how"))
    return unknown() if how is How.UNKNOWN else Known(getattr(row, field), how)


def _word(row: Any, field: str, words: dict[str, Word]) -> Known[Word]:
    fact = _fact(row, field)
    if fact.value not in words:
        return unknown()
    return Known(words[fact.value], fact.how)


def _arrow(valve: CheckValve | None) -> Known[bool]:
    fact = _fact(valve, "arrow")
    return Known(fact.value == "with_flow", fact.how) if fact.is_known else unknown()


def _joint(line: Any) -> Known[Joint]:
    if line is not None and line.end not in {"", LineEnd.SHARED_MAIN} and not line.joint:
        return Known(Joint.NO_MAIN, How(line.end_how))
    return _word(line, "joint", JOINTS)


def _cover(lid: Any) -> Known[LidCover]:
    kind, covered = _fact(lid, "kind"), _fact(lid, "covered_by")
    if kind.value == Lid.NONE:
        return Known(LidCover.NO_LID, kind.how)
    if covered.is_known:
        is_open = covered.value == Cover.NOTHING
        return Known(LidCover.FLUSH_LID if is_open else LidCover.BURIED_LID, covered.how)
    return unknown()


def _near(whole: Whole, kind: str, near_m: float) -> Known[bool]:
    """Known only where somebody wrote surroundings of that kind down."""
    distances = [s.distance_m for s in whole.site.surroundings.all() if s.kind == kind]
    if not distances:
        return unknown()
    return Known(any(d is None or d <= near_m for d in distances), How.TOLD)


def _structure(whole: Whole) -> Known[bool]:
    near = _near(whole, SurroundingKind.STRUCTURE, STRUCTURE_NEAR_M)
    if near.is_known or not whole.system.consequence:
        return near
    return Known(whole.system.consequence != "yard", How.TOLD)


def _leaf_trap(whole: Whole) -> Known[bool]:
    said = [d.has_leaf_trap for d in whole.downspouts if d.has_leaf_trap is not None]
    return Known(all(said), How.TOLD) if said else unknown()


def _backup(whole: Whole) -> Known[bool]:
    kinds = [_fact(backup, "kind") for backup in whole.backups]
    said = [fact for fact in kinds if fact.is_known]
    if not said:
        return unknown()
    return Known(any(fact.value != "none" for fact in said), said[0].how)


def _freezes(whole: Whole) -> Known[bool]:
    return Known(bool(whole.site.jurisdiction.frost_from), How.TOLD)
