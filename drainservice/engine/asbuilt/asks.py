"""What to find out at a first look, and why each matters; common practice, no source."""

from dataclasses import dataclass

from drainservice.engine.asbuilt.finding import Part


@dataclass(frozen=True, slots=True)
class Ask:
    """One question of a first look: the AsBuilt field, the part, what to find out, why."""

    fact: str
    part: Part
    what: str
    why: str
    needs_pump: bool = True
    needs_valve: bool = False


VALVE, LINE, PIT = Part.CHECK_VALVE, Part.LINE, Part.PIT

ASKS = (
    Ask(
        "has_pump",
        Part.PUMP,
        "Is there a pump in the pit?",
        "Without one it drains by soil alone and other looks apply.",
        needs_pump=False,
    ),
    Ask(
        "cover",
        Part.ACCESS_POINT,
        "Where is the lid, and can it be opened?",
        "Without a lid that opens nothing can be judged.",
        needs_pump=False,
    ),
    Ask(
        "lid_is_child_safe",
        Part.ACCESS_POINT,
        "Is the lid closed and safe from children?",
        "An open pit can kill a child.",
        needs_pump=False,
    ),
    Ask(
        "valve_is_present",
        VALVE,
        "Is there a check valve?",
        "Without one the line drains back and the pump cycles until it wears out.",
    ),
    Ask(
        "valve_arrow_with_flow",
        VALVE,
        "Does the arrow on the check valve point with the flow?",
        "Against it no water leaves the pit.",
        needs_valve=True,
    ),
    Ask(
        "valve_attitude",
        VALVE,
        "Does the check valve stand upright?",
        "On its side the flap can stick; upside down it blocks.",
        needs_valve=True,
    ),
    Ask(
        "valve_place",
        VALVE,
        "Is the check valve in the pit or buried?",
        "Buried it must be dug up to be serviced.",
        needs_valve=True,
    ),
    Ask(
        "valve_leaks",
        VALVE,
        "Does the level rise after the pump stops?",
        "A leaking valve makes the pump start again and again.",
        needs_valve=True,
    ),
    Ask(
        "weep_hole_is_present",
        VALVE,
        "Is there a weep hole in the riser below the valve?",
        "Without one, air can keep the pump from moving water.",
        needs_valve=True,
    ),
    Ask(
        "pump_base",
        Part.PUMP,
        "What does the pump stand on?",
        "On loose stone it tilts and draws grit.",
    ),
    Ask(
        "water_to_start_m3",
        Part.PUMP,
        "How much water must be poured until the pump starts?",
        "A test that never reaches the float shows nothing.",
    ),
    Ask(
        "has_alarm",
        Part.PUMP,
        "Is there a high-water alarm?",
        "Without one a dead pump is found by the flood.",
    ),
    Ask(
        "has_backup",
        Part.POWER,
        "Is there a battery or a generator?",
        "Storms bring down the power the pump needs.",
    ),
    Ask(
        "outlet_is_gfci",
        Part.POWER,
        "Is the outlet GFCI-protected?",
        "A fault near water can kill.",
    ),
    Ask(
        "runs_without_rain",
        Part.PUMP,
        "Does the pump run when it has not rained?",
        "Groundwater, leak-back or its own outlet coming home wears it out.",
    ),
    Ask(
        "joint",
        LINE,
        "Where does the line end, and by wye or tee if it joins a main?",
        "A tee catches leaves and grit.",
    ),
    Ask(
        "line_holds_water",
        LINE,
        "Does the line hold water after the pump stops?",
        "A line that holds water freezes.",
    ),
    Ask(
        "ground_freezes",
        LINE,
        "Does the ground freeze down to the line?",
        "A line that holds water freezes.",
    ),
    Ask(
        "structure_is_near",
        PIT,
        "How far is the nearest structure?",
        "A pit close to a structure depends on its pump.",
        needs_pump=False,
    ),
    Ask(
        "insert_is_supported",
        PIT,
        "Does the insert stand level and supported?",
        "A tilted insert catches the float.",
        needs_pump=False,
    ),
    Ask(
        "stone",
        PIT,
        "What stone fills the pit?",
        "Small or graded stone holds less water and invites roots.",
        needs_pump=False,
    ),
    Ask(
        "fabric",
        PIT,
        "What fabric lines the pit?",
        "Landscaping fabric clogs where non-woven geotextile does not.",
        needs_pump=False,
    ),
    Ask(
        "tree_is_near",
        PIT,
        "Do large trees stand near?",
        "Roots and leaves find pit and line.",
        needs_pump=False,
    ),
    Ask(
        "leaf_trap_is_present",
        PIT,
        "Is there a leaf trap at the downspouts?",
        "What the gutters carry ends in the pit.",
        needs_pump=False,
    ),
)
