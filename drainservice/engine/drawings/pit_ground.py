"""Draws the ground: soil, pavers, hole, lining, stone, standing water, insert, lid and base."""

from drainservice.engine.drawings.pit_facts import Base, Fabric, PitFacts
from drainservice.engine.drawings.pit_scale import (
    USUAL_STONE_M,
    Box,
    Ground,
    or_usual,
)
from drainservice.engine.drawings.sheet import Sheet, block, line, path_through, ring, trace
from drainservice.engine.drawings.stones import draw_stones

UNKNOWN_DASH = "3 4"


def draw_ground(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    """Everything behind the plumbing, from the soil forward."""
    edge, hole = ground.edge, ground.hole
    sheet.add(block(edge.left, edge.top, edge.width, edge.height, "soil"))
    _draw_soil_marks(sheet, ground)
    sheet.add(block(hole.left, hole.top, hole.width, hole.height, "paper"))
    draw_water_body(sheet, facts, ground, hole)
    _draw_stone(sheet, facts, ground)
    _draw_top_layer(sheet, facts, ground)
    _draw_lining(sheet, facts, ground)


def draw_water_body(sheet: Sheet, facts: PitFacts, ground: Ground, within: Box) -> None:
    """Water stands as high in the stone as in the insert; in print it is hatched."""
    if facts.water_below_m is None:
        return
    top = ground.down(facts.water_below_m)
    if top >= within.bottom:
        return
    if top < ground.grade:
        edge = ground.edge
        sheet.add(block(edge.left, top, edge.width, ground.grade - top, "pale"))
        sheet.add(line(edge.left, top, edge.right, top, "deep", 2))
        top = ground.grade
    size = (within.left, top, within.width, within.bottom - top)
    sheet.add(block(*size, "pale"))
    hatch = sheet.hatch("wet", 9, "ink", 0.5)
    x, y, wide, high = (f"{part:g}" for part in (round(px, 1) for px in size))
    sheet.add(
        f'<rect class="only-print" display="none" x="{x}" y="{y}" width="{wide}" '
        f'height="{high}" fill="{hatch}"/>'
    )


def draw_insert(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    """Perforated wall and bottom, empty inside but for water and silt."""
    insert = ground.insert
    sheet.add(block(insert.left, insert.top, insert.width, insert.height, "paper"))
    draw_water_body(sheet, facts, ground, insert)
    _draw_silt(sheet, facts, ground)
    known = facts.insert_diameter_m is not None
    dash = "13 5" if known else UNKNOWN_DASH
    wall = [
        (insert.left, insert.top),
        (insert.left, insert.bottom),
        (insert.right, insert.bottom),
        (insert.right, insert.top),
    ]
    thick = 4 if ground.px_m > 100 else 3
    sheet.add(trace(path_through(wall), "ink", thick if known else 2, dash))


def draw_base(sheet: Sheet, facts: PitFacts, ground: Ground, base: Box) -> None:
    """A slab with concrete's dots, loose stones, or dashes where nobody knows."""
    if facts.pump is None:
        return
    kind = facts.pump.base
    if kind == Base.SOLID:
        sheet.add(block(base.left, base.top, base.width, base.height, "stone", "ink", 1.5))
        dots = range(int(base.left) + 8, int(base.right) - 6, 13)
        middle = base.middle[1]
        for step, x in enumerate(dots):
            sheet.add(ring(x, middle + (-2.5 if step % 2 else 2.5), 1, "rule"))
    elif kind == Base.UNKNOWN:
        sheet.add(block(base.left, base.top, base.width, base.height, "paper"))
        corners = [
            (base.left, base.top),
            (base.right, base.top),
            (base.right, base.bottom),
            (base.left, base.bottom),
        ]
        sheet.add(trace(path_through(corners) + "Z", "ink", 1.2, UNKNOWN_DASH))


def draw_lid(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    """The lid, the line of grade, and what covers both."""
    edge, lid = ground.edge, ground.lid
    known = facts.lid.size_m is not None
    gap = None if facts.lid.covered_by else lid
    is_paved = "paver" in facts.surface.lower() or bool(facts.lid.covered_by)
    if is_paved:
        _draw_pavers(sheet, ground, gap)
    if gap is None or not is_paved:
        sheet.add(line(edge.left, ground.grade, edge.right, ground.grade, "ink", 2.5))
    else:
        sheet.add(line(edge.left, ground.grade, gap.left - 2, ground.grade, "ink", 2.5))
        sheet.add(line(gap.right + 2, ground.grade, edge.right, ground.grade, "ink", 2.5))
    if known:
        sheet.add(block(lid.left, lid.top, lid.width, lid.height, "ink"))
    else:
        sheet.add(
            block(
                lid.left, lid.top, lid.width, lid.height, "paper", "ink", 1.2,
                f' stroke-dasharray="{UNKNOWN_DASH}"',
            )
        )  # fmt: skip


def _draw_pavers(sheet: Sheet, ground: Ground, gap: Box | None) -> None:
    edge = ground.edge
    high, long = max(0.06 * ground.px_m, 7), max(0.2 * ground.px_m, 20)
    top = ground.grade
    spans = [(edge.left, edge.right)]
    if gap is not None:
        spans = [(edge.left, gap.left - 3), (gap.right + 3, edge.right)]
    for left, right in spans:
        sheet.add(block(left, top, right - left, high, "stone", "ink", 1.2))
        joint = left + long
        while joint < right - 4:
            sheet.add(line(joint, top, joint, top + high, "ink", 1.2))
            joint += long


def _draw_soil_marks(sheet: Sheet, ground: Ground) -> None:
    """The draughtsman's sign for earth: groups of three slanting strokes here and there."""
    edge, hole = ground.edge, ground.hole
    strokes = ""
    for row, y in enumerate(range(int(edge.top) + 30, int(edge.bottom) - 24, 46)):
        for x in range(int(edge.left) + 8 + (row % 2) * 22, int(edge.right) - 18, 44):
            beside = x + 20 < hole.left or x > hole.right + 4
            if beside and y + 12 < hole.bottom + 4:
                strokes += "".join(f"M{x + 5 * i} {y + 8}l6 -8" for i in range(3))
    if strokes:
        sheet.add(trace(strokes, "rule", 0.8))


def _stone_top(facts: PitFacts, ground: Ground) -> float:
    thick = facts.top_layer.thick_m if facts.top_layer else 0.08
    return min(ground.grade + thick * ground.px_m, ground.hole.bottom - 10)


def stone_regions(facts: PitFacts, ground: Ground) -> list[Box]:
    """Left of, right of and under the insert."""
    hole, insert = ground.hole, ground.insert
    top = _stone_top(facts, ground)
    return [
        Box(hole.left + 2, top + 1, insert.left - 2, insert.bottom),
        Box(insert.right + 2, top + 1, hole.right - 2, insert.bottom),
        Box(hole.left + 2, insert.bottom + 2, hole.right - 2, hole.bottom - 2),
    ]


def _draw_stone(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    largest = or_usual(facts.stone_m, USUAL_STONE_M) * ground.px_m
    draw_stones(sheet, stone_regions(facts, ground), largest)


def _draw_top_layer(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    hole, top = ground.hole, _stone_top(facts, ground)
    sheet.add(block(hole.left, hole.top, hole.width, top - hole.top, "soil"))
    if facts.top_layer:
        dots = "".join(
            f"M{x + (5 if row % 2 else 0)} {y}h0"
            for row, y in enumerate(range(int(hole.top) + 16, int(top) - 3, 7))
            for x in range(int(hole.left) + 6, int(hole.right) - 8, 11)
        )
        if dots:
            sheet.add(trace(dots, "rule", 2.4, more=' stroke-linecap="round"'))
    sheet.add(line(hole.left, top, hole.right, top, "rule", 1))


def _draw_lining(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    hole = ground.hole
    top = _stone_top(facts, ground)
    shape = [(hole.left, top), (hole.left, hole.bottom), (hole.right, hole.bottom)]
    d = path_through([*shape, (hole.right, top)])
    if facts.fabric in (Fabric.NON_WOVEN, Fabric.LANDSCAPE):
        sheet.add(trace(d, "ink", 2.4, "7 3" if facts.fabric == Fabric.NON_WOVEN else "1.5 3"))
    elif facts.fabric == Fabric.UNKNOWN:
        sheet.add(trace(d, "ink", 1.2, UNKNOWN_DASH))
    else:
        sheet.add(trace(d, "rule", 1))
    if facts.depth_m is None or facts.width_m is None:
        sheet.add(trace(d, "ink", 1.2, UNKNOWN_DASH))


def _draw_silt(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    if facts.sediment_m is None or facts.sediment_m <= 0:
        return
    insert = ground.insert
    high = min(max(facts.sediment_m * ground.px_m, 2), insert.height)
    top = insert.bottom - high
    sheet.add(block(insert.left, top, insert.width, high, "soil"))
    dots = "".join(
        f"M{x + (3 if row % 2 else 0)} {y}h0"
        for row, y in enumerate(range(int(insert.bottom) - 4, int(top) + 1, -4))
        for x in range(int(insert.left) + 4, int(insert.right) - 6, 6)
    )
    if dots:
        sheet.add(trace(dots, "ink", 1.6, more=' stroke-linecap="round"'))
    sheet.add(line(insert.left, top, insert.right, top, "ink", 1.4))
