"""What is in the ground, each fact with how it is known."""

from dataclasses import dataclass, field
from enum import StrEnum

from drainservice.engine.asbuilt.known import Known, unknown


class ValveAttitude(StrEnum):
    """How the check valve lies; only upright does its flap fall shut by itself."""

    UPRIGHT = "upright"
    ON_SIDE = "on_side"
    UPSIDE_DOWN = "upside_down"


class ValvePlace(StrEnum):
    """In the pit it can be serviced; buried it must be dug up."""

    IN_PIT = "in_pit"
    BURIED = "buried"


class PumpBase(StrEnum):
    """What the pump stands on."""

    SOLID = "solid"
    LOOSE_STONE = "loose_stone"


class Joint(StrEnum):
    """How the line meets a main, if it meets one."""

    WYE = "wye"
    TEE = "tee"
    NO_MAIN = "no_main"


class Stone(StrEnum):
    """Clean large stone is 1 to 1.5 in; small or graded stone keeps little room for water."""

    CLEAN_LARGE = "clean_large"
    SMALL = "small"
    GRADED = "graded"


class Fabric(StrEnum):
    """What lines the pit."""

    NON_WOVEN = "non_woven"
    LANDSCAPING = "landscaping"
    NONE = "none"


class Cover(StrEnum):
    """How the pit is reached from above."""

    FLUSH_LID = "flush_lid"
    BURIED_LID = "buried_lid"
    NO_LID = "no_lid"


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """One system as built. Every field starts unknown; SI units (m, m3).

    `has_pump` False means a pit that drains by soil alone: pump, valve and line rules are silent.
    `water_to_start_m3` is the volume poured until the pump started (or A (h_on - h_now)).
    `structure_is_near` true means within about 3 m (10 ft); `tree_is_near` a large tree within
    about 6 m (20 ft); both judgement. `line_holds_water` is a sag or a line kept full after a stop;
    `ground_freezes` where hard frost reaches it. `runs_without_rain` is seen or counted.
    """

    has_pump: Known[bool] = field(default_factory=unknown)
    valve_is_present: Known[bool] = field(default_factory=unknown)
    valve_leaks: Known[bool] = field(default_factory=unknown)
    valve_attitude: Known[ValveAttitude] = field(default_factory=unknown)
    valve_arrow_with_flow: Known[bool] = field(default_factory=unknown)
    valve_place: Known[ValvePlace] = field(default_factory=unknown)
    weep_hole_is_present: Known[bool] = field(default_factory=unknown)
    pump_base: Known[PumpBase] = field(default_factory=unknown)
    insert_is_supported: Known[bool] = field(default_factory=unknown)
    joint: Known[Joint] = field(default_factory=unknown)
    stone: Known[Stone] = field(default_factory=unknown)
    fabric: Known[Fabric] = field(default_factory=unknown)
    cover: Known[Cover] = field(default_factory=unknown)
    lid_is_child_safe: Known[bool] = field(default_factory=unknown)
    tree_is_near: Known[bool] = field(default_factory=unknown)
    leaf_trap_is_present: Known[bool] = field(default_factory=unknown)
    structure_is_near: Known[bool] = field(default_factory=unknown)
    has_alarm: Known[bool] = field(default_factory=unknown)
    has_backup: Known[bool] = field(default_factory=unknown)
    outlet_is_gfci: Known[bool] = field(default_factory=unknown)
    line_holds_water: Known[bool] = field(default_factory=unknown)
    ground_freezes: Known[bool] = field(default_factory=unknown)
    runs_without_rain: Known[bool] = field(default_factory=unknown)
    water_to_start_m3: Known[float] = field(default_factory=unknown)
