"""Defects in words: what each kind is called, and what a person on site can find."""

from typing import Any

# Kind: (part, words). The kinds of the as-built rules, then those only eyes find.
KINDS: dict[str, tuple[str, str]] = {
    "no_check_valve": ("check_valve", "no check valve"),
    "valve_leaks": ("check_valve", "check valve leaks back"),
    "valve_on_side": ("check_valve", "check valve on its side"),
    "valve_upside_down": ("check_valve", "check valve upside down"),
    "valve_against_flow": ("check_valve", "check valve against the flow"),
    "valve_buried": ("check_valve", "check valve buried"),
    "no_weep_hole": ("check_valve", "no weep hole"),
    "pump_on_loose_stone": ("pump", "pump on loose stone"),
    "insert_not_supported": ("pit", "insert not supported"),
    "tee_joint": ("line", "joins the main by a tee"),
    "fine_stone": ("pit", "fine stone"),
    "wrong_fabric": ("pit", "wrong fabric"),
    "no_access_lid": ("access_point", "no lid to reach it by"),
    "lid_buried": ("access_point", "lid covered"),
    "lid_not_child_safe": ("access_point", "lid broken or not child-safe"),
    "near_trees": ("pit", "large trees near"),
    "no_leaf_trap": ("pit", "no leaf trap"),
    "near_structure_depends_on_pump": ("pump", "a structure near depends on the pump"),
    "no_alarm": ("power", "no alarm"),
    "no_gfci": ("power", "outlet without GFCI"),
    "line_holds_water_freezes": ("line", "line holds water and can freeze"),
    "runs_without_rain": ("pump", "runs without rain"),
    "bucket_seldom_starts_pump": ("pump", "a bucket seldom starts the pump"),
    "alarm_is_silent": ("power", "alarm is silent"),
    "gfci_does_not_trip": ("power", "GFCI does not trip or reset"),
    "cord_is_damaged": ("power", "cord damaged"),
    "float_sticks": ("pump", "float sticks or is in the way"),
    "pump_is_noisy": ("pump", "pump is noisy"),
    "line_is_blocked": ("line", "line or outlet blocked"),
    "line_leaks": ("line", "line leaks"),
    "roots": ("line", "roots in pit or line"),
    "fabric_is_torn": ("pit", "fabric torn at the rim"),
    "silted_up": ("pit", "silted up"),
    "something_else": ("pit", "something else"),
}
# What stands near or what nobody can see from the rim is no finding of a visit.
NOT_FOUND_ON_SITE = {"near_structure_depends_on_pump", "bucket_seldom_starts_pump"}
FOUND_ON_SITE = {kind: words for kind, (_, words) in KINDS.items() if kind not in NOT_FOUND_ON_SITE}


def part_of(kind: str) -> str:
    """The part a kind of defect belongs to."""
    return KINDS.get(kind, ("pit", ""))[0]


def defect_words(kind: str) -> str:
    """What the kind is called."""
    return KINDS.get(kind, ("", kind.replace("_", " ")))[1]


def say_defect(defect: Any) -> str:
    """A sentence: the kind, then what was written of it."""
    words = defect_words(defect.kind)
    words = words[:1].upper() + words[1:]
    return f"{words}: {defect.note}" if defect.note else f"{words}."
