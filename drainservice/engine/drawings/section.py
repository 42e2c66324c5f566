"""The section of ground: one pit cut open, to scale, which is also the list of its parts."""

from dataclasses import dataclass

from drainservice.engine.drawings.pit_callouts import CallOut, Naming, Spot, name_spots
from drainservice.engine.drawings.pit_facts import PitFacts, refuse_impossible
from drainservice.engine.drawings.pit_faults import Say, find_faults, say_plainly
from drainservice.engine.drawings.pit_ground import (
    draw_base,
    draw_ground,
    draw_insert,
    draw_lid,
)
from drainservice.engine.drawings.pit_marks import (
    draw_dimensions,
    draw_double_outlines,
    draw_labels,
    draw_notes,
    draw_numbers,
    draw_scale_bar,
)
from drainservice.engine.drawings.pit_plumbing import (
    draw_floats,
    draw_inlets,
    draw_line,
    draw_pump,
    draw_valve,
    draw_weep_hole,
    place_inlet,
)
from drainservice.engine.drawings.pit_scale import (
    BASE_THICK_M,
    Box,
    Ground,
    Plumbing,
    lay_out_ground,
    lay_out_plumbing,
)
from drainservice.engine.drawings.sheet import Sheet, Width
from drainservice.engine.units import UnitSystem


@dataclass(frozen=True, slots=True)
class Section:
    """The drawing, and its call-outs as data: faults first, then from the top down."""

    svg: str
    call_outs: tuple[CallOut, ...]


def draw_section(
    facts: PitFacts,
    width: Width,
    system: UnitSystem,
    prefix: str,
    say: Say = say_plainly,
) -> Section:
    """One pit to scale. Each part is a link to `#part-<part>`; what is wrong has a double outline
    and a sentence; what is not known is dashed and says so.

    WIDE carries its labels and the sentences; PHONE carries numbered marks, and the page writes
    `call_outs` below as an ordered list with the ids `part-<part>`. `say` translates the fixed
    words. Parts: grade, lid, top, stone, fabric, insert, float-on, float-off, alarm, water, silt,
    depth, inlet-1 ..., pump, base, valve, weep, discharge. Raises PitCannotBeDrawn, PrefixIsNoName.
    """
    refuse_impossible(facts)
    naming = Naming(say, system)
    ground = lay_out_ground(facts, width)
    plumbing = lay_out_plumbing(facts, ground)
    boxes = _place_boxes(facts, ground, plumbing)
    spots = _join_faults(name_spots(facts, ground, plumbing, boxes, naming), facts, say)
    call_outs = _number(spots)
    sheet = Sheet(prefix, width, has_links=True)
    _draw_picture(sheet, facts, ground, plumbing, boxes)
    draw_dimensions(sheet, facts, ground, naming)
    draw_scale_bar(sheet, ground, naming)
    draw_double_outlines(sheet, spots)
    if width == Width.WIDE:
        lowest = max(draw_labels(sheet, ground, spots), ground.edge.bottom)
        lowest = draw_notes(sheet, spots, lowest + 14)
    else:
        numbers = {call_out.part: call_out.number for call_out in call_outs}
        lowest = max(draw_numbers(sheet, ground, spots, numbers), ground.edge.bottom)
    title = say("Section of {name}, to scale").format(name=facts.name)
    return Section(sheet.draw(lowest + 8, title, _describe(call_outs)), call_outs)


def _place_boxes(facts: PitFacts, ground: Ground, plumbing: Plumbing) -> dict[str, Box]:
    insert = ground.insert
    thick = max(BASE_THICK_M * ground.px_m, 8)
    boxes = {
        "base": Box(insert.left - 8, insert.bottom + 1, insert.right + 8, insert.bottom + thick)
    }
    line = Box(plumbing.riser_x, plumbing.line_y - 14, ground.edge.right, plumbing.line_y + 14)
    taken = {"line": line} if facts.discharge else {}
    for number in range(1, len(facts.inlets) + 1):
        taken[f"inlet-{number}"] = place_inlet(facts, ground, number, taken)
    return boxes | {part: box for part, box in taken.items() if part != "line"}


def _draw_picture(
    sheet: Sheet, facts: PitFacts, ground: Ground, plumbing: Plumbing, boxes: dict[str, Box]
) -> None:
    draw_ground(sheet, facts, ground)
    draw_inlets(sheet, facts, ground, boxes)
    draw_base(sheet, facts, ground, boxes["base"])
    draw_insert(sheet, facts, ground)
    draw_lid(sheet, facts, ground)
    draw_pump(sheet, facts, plumbing)
    draw_floats(sheet, facts, ground)
    if facts.discharge:
        draw_line(sheet, facts.discharge, ground, plumbing)
    if facts.pump:
        draw_valve(sheet, facts, plumbing)
        draw_weep_hole(sheet, facts, plumbing)


def _join_faults(spots: list[Spot], facts: PitFacts, say: Say) -> list[Spot]:
    """Faults stand with their part; one of a part that is not drawn stands with the grade."""
    drawn = {spot.part for spot in spots}
    faults = find_faults(facts, say)
    joined = []
    for spot in spots:
        own = [fault for fault in faults if fault.part == spot.part]
        if spot.part == "grade":
            own += [fault for fault in faults if fault.part not in drawn]
        joined.append(
            Spot(spot.part, spot.name, spot.value, spot.is_left, spot.at, spot.box, tuple(own))
        )
    return joined


def _number(spots: list[Spot]) -> tuple[CallOut, ...]:
    wrong_first = sorted(spots, key=lambda spot: (not spot.faults, spot.at[1]))
    return tuple(
        CallOut(
            number,
            spot.part,
            spot.name,
            spot.value,
            tuple(fault.sentence for fault in spot.faults),
        )
        for number, spot in enumerate(wrong_first, 1)
    )


def _describe(call_outs: tuple[CallOut, ...]) -> str:
    """What the picture shows, for who does not see it: first what is wrong, then the parts."""
    wrong = [sentence for call_out in call_outs for sentence in call_out.faults]
    parts = [f"{call_out.name} {call_out.value}".strip() for call_out in call_outs]
    return " ".join([*wrong, "; ".join(parts) + "."])
