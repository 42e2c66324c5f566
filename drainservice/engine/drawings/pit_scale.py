"""Where each part of the pit lies on the sheet, to one scale in both directions."""

from dataclasses import dataclass

from drainservice.engine.drawings.pit_facts import Attitude, PitFacts, Place, Pump
from drainservice.engine.drawings.sheet import SIDE_PX, Width

# Drawn dashed where the size is not known; usual sizes, judgement, no source.
USUAL_DEPTH_M = 1.22
USUAL_WIDTH_M = 1.22
USUAL_INSERT_M = 0.61
USUAL_BORE_M = 0.038
USUAL_INLET_M = 0.10
USUAL_STONE_M = 0.038
USUAL_LID_M = 0.61
LID_THICK_M = 0.05
BASE_THICK_M = 0.08
PUMP_HIGH_M = 0.28
PUMP_WIDE_M = 0.17
LEAST_GROUND_PX = 50.0
# A few fixed scales, as on any engineering drawing, so that pits can be compared by eye.
SCALES_PX_M = {
    Width.WIDE: (240.0, 180.0, 120.0, 80.0, 60.0, 40.0, 25.0),
    Width.PHONE: (150.0, 110.0, 75.0, 50.0, 35.0, 25.0, 15.0),
}
MARGIN_PX = {Width.WIDE: 232.0, Width.PHONE: 32.0}
GRADE_PX = {Width.WIDE: 34.0, Width.PHONE: 30.0}
TALLEST_PX = {Width.WIDE: 460.0, Width.PHONE: 330.0}


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the sheet, px."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def middle(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by_px: float) -> "Box":
        """The box with every side moved out."""
        return Box(self.left - by_px, self.top - by_px, self.right + by_px, self.bottom + by_px)


@dataclass(frozen=True, slots=True)
class Ground:
    """The block of ground that is cut: its scale, its edges, the hole and the insert in it."""

    px_m: float
    grade: float
    edge: Box
    hole: Box
    insert: Box
    lid: Box

    def down(self, below_m: float) -> float:
        """The height on the sheet of a depth below grade, kept inside the block of ground."""
        return min(max(self.grade + below_m * self.px_m, self.grade - 20), self.edge.bottom)


def or_usual(value_m: float | None, usual_m: float) -> float:
    """A known size, or the usual one, which is then drawn dashed."""
    return usual_m if value_m is None else value_m


def choose_scale(depth_m: float, width_m: float, sheet: Width) -> float:
    """The largest fixed scale (px per metre) at which hole and some ground beside it fit."""
    room = SIDE_PX[sheet] - 2 * (MARGIN_PX[sheet] + LEAST_GROUND_PX)
    scales = SCALES_PX_M[sheet]
    fits = (px for px in scales if width_m * px <= room and depth_m * px <= TALLEST_PX[sheet])
    return next(fits, scales[-1])


def lay_out_ground(facts: PitFacts, sheet: Width) -> Ground:
    """Hole and insert stand in the middle of the block of ground; grade is its upper edge."""
    depth_m = or_usual(facts.depth_m, USUAL_DEPTH_M)
    insert_m = or_usual(facts.insert_diameter_m, USUAL_INSERT_M)
    width_m = max(or_usual(facts.width_m, USUAL_WIDTH_M), insert_m)
    px = choose_scale(depth_m, width_m, sheet)
    grade, margin = GRADE_PX[sheet], MARGIN_PX[sheet]
    middle = SIDE_PX[sheet] / 2
    bottom = grade + depth_m * px
    hole = Box(middle - width_m * px / 2, grade, middle + width_m * px / 2, bottom)
    lid = _lay_out_lid(facts, middle, grade, px)
    edge = Box(margin, grade, SIDE_PX[sheet] - margin, bottom + 66)
    return Ground(px, grade, edge, hole, _lay_out_insert(facts, hole, lid, px), lid)


