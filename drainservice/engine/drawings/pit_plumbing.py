"""Draws pump, riser, check valve, weep hole, floats, inlets and the discharge line."""

from drainservice.engine.drawings.pit_facts import (
    Arrow,
    Base,
    Discharge,
    Known,
    LineEnd,
    PitFacts,
)
from drainservice.engine.drawings.pit_scale import (
    USUAL_INLET_M,
    Box,
    Ground,
    Plumbing,
    or_usual,
    show_floats,
)
from drainservice.engine.drawings.sheet import Sheet, block, line, path_through, ring, trace
from drainservice.engine.drawings.tokens import paint

UNKNOWN_DASH = "3 4"


def draw_pipe(
    sheet: Sheet, points: list[tuple[float, float]], across: float, is_known: bool = True
) -> None:
    """A pipe of its real bore: a dark stroke under a light one."""
    d = path_through(points)
    sheet.add(trace(d, "ink", round(across + 2, 1), "" if is_known else UNKNOWN_DASH))
    sheet.add(trace(d, "paper", round(max(across - 1, 2), 1)))


def draw_inlets(sheet: Sheet, facts: PitFacts, ground: Ground, boxes: dict[str, Box]) -> None:
    """Pipes from the edge of the ground to the insert, open ends at the insert."""
    for number, inlet in enumerate(facts.inlets, 1):
        box = boxes[f"inlet-{number}"]
        known = inlet.bore_m is not None and inlet.invert_below_m is not None
        dash = "" if known else f' stroke-dasharray="{UNKNOWN_DASH}"'
        sheet.add(block(box.left, box.top, box.width, box.height, "paper"))
        sheet.add(f"<g{dash}>")
        for y in (box.top, box.bottom):
            sheet.add(line(box.left, y, box.right, y, "ink", 1.8))
        sheet.add("</g>")


def place_inlet(facts: PitFacts, ground: Ground, number: int, taken: dict[str, Box]) -> Box:
    """Left if the left is free at that height, else right, else left all the same."""
    inlet = facts.inlets[number - 1]
    high = or_usual(inlet.bore_m, USUAL_INLET_M) * ground.px_m
    bottom = ground.down(or_usual(inlet.invert_below_m, 0.5))
    bottom = min(max(bottom, ground.grade + high + 12), ground.insert.bottom - 8)
    left = Box(ground.edge.left, bottom - high, ground.insert.left - 1, bottom)
    right = Box(ground.insert.right + 1, bottom - high, ground.edge.right, bottom)

    def is_free(box: Box) -> bool:
        return not any(
            box.left < other.right
            and other.left < box.right
            and box.top - 4 < other.bottom
            and other.top < box.bottom + 4
            for other in taken.values()
        )

    return left if is_free(left) or not is_free(right) else right


def draw_line(sheet: Sheet, discharge: Discharge, ground: Ground, plumbing: Plumbing) -> None:
    """Riser and discharge line as one pipe, and its end beyond the break marks: a main is seen
    end on, met slantwise by a wye and squarely by a tee."""
    y, right = plumbing.line_y, ground.edge.right
    known = discharge.below_m is not None and discharge.bore_m is not None
    start = [plumbing.outlet, (plumbing.riser_x, plumbing.outlet[1]), (plumbing.riser_x, y)]
    end = [(right, y)]
    turn = right - 18
    if discharge.end == LineEnd.POP_UP:
        end = [(turn, y), (turn, ground.grade)]
    elif discharge.end == LineEnd.MAIN_BY_WYE:
        end = [(turn - 20, y), (turn, y + 12)]
    elif discharge.end == LineEnd.MAIN_BY_TEE:
        end = [(turn, y)]
    draw_pipe(sheet, start + end, plumbing.pipe_px, known)
    if discharge.end in (LineEnd.MAIN_BY_WYE, LineEnd.MAIN_BY_TEE):
        sheet.add(ring(*end[-1], max(plumbing.pipe_px, 9), "paper", "ink", 2))
    if discharge.end == LineEnd.POP_UP:
        sheet.add(line(turn - 11, ground.grade - 3, turn + 11, ground.grade - 3, "ink", 4))
    _draw_break(sheet, right - 48, y, plumbing.pipe_px)


def _draw_break(sheet: Sheet, x: float, y: float, across: float) -> None:
    half = across / 2 + 6
    d = f"M{x - 3:g} {y + half:g}l6 {-2 * half:g}"
    sheet.add(trace(f"{d}m5 0l-6 {2 * half:g}", "ink", 1.2))


