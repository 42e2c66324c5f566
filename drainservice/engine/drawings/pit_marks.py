"""Dimensions, scale bar, double outlines and labels: what is written over the picture of a pit."""

from drainservice.engine.drawings.lettering import make_safe, measure, wrap
from drainservice.engine.drawings.pit_callouts import Naming, Spot
from drainservice.engine.drawings.pit_facts import PitFacts
from drainservice.engine.drawings.pit_scale import Ground
from drainservice.engine.drawings.sheet import Sheet, block, letter, line, ring, short, trace
from drainservice.engine.drawings.spread import arrange
from drainservice.engine.drawings.tokens import LIGHT
from drainservice.engine.units import FOOT_M, UnitSystem

LINE_PX = 19.0
GAP_PX = 6.0
MARK_PX = 12.0


def draw_dimensions(sheet: Sheet, facts: PitFacts, ground: Ground, naming: Naming) -> None:
    """Depth beside the hole, width under it, with the slanting ticks of a building drawing."""
    hole, grade = ground.hole, ground.grade
    left, right, bottom = hole.left, hole.right, hole.bottom
    x, y = left - 26, bottom + 14
    deep = f"M{x:.1f} {grade:.1f}V{bottom:.1f}M{x - 8:.1f} {bottom:.1f}H{left - 3:.1f}"
    wide = f"M{left:.1f} {y:.1f}H{right:.1f}M{left:.1f} {y - 11:.1f}v16M{right:.1f} {y - 11:.1f}v16"
    ends = ((x, grade), (x, bottom), (left, y), (right, y))
    ticks = "".join(f"M{at_x - 4:.1f} {at_y + 4:.1f}l8 -8" for at_x, at_y in ends)
    sheet.add(trace(deep + wide + ticks))
    size = naming.size(facts.width_m, "length")
    words = naming.say("{size} wide").format(size=size)
    if facts.width_m is None:
        words = naming.say("width not known")
    sheet.add(letter(hole.middle[0], y + 17, words, size=13, anchor="middle"))


def draw_scale_bar(sheet: Sheet, ground: Ground, naming: Naming) -> None:
    """A bar of quarters in the reader's unit: 1, 2 or 5 ft; 0.5, 1 or 2 m."""
    if naming.system == UnitSystem.TRADE:
        steps = [(feet * FOOT_M, f"{feet} ft") for feet in (1, 2, 5)]
    else:
        steps = [(0.5, "500 mm"), (1.0, "1 m"), (2.0, "2 m")]
    length_m, words = next((step for step in steps if step[0] * ground.px_m >= 40), steps[-1])
    long = length_m * ground.px_m
    x, y = ground.edge.left + 12, ground.edge.bottom - 16
    for quarter in range(4):
        fill = "ink" if quarter % 2 == 0 else "paper"
        sheet.add(block(x + quarter * long / 4, y, long / 4, 5, fill, "ink"))
    sheet.add(letter(x + long + 8, y + 7, words, size=13))


def draw_double_outlines(sheet: Sheet, spots: list[Spot]) -> None:
    """Two outlines round every part that is wrong, told in grey by being two."""
    for spot in spots:
        if not spot.faults:
            continue
        pieces = []
        for by_px in (3, 6.5):
            box = spot.box.grown(by_px)
            shape = block(box.left, box.top, box.width, box.height, "none", "clay", 1.5)
            pieces.append(shape)
        sheet.add(f'<g data-fault="{make_safe(spot.part)}">{"".join(pieces)}</g>')


def letters_of_faults(spots: list[Spot]) -> dict[str, str]:
    """A, B, C ... for the parts that are wrong, from the top down."""
    wrong = [spot.part for spot in sorted(spots, key=lambda spot: spot.at[1]) if spot.faults]
    return {part: chr(ord("A") + i) if i < 26 else f"A{i}" for i, part in enumerate(wrong)}


def open_link(spot: Spot, label: str = "") -> str:
    """The link to what is said of a part, with a clear shape over the part to press; where the
    link's own words are only a number, `label` says the rest."""
    box = spot.box.grown(4)
    hit = (
        f'<rect class="hit" x="{short(box.left)}" y="{short(box.top)}" '
        f'width="{short(box.width)}" height="{short(box.height)}" fill="none" '
        'pointer-events="all"/>'
    )
    named = f' aria-label="{make_safe(label)}"' if label else ""
    return f'<a href="#part-{make_safe(spot.part)}"{named}>{hit}'


def draw_labels(sheet: Sheet, ground: Ground, spots: list[Spot]) -> float:
    """Labels in both margins of the wide drawing; the lowest y used."""
    marks = letters_of_faults(spots)
    lowest = 0.0
    for is_left in (True, False):
        side = [spot for spot in spots if spot.is_left == is_left]
        texts = [_write_label(spot, marks, ground.edge.left - 26) for spot in side]
        heights = [LINE_PX * len(lines) for lines in texts]
        from_x = ground.edge.left - 4 if is_left else ground.edge.right + 4
        tops = arrange([spot.at for spot in side], heights, GAP_PX, 6.0, from_x)
        for spot, lines, top in zip(side, texts, tops, strict=True):
            _draw_label(sheet, ground, spot, lines, top)
            lowest = max(lowest, top + LINE_PX * len(lines))
    return lowest