def _lay_out_lid(facts: PitFacts, middle: float, grade: float, px: float) -> Box:
    half = or_usual(facts.lid.size_m, USUAL_LID_M) * px / 2
    top = grade + max(facts.lid.below_m, 0.0) * px
    return Box(middle - half, top, middle + half, top + max(LID_THICK_M * px, 7))


def _lay_out_insert(facts: PitFacts, hole: Box, lid: Box, px: float) -> Box:
    half = or_usual(facts.insert_diameter_m, USUAL_INSERT_M) * px / 2
    lowest = hole.bottom - max(BASE_THICK_M * px, 8)
    known = facts.insert_height_m
    bottom = lowest if known is None else min(lid.bottom + known * px, lowest)
    middle = hole.middle[0]
    return Box(middle - half, lid.bottom, middle + half, max(bottom, lid.bottom + 20))


@dataclass(frozen=True, slots=True)
class Plumbing:
    """Pump, riser, valve, weep hole and line in place."""

    pump: Box
    outlet: tuple[float, float]
    riser_x: float
    line_y: float
    pipe_px: float
    valve: Box
    valve_is_level: bool
    weep: tuple[float, float]


def lay_out_plumbing(facts: PitFacts, ground: Ground) -> Plumbing:
    """The pump stands left of the middle, the riser beside it, the line leaves to the right."""
    px, insert = ground.px_m, ground.insert
    high = min(PUMP_HIGH_M * px, insert.height * 0.5)
    wide = min(PUMP_WIDE_M * px, insert.width * 0.34)
    left = insert.left + insert.width * 0.14
    pump = Box(left, insert.bottom - high, left + wide, insert.bottom)
    riser_x = pump.right + max(insert.width * 0.11, 8)
    discharge = facts.discharge
    bore_m = or_usual(discharge.bore_m if discharge else None, USUAL_BORE_M)
    line_y = ground.down(or_usual(discharge.below_m if discharge else None, 0.40))
    line_y = min(max(line_y, ground.grade + 14), pump.top - 30)
    outlet = (pump.right - 5, pump.top + high * 0.45)
    level = _lies_level(facts)
    valve = _lay_out_valve(facts, ground, riser_x, line_y, pump.top, level)
    upper = line_y if level else valve.bottom
    weep = (riser_x, min(upper + 0.55 * (outlet[1] - upper), pump.top + 6))
    return Plumbing(pump, outlet, riser_x, line_y, max(bore_m * px, 6), valve, level, weep)


def _lies_level(facts: PitFacts) -> bool:
    buried = facts.valve.place == Place.BURIED
    return buried or facts.valve.attitude == Attitude.ON_ITS_SIDE


def _lay_out_valve(
    facts: PitFacts, ground: Ground, riser_x: float, line_y: float, pump_top: float, level: bool
) -> Box:
    long, wide = max(0.13 * ground.px_m, 24), max(0.08 * ground.px_m, 16)
    if level:
        x = (riser_x + ground.insert.right) / 2
        if facts.valve.place == Place.BURIED:
            x = ground.hole.right + long / 2 + 4
        return Box(x - long / 2, line_y - wide / 2, x + long / 2, line_y + wide / 2)
    middle = line_y + 0.42 * (pump_top - line_y)
    if facts.valve.below_m is not None:
        middle = ground.down(facts.valve.below_m)
    middle = min(max(middle, line_y + long / 2 + 4), max(pump_top - 8, line_y + long / 2 + 4))
    return Box(riser_x - wide / 2, middle - long / 2, riser_x + wide / 2, middle + long / 2)


def show_floats(pump: Pump, ground: Ground) -> dict[str, tuple[float | None, float]]:
    """Each float level and its height on the sheet; unknown ones stand in the insert's middle."""
    middle = ground.insert.top + 0.5 * ground.insert.height
    levels = {"float-on": pump.on_below_m, "float-off": pump.off_below_m}
    usual = {"float-on": middle, "float-off": middle + 22}
    if pump.alarm_below_m is not None:
        levels["alarm"] = pump.alarm_below_m
    return {
        part: (level_m, usual[part] if level_m is None else ground.down(level_m))
        for part, level_m in levels.items()
    }
