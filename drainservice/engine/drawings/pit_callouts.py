"""What is said of each part of the pit, where its leader ends and on which side it is said."""

from collections.abc import Iterator
from dataclasses import dataclass

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
    LineEnd,
    PitFacts,
    Place,
    Pump,
)
from drainservice.engine.drawings.pit_faults import Say
from drainservice.engine.drawings.pit_scale import Box, Ground, Plumbing, show_floats
from drainservice.engine.units import UnitSystem, show

NOT_KNOWN = "not known"
FABRICS = {
    Fabric.NON_WOVEN: "non-woven",
    Fabric.LANDSCAPE: "landscape cloth",
    Fabric.NONE: "none",
    Fabric.UNKNOWN: NOT_KNOWN,
}
BASES = {Base.SOLID: "flat slab", Base.LOOSE_STONE: "loose stone", Base.UNKNOWN: NOT_KNOWN}
ENDS = {
    LineEnd.DAYLIGHT: "to daylight",
    LineEnd.POP_UP: "to a pop-up",
    LineEnd.MAIN_BY_WYE: "to a main by a wye",
    LineEnd.MAIN_BY_TEE: "to a main by a tee",
    LineEnd.UNKNOWN: "end not known",
}


@dataclass(frozen=True, slots=True)
class Spot:
    """A part on the sheet: what is said, where the leader ends, the part's box, its faults."""

    part: str
    name: str
    value: str
    is_left: bool
    at: tuple[float, float]
    box: Box
    faults: tuple[Fault, ...] = ()

    @property
    def is_known(self) -> bool:
        return bool(self.value)


@dataclass(frozen=True, slots=True)
class CallOut:
    """One line of the list beside a section; `number` is its mark in the phone's drawing."""

    number: int
    part: str
    name: str
    value: str
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Naming:
    """The words and units of the reader."""

    say: Say
    system: UnitSystem

    def size(self, value_m: float | None, quantity: str = "small_length") -> str:
        """A size in words, or that it is not known."""
        return self.say(NOT_KNOWN) if value_m is None else show(value_m, quantity, self.system)

    def down(self, value_m: float | None) -> str:
        """A depth below grade in words."""
        if value_m is None:
            return self.say(NOT_KNOWN)
        if value_m < 0:
            return self.say("{height} above grade").format(
                height=show(-value_m, "length", self.system)
            )
        return self.say("{depth} down").format(depth=show(value_m, "length", self.system))


def name_spots(
    facts: PitFacts, ground: Ground, plumbing: Plumbing, boxes: dict[str, Box], naming: Naming
) -> list[Spot]:
    """Every part that is drawn, top to bottom on each side; a part that is absent but should be
    there is named too."""
    spots = [*_name_hole(facts, ground, naming), *_name_inlets(facts, boxes, naming)]
    if facts.pump:
        spots += _name_pump(facts.pump, ground, plumbing, boxes["base"], naming)
        spots += _name_valve(facts.valve, plumbing, naming)
    if facts.discharge:
        spots.append(_name_line(facts.discharge, ground, plumbing, naming))
    return spots


def _name_hole(facts: PitFacts, ground: Ground, naming: Naming) -> Iterator[Spot]:
    hole, insert, edge, say = ground.hole, ground.insert, ground.edge, naming.say
    grade = (edge.left + 14, ground.grade)
    strip = Box(edge.left, ground.grade - 6, hole.left, ground.grade + 6)
    yield Spot("grade", say("finished grade"), facts.surface, True, grade, strip)
    yield _name_lid(facts, ground, naming)
    layer = facts.top_layer
    thick = (layer.thick_m if layer else 0.08) * ground.px_m
    if layer:
        at = ((hole.left + insert.left) / 2, ground.grade + thick * 0.6)
        box = Box(hole.left, ground.grade + 4, insert.left - 3, ground.grade + thick)
        yield Spot(
            "top", layer.name.strip() or say("top layer"), naming.size(layer.thick_m), True, at, box
        )
    stone = Box(hole.left + 6, ground.grade + thick + 6, insert.left - 5, hole.bottom - 8)
    stone_at = (hole.left + stone.width * 0.45, stone.top + stone.height * 0.72)
    value = say(NOT_KNOWN)
    if facts.stone_m is not None:
        value = say("up to {size}").format(size=naming.size(facts.stone_m))
    patch = Box(stone.left, stone_at[1] - 20, stone.right, stone_at[1] + 20)
    yield Spot("stone", say("stone"), value, True, stone_at, patch)
    lining = Box(hole.left, ground.grade + thick, hole.right, hole.bottom)
    at = (hole.right, hole.bottom - 6)
    yield Spot("fabric", say("fabric"), say(FABRICS[facts.fabric]), False, at, lining)
    yield from _name_levels(facts, ground, naming)
    at = (insert.right, insert.top + 0.16 * insert.height)
    box = Box(insert.right - 5, insert.top, insert.right + 5, insert.bottom)
    wide = naming.size(facts.insert_diameter_m)
    yield Spot("insert", say("insert"), say("{size} wide").format(size=wide)
               if facts.insert_diameter_m is not None else wide, False, at, box)  # fmt: skip
    depth_at = (hole.left - 26, hole.bottom - 8)
    box = Box(hole.left - 36, ground.grade, hole.left - 16, hole.bottom)
    yield Spot("depth", say("depth of hole"), naming.size(facts.depth_m, "length"), True,
               depth_at, box)  # fmt: skip


