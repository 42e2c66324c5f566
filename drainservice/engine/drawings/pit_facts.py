"""What a section is drawn from: one pit as built, lengths in metres; None means not known."""

import math
from dataclasses import dataclass
from enum import StrEnum


class PitCannotBeDrawn(ValueError):
    """A size of the pit is impossible, so no picture of it would be true."""


class Known(StrEnum):
    """Whether a part is there."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class Fabric(StrEnum):
    """The lining between stone and soil."""

    NON_WOVEN = "non_woven"
    LANDSCAPE = "landscape"
    NONE = "none"
    UNKNOWN = "unknown"


class Base(StrEnum):
    """What the pump stands on."""

    SOLID = "solid"
    LOOSE_STONE = "loose_stone"
    UNKNOWN = "unknown"


class Attitude(StrEnum):
    """How the check valve lies."""

    UPRIGHT = "upright"
    ON_ITS_SIDE = "on_its_side"
    UNKNOWN = "unknown"


class Place(StrEnum):
    """Where the check valve is."""

    IN_PIT = "in_pit"
    BURIED = "buried"
    UNKNOWN = "unknown"


class Arrow(StrEnum):
    """Which way the check valve's arrow points."""

    WITH_FLOW = "with_flow"
    AGAINST_FLOW = "against_flow"
    UNKNOWN = "unknown"


class LineEnd(StrEnum):
    """Where the discharge line ends."""

    DAYLIGHT = "daylight"
    POP_UP = "pop_up"
    MAIN_BY_WYE = "main_by_wye"
    MAIN_BY_TEE = "main_by_tee"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Lid:
    """The cover: its size, how far its top lies below grade, and what covers it ("" = nothing)."""

    size_m: float | None
    below_m: float = 0.0
    covered_by: str = ""


@dataclass(frozen=True, slots=True)
class Pump:
    """The pump and the levels of its float, each below grade."""

    power_w: float | None
    on_below_m: float | None
    off_below_m: float | None
    alarm_below_m: float | None = None
    base: Base = Base.UNKNOWN


@dataclass(frozen=True, slots=True)
class CheckValve:
    """The check valve as found and the weep hole before it."""

    present: Known
    attitude: Attitude = Attitude.UNKNOWN
    place: Place = Place.UNKNOWN
    arrow: Arrow = Arrow.UNKNOWN
    below_m: float | None = None
    weep_hole: Known = Known.UNKNOWN


@dataclass(frozen=True, slots=True)
class Inlet:
    """A pipe into the pit: where it comes from, its bore, its invert below grade."""

    source: str
    bore_m: float | None
    invert_below_m: float | None


@dataclass(frozen=True, slots=True)
class Discharge:
    """The discharge line where it leaves the pit, and its end in words."""

    bore_m: float | None
    below_m: float | None
    end: LineEnd = LineEnd.UNKNOWN
    end_words: str = ""


@dataclass(frozen=True, slots=True)
class TopLayer:
    """What lies above the stone."""

    name: str
    thick_m: float


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with a part, as a sentence; `mark` is the same in a few words."""

    part: str
    mark: str
    sentence: str


@dataclass(frozen=True, slots=True)
class PitFacts:
    """One pit as built and as last seen.

    `stone_m` is the largest stone's diameter, `water_below_m` the level below grade when last
    seen (`water_seen` says when), `pump` is None where there is none.
    """

    name: str
    depth_m: float | None
    width_m: float | None
    insert_diameter_m: float | None
    insert_height_m: float | None
    lid: Lid
    stone_m: float | None
    fabric: Fabric
    pump: Pump | None
    valve: CheckValve
    discharge: Discharge | None
    inlets: tuple[Inlet, ...] = ()
    top_layer: TopLayer | None = None
    surface: str = ""
    water_below_m: float | None = None
    water_seen: str = ""
    sediment_m: float | None = None
    faults: tuple[Fault, ...] = ()


LARGEST_PIT_M = 12.0


def refuse_impossible(facts: PitFacts) -> None:
    """Raise PitCannotBeDrawn, in words that say what to mend, for a size no pit can have."""
    sizes = {
        "depth": facts.depth_m,
        "width": facts.width_m,
        "insert diameter": facts.insert_diameter_m,
        "insert height": facts.insert_height_m,
        "stone size": facts.stone_m,
        "lid size": facts.lid.size_m,
    }
    for name, size_m in sizes.items():
        if size_m is not None and not (0 < size_m <= LARGEST_PIT_M):
            raise PitCannotBeDrawn(
                f"The {name} of this pit is {size_m:g} m; enter a size above 0 and up to "
                f"{LARGEST_PIT_M:g} m, or leave it unknown."
            )
    if not all(map(math.isfinite, _levels(facts))):
        raise PitCannotBeDrawn("A level of this pit is not a number; enter it again.")


def _levels(facts: PitFacts) -> list[float]:
    levels = [facts.water_below_m, facts.sediment_m, facts.lid.below_m, facts.valve.below_m]
    levels += [pipe.invert_below_m for pipe in facts.inlets]
    levels += [pipe.bore_m for pipe in facts.inlets]
    if facts.pump:
        levels += [facts.pump.on_below_m, facts.pump.off_below_m, facts.pump.alarm_below_m]
    if facts.discharge:
        levels += [facts.discharge.bore_m, facts.discharge.below_m]
    return [level for level in levels if level is not None]