def draw_pump(sheet: Sheet, facts: PitFacts, plumbing: Plumbing) -> None:
    """Domed body, strainer, cord; it leans where it stands on loose stone."""
    pump = facts.pump
    if pump is None:
        return
    box = plumbing.pump
    middle, foot = box.middle[0], box.bottom
    dome, wide, high = box.width / 2, box.width, box.height
    leans = pump.base == Base.LOOSE_STONE
    turn = f' transform="rotate(-5 {middle:g} {foot:g})"' if leans else ""
    d = (
        f"M{box.left:g} {foot - high * 0.2:.1f}V{box.top + dome:.1f}a{dome:g} {dome:.1f} 0 0 1 "
        f"{wide:g} 0V{foot - high * 0.2:.1f}Z"
    )
    sheet.add(f"<g{turn}>", f'<path d="{d}" {paint("ink")}/>')
    sheet.add(block(box.left - 2, foot - high * 0.2, wide + 4, high * 0.2, "paper", "ink", 1.6))
    slots = "".join(
        f"M{box.left + wide * part:.1f} {foot - high * 0.16:.1f}v{high * 0.12:.1f}"
        for part in (0.1, 0.3, 0.5, 0.7, 0.9)
    )
    sheet.add(trace(slots, "ink", 1.6))
    for part in (0.45, 0.6):
        y = box.top + high * part
        sheet.add(line(box.left + 4, y, box.right - 4, y, "paper", 1))
    sheet.add("</g>")


def draw_valve(sheet: Sheet, facts: PitFacts, plumbing: Plumbing) -> None:
    """A body with its arrow; a ghost where there is none; a question where nobody knows."""
    box = plumbing.valve
    present = facts.valve.present
    if present == Known.NO:
        sheet.add(
            trace(_outline(box), "clay", 1.4, UNKNOWN_DASH),
        )
        return
    sheet.add(block(box.left, box.top, box.width, box.height, "paper", "ink", 2))
    if present == Known.UNKNOWN or facts.valve.arrow == Arrow.UNKNOWN:
        sheet.add(trace(_outline(box), "paper", 2.4), trace(_outline(box), "ink", 1.4, "3 3"))
        x, y = box.middle
        sheet.add(
            f'<text x="{x:g}" y="{y + 5:g}" font-size="14" font-weight="650" '
            'text-anchor="middle" class="f-ink" fill="#17232b">?</text>'
        )
        return
    _draw_arrow(sheet, box, plumbing.valve_is_level, facts.valve.arrow == Arrow.AGAINST_FLOW)


def _outline(box: Box) -> str:
    return f"M{box.left:g} {box.top:g}H{box.right:g}V{box.bottom:g}H{box.left:g}Z"


def _draw_arrow(sheet: Sheet, box: Box, is_level: bool, is_against: bool) -> None:
    x, y = box.middle
    half = (box.width if is_level else box.height) / 2 - 4
    turn = (90 if is_level else 0) + (180 if is_against else 0)
    d = f"M0 {half:g}V{-half:g}M-5 {-half + 6:g}L0 {-half:g}L5 {-half + 6:g}"
    token = "clay" if is_against else "ink"
    sheet.add(
        f'<path d="{d}" transform="translate({x:g} {y:g}) rotate({turn})" '
        f"{paint(stroke=token, width=2.2)}/>"
    )


def draw_weep_hole(sheet: Sheet, facts: PitFacts, plumbing: Plumbing) -> None:
    """A hole with its drip; a dashed ring where nobody knows; a crossed-out ring where none is."""
    x, y = plumbing.weep
    weep = facts.valve.weep_hole
    half = plumbing.pipe_px / 2 + 1
    if weep == Known.YES:
        sheet.add(ring(x + half - 2, y, 2.2, "ink"))
        sheet.add(trace(f"M{x + half + 2:g} {y:g}q6 1 9 8m-9 -5q3 1 5 7", "deep", 1.3))
    elif weep == Known.NO:
        sheet.add(trace(f"M{x - 4:g} {y - 4:g}l8 8m0 -8l-8 8", "clay", 1.8))
    else:
        sheet.add(ring(x, y, half + 3, "none", "ink", 1.2, ' stroke-dasharray="3 3"'))


def draw_floats(sheet: Sheet, facts: PitFacts, ground: Ground) -> None:
    """Levels at which the float switches, each with a float on it; water's surface on top."""
    insert = ground.insert
    pump = facts.pump
    if pump:
        shown = show_floats(pump, ground)
        dashes = {"float-on": "9 4", "float-off": "2 3", "alarm": "9 3 2 3"}
        for part, (level_m, y) in shown.items():
            d = f"M{insert.left + 3:g} {y:.1f}H{insert.right - 3:g}"
            if level_m is None:
                sheet.add(trace(d, "ink", 1.2, UNKNOWN_DASH))
                continue
            sheet.add(trace(d, "deep", 1.6, dashes[part]))
            sheet.add(ring(insert.right - 14, y, 4.5, "paper", "deep", 1.6))
    if facts.water_below_m is not None:
        y = max(ground.down(facts.water_below_m), ground.grade)
        if y < ground.hole.bottom:
            for left, right in (
                (ground.hole.left, insert.left - 2),
                (insert.left + 3, insert.right - 3),
                (insert.right + 2, ground.hole.right),
            ):
                sheet.add(line(left, y, right, y, "deep", 2))
            x = insert.left + 12
            sheet.add(
                f'<path d="M{x - 6:g} {y - 11:.1f}h12l-6 10Z" {paint("paper", "deep", 1.4)}/>'
            )