def _name_lid(facts: PitFacts, ground: Ground, naming: Naming) -> Spot:
    lid, say = facts.lid, naming.say
    where = say("at grade")
    if lid.below_m > 0:
        where = naming.down(lid.below_m)
    if lid.covered_by:
        where = say("under {cover}").format(cover=lid.covered_by)
    at = (ground.lid.right - 10, ground.lid.middle[1])
    size = say("size not known") if lid.size_m is None else naming.size(lid.size_m)
    words = f"{size}, {where}"
    return Spot("lid", say("lid"), words, False, at, ground.lid)


def _name_levels(facts: PitFacts, ground: Ground, naming: Naming) -> Iterator[Spot]:
    insert, say = ground.insert, naming.say
    names = {"float-on": say("float on"), "float-off": say("float off"), "alarm": say("alarm")}
    floats = show_floats(facts.pump, ground) if facts.pump else {}
    for part, (level_m, y) in floats.items():
        box = Box(insert.left + 3, y - 7, insert.right - 3, y + 7)
        yield Spot(part, names[part], naming.down(level_m), True, (insert.left + 5, y), box)
    if facts.water_below_m is not None:
        y = ground.down(facts.water_below_m)
        box = Box(insert.left + 3, y - 7, insert.right - 3, y + 7)
        name = say("water {seen}").format(seen=facts.water_seen or say("when last seen"))
        at = (insert.left + 5, y)
        yield Spot("water", name, naming.down(facts.water_below_m), True, at, box)
    if facts.sediment_m is not None and facts.sediment_m > 0:
        y = insert.bottom - min(facts.sediment_m * ground.px_m, insert.height) / 2
        box = Box(insert.left, y - 6, insert.right, insert.bottom)
        at = (insert.left + 7, y)
        yield Spot("silt", say("silt"), naming.size(facts.sediment_m), True, at, box)


def _name_inlets(facts: PitFacts, boxes: dict[str, Box], naming: Naming) -> Iterator[Spot]:
    for number, inlet in enumerate(facts.inlets, 1):
        box = boxes[f"inlet-{number}"]
        is_left = box.left < boxes["base"].left
        at = (box.left + 26 if is_left else box.right - 26, box.middle[1])
        name = naming.say("inlet from {source}").format(source=inlet.source)
        yield Spot(f"inlet-{number}", name, _size_inlet(inlet, naming), is_left, at, box)


def _size_inlet(inlet: Inlet, naming: Naming) -> str:
    if inlet.bore_m is None and inlet.invert_below_m is None:
        return naming.say(NOT_KNOWN)
    if inlet.bore_m is None:
        return naming.down(inlet.invert_below_m)
    return f"{naming.size(inlet.bore_m)}, {naming.down(inlet.invert_below_m)}"


def _name_pump(
    pump: Pump, ground: Ground, plumbing: Plumbing, base: Box, naming: Naming
) -> Iterator[Spot]:
    say = naming.say
    power = say("power not known")
    if pump.power_w is not None:
        power = show(pump.power_w, "power", naming.system)
    box = plumbing.pump
    at = (box.right - 5, box.top + box.height * 0.68)
    yield Spot("pump", say("pump"), power, False, at, box)
    at = (base.right - 10, base.middle[1])
    yield Spot("base", say("base of pump"), say(BASES[pump.base]), False, at, base)


def _name_valve(valve: CheckValve, plumbing: Plumbing, naming: Naming) -> Iterator[Spot]:
    say = naming.say
    box = plumbing.valve
    at = (box.right - 3, box.middle[1])
    yield Spot("valve", say("check valve"), _describe_valve(valve, naming), False, at, box)
    x, y = plumbing.weep
    half = plumbing.pipe_px / 2 + 3
    words = {Known.YES: "in the riser", Known.NO: "none", Known.UNKNOWN: NOT_KNOWN}
    spot = Box(x - half, y - 7, x + half, y + 7)
    at = (x + plumbing.pipe_px / 2, y)
    yield Spot("weep", say("weep hole"), say(words[valve.weep_hole]), False, at, spot)


def _describe_valve(valve: CheckValve, naming: Naming) -> str:
    say = naming.say
    if valve.present != Known.YES:
        return say("none" if valve.present == Known.NO else NOT_KNOWN)
    words = [
        {
            Attitude.UPRIGHT: say("upright"),
            Attitude.ON_ITS_SIDE: say("on its side"),
            Attitude.UNKNOWN: "",
        }[valve.attitude]
    ]
    if valve.place == Place.BURIED:
        words.append(say("buried"))
    if valve.arrow == Arrow.UNKNOWN:
        words.append(say("arrow not seen"))
    if valve.below_m is not None:
        words.append(naming.down(valve.below_m))
    return ", ".join(word for word in words if word) or say("there")


def _name_line(discharge: Discharge, ground: Ground, plumbing: Plumbing, naming: Naming) -> Spot:
    say = naming.say
    y, right = plumbing.line_y, ground.edge.right
    half = plumbing.pipe_px / 2 + 2
    box = Box(ground.insert.right + 4, y - half, right - 1, y + half)
    words = discharge.end_words or say(ENDS[discharge.end])
    value = f"{naming.size(discharge.bore_m)}, {words}"
    if discharge.bore_m is None:
        value = f"{say('size not known')}, {words}"
    at = ((ground.insert.right + ground.hole.right) / 2, y)
    return Spot("discharge", say("discharge"), value, False, at, box)
