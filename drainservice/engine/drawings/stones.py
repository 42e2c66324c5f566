"""Stones at their real size, thrown by a fixed rule so that the same pit gives the same bytes."""

from math import floor

from drainservice.engine.drawings.pit_scale import Box
from drainservice.engine.drawings.sheet import Sheet, short
from drainservice.engine.drawings.tokens import paint

# Three sizes of stone, as parts of the largest; and at most so many rows to keep a page light.
SIZES = (1.0, 0.84, 0.7)
CLOSEST_PX = 3.0
LOOSE_PX = 4.6


def throw_stones(regions: list[Box], largest_px: float) -> list[str]:
    """One path per size: every stone a dot, to be stroked round as wide as its diameter.

    Stones sit in the cells of a hexagonal grid, the smaller ones moved about inside their cell,
    so they never overlap and never cross the edge of a region.
    """
    paths = ["", "", ""]
    last = [(0.0, 0.0)] * 3
    state = 20011
    for region in regions:
        pitch = _stretch(largest_px * 1.04, region.width - largest_px)
        rows = floor((region.height - largest_px) / (pitch * 0.87)) + 1
        for row in range(max(rows, 0)):
            y = region.bottom - largest_px / 2 - row * pitch * 0.87
            x = region.left + largest_px / 2 + (pitch / 2 if row % 2 else 0)
            while x + largest_px / 2 <= region.right:
                state = (state * 1103515245 + 12345) & 0x7FFFFFFF
                size = (0, 1, 0, 2, 1)[(state >> 16) % 5]
                play = largest_px * (1 - SIZES[size]) / 2
                at_x = round(x + play * (((state >> 8) & 255) / 128 - 1), 1)
                at_y = round(y + play * (((state >> 20) & 255) / 128 - 1), 1)
                before = last[size]
                paths[size] += f"m{short(at_x - before[0])} {short(at_y - before[1])}h0"
                last[size] = (at_x, at_y)
                x += pitch
    return ["M0 0" + path if path else "" for path in paths]


def _stretch(pitch: float, room: float) -> float:
    """The pitch that fills a row from edge to edge; much room beside one stone is left."""
    gaps = int(room / pitch)
    return room / gaps if gaps > 1 else pitch


def _draw_rows(sheet: Sheet, regions: list[Box], across: float) -> None:
    """Rows of dots made by the dashes of one line each, so that fine stone stays a light page."""
    pitch = across * 1.05
    d = ""
    for region in regions:
        rows = floor((region.height - across) / (pitch * 0.87)) + 1
        for row in range(max(rows, 0)):
            y = region.bottom - across / 2 - row * pitch * 0.87
            x = region.left + across / 2 + (pitch / 2 if row % 2 else 0)
            d += f"M{short(x)} {short(y)}H{short(max(region.right - across / 2, x))}"
    if not d:
        return
    name = sheet.id("stones")
    sheet.define(
        f'<path id="{name}" d="{d}" stroke-linecap="round" stroke-dasharray="0 {pitch:.2f}"/>'
    )
    for token, width in (("rule", across), ("stone", across - 1.4)):
        sheet.add(f'<use href="#{name}" {paint(stroke=token, width=round(width, 1))}/>')


def draw_stones(sheet: Sheet, regions: list[Box], largest_px: float) -> None:
    """Stones with an outline: a dark dot under a slightly smaller light one.

    Stones too small to be seen are drawn no smaller than 3 px, and fine stone lies in plain rows.
    """
    largest_px = max(largest_px, CLOSEST_PX)
    if largest_px < LOOSE_PX:
        _draw_rows(sheet, regions, largest_px)
        return
    for size, path in zip(SIZES, throw_stones(regions, largest_px), strict=True):
        if not path:
            continue
        name = sheet.id(f"stones{round(size * 100)}")
        sheet.define(f'<path id="{name}" d="{path}" stroke-linecap="round"/>')
        across = largest_px * size
        rim = 1.2 if across > 6 else 0.9
        for token, width in (("rule", across), ("stone", across - 2 * rim)):
            sheet.add(f'<use href="#{name}" {paint(stroke=token, width=round(width, 1))}/>')