def _write_label(spot: Spot, marks: dict[str, str], room: float) -> list[tuple[str, str, str]]:
    """Lines of (plain words, heavy words, colour): on one line if they fit, else one each; a long
    value begins on the name's last line."""
    lines: list[tuple[str, str, str]] = []
    names = wrap(spot.name, 15, room) or [""]
    values = wrap(spot.value, 15, room, 650)
    left_over = room - measure(names[-1] + " ", 15)
    if len(values) > 1 or measure(spot.value, 15, 650) <= left_over:
        first, rest = _split(spot.value, left_over)
        lines += [(words, "", "ink") for words in names[:-1]]
        lines.append((names[-1], first, "ink"))
        lines += [("", words, "ink") for words in wrap(rest, 15, room, 650)]
    else:
        lines += [(words, "", "ink") for words in names]
        lines += [("", words, "ink") for words in values]
    if spot.faults:
        words = f"{marks[spot.part]}: {', '.join(fault.mark for fault in spot.faults)}"
        lines += [("", part, "clay") for part in wrap(words, 15, room, 650)]
    return lines


def _split(words: str, room: float) -> tuple[str, str]:
    """The heavy words that still fit, and the rest."""
    parts = words.split()
    fit = 0
    while fit < len(parts) and measure(" ".join(parts[: fit + 1]), 15, 650) <= room:
        fit += 1
    return " ".join(parts[:fit]), " ".join(parts[fit:])


def _draw_label(
    sheet: Sheet, ground: Ground, spot: Spot, lines: list[tuple[str, str, str]], top: float
) -> None:
    token = "clay" if spot.faults else "ink"
    edge = ground.edge
    x = edge.left - 14 if spot.is_left else edge.right + 14
    near = edge.left - 4 if spot.is_left else edge.right + 4
    middle = top + LINE_PX * len(lines) / 2
    anchor = "end" if spot.is_left else "start"
    pieces = [open_link(spot)]
    pieces.append(
        trace(
            f"M{x + (5 if spot.is_left else -5):g} {middle:.1f}H{near:g}"
            f"L{spot.at[0]:.1f} {spot.at[1]:.1f}",
            token,
            1.6 if spot.faults else 0.9,
        )
    )
    pieces.append(ring(*spot.at, 2.8, token, "paper", 1))
    for row, (plain, heavy, colour) in enumerate(lines):
        pieces.append(_write_line(x, top + LINE_PX * (row + 0.76), plain, heavy, colour, anchor))
    sheet.add(*pieces, "</a>")


def _write_line(x: float, y: float, plain: str, heavy: str, token: str, anchor: str) -> str:
    strong = f'<tspan font-weight="650">{make_safe(heavy)}</tspan>' if heavy else ""
    space = " " if plain and heavy else ""
    side = ' text-anchor="end"' if anchor == "end" else ""
    return (
        f'<text class="name f-{token}" fill="{LIGHT[token]}" x="{x:g}" y="{y:.1f}"{side}>'
        f"{make_safe(plain)}{space}{strong}</text>"
    )


def draw_notes(sheet: Sheet, spots: list[Spot], top: float) -> float:
    """The faults in whole sentences under the wide drawing; the lowest y used."""
    marks = letters_of_faults(spots)
    if not marks:
        return top
    left, room = 44.0, sheet.wide_px - 60
    y = top + 18
    sheet.add(line(16, top, sheet.wide_px - 16, top, "clay", 1))
    sheet.add(line(16, top + 3.5, sheet.wide_px - 16, top + 3.5, "clay", 1))
    for spot in sorted(spots, key=lambda spot: spot.at[1]):
        for fault in spot.faults:
            rows = wrap(fault.sentence, 15, room)
            y += 8
            sheet.add(letter(16, y + 12, marks[spot.part], "clay", weight=650))
            for words in rows:
                sheet.add(letter(left, y + 12, words))
                y += LINE_PX
    return y + 6


def draw_numbers(sheet: Sheet, ground: Ground, spots: list[Spot], numbers: dict[str, int]) -> float:
    """Numbered marks in both margins of the phone's drawing; the lowest y used."""
    lowest = 0.0
    for is_left in (True, False):
        side = [spot for spot in spots if spot.is_left == is_left]
        x = 15.0 if is_left else sheet.wide_px - 15
        from_x = x + (MARK_PX if is_left else -MARK_PX)
        heights = [2 * MARK_PX + 2 for _ in side]
        tops = arrange([spot.at for spot in side], heights, 2.0, 2.0, from_x)
        for spot, top in zip(side, tops, strict=True):
            y = top + MARK_PX + 1
            _draw_number(sheet, spot, numbers[spot.part], x, y, from_x)
            lowest = max(lowest, y + MARK_PX + 6)
    return lowest


def _draw_number(sheet: Sheet, spot: Spot, number: int, x: float, y: float, from_x: float) -> None:
    token = "clay" if spot.faults else "ink"
    pieces = [open_link(spot, f"{number} {spot.name} {spot.value}".strip())]
    pieces.append(
        trace(f"M{from_x:g} {y:.1f}L{spot.at[0]:.1f} {spot.at[1]:.1f}", token,
              1.6 if spot.faults else 0.9)
    )  # fmt: skip
    pieces.append(ring(*spot.at, 2.4, token, "paper", 1))
    if spot.faults:
        pieces.append(ring(x, y, MARK_PX, "paper", token, 1.5))
        pieces.append(ring(x, y, MARK_PX - 3, "paper", token, 1.2))
    else:
        pieces.append(ring(x, y, MARK_PX - 1, "paper", token, 1.2))
    pieces.append(
        f'<text x="{x:g}" y="{y + 4.6:.1f}" text-anchor="middle" font-size="13" '
        f'font-weight="650" class="name f-{token}" fill="{LIGHT[token]}">{number}</text>'
    )
    sheet.add(*pieces, "</a>")
