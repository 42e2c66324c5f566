"""How wide words are, how they wrap, and how they are made safe for XML."""

from html import escape

# Advance widths in em of DejaVu Sans, rounded up: the widest of the usual system sans faces, so
# what fits here fits in the others. Source: the font's own hmtx table.
_EM = {
    0.29: "'ijlIJ",
    0.32: " ,.",
    0.36: "/:;\\|f-",
    0.41: "()[]t!r",
    0.50: '"*_`',
    0.55: "sz?c",
    0.60: "LFkvxyP",
    0.64: "TYaoeESbdghnpqu$0123456789{}",
    0.70: "KAVBRXZC",
    0.78: "UHNDG&",
    0.86: "OQw#+<=>^~M",
    1.00: "%mW@",
}
_WIDTHS = {sign: width for width, signs in _EM.items() for sign in signs}
_OTHER_EM = 0.70
_UNITS = frozenset(
    "s min h days am pm in ft mi m mm km gal gpm L L/min hp W A % in/h mm/h".split()  # noqa: SIM905
)
_HEAVY = 1.13


def measure(words: str, size_px: float, weight: int = 400) -> float:
    """Width in px of one line of text; a little too wide rather than too narrow."""
    em = sum(_WIDTHS.get(sign, _OTHER_EM if ord(sign) < 0x2E80 else 1.05) for sign in words)
    return em * size_px * (_HEAVY if weight > 500 else 1.0)


def wrap(words: str, size_px: float, room_px: float, weight: int = 400) -> list[str]:
    """Lines no wider than the room; a word too long for a line is broken, nothing is cut off.

    A number stays with its unit where both fit on one line.
    """
    lines: list[str] = []
    line = ""
    for word in _keep_units(words.split(), size_px, room_px, weight):
        joined = f"{line} {word}" if line else word
        if measure(joined, size_px, weight) <= room_px:
            line = joined
            continue
        if line:
            lines.append(line)
        while measure(word, size_px, weight) > room_px and len(word) > 1:
            fit = _count_that_fit(word, size_px, room_px, weight)
            lines.append(word[:fit])
            word = word[fit:]
        line = word
    return [*lines, line] if line else lines


def _keep_units(parts: list[str], size_px: float, room_px: float, weight: int) -> list[str]:
    kept: list[str] = []
    for part in parts:
        pair = f"{kept[-1]} {part}" if kept else ""
        is_unit = part.strip(".,;:") in _UNITS and kept[-1:] and kept[-1][-1].isdigit()
        if is_unit and measure(pair, size_px, weight) <= room_px:
            kept[-1] = pair
        else:
            kept.append(part)
    return kept


def _count_that_fit(word: str, size_px: float, room_px: float, weight: int) -> int:
    fit = len(word) - 1
    while fit > 1 and measure(word[:fit], size_px, weight) > room_px:
        fit -= 1
    return fit


def make_safe(words: str) -> str:
    """Text for an SVG or HTML element: escaped, without the signs XML 1.0 (2.2) forbids."""
    return escape("".join(sign for sign in words if _is_allowed(sign)), quote=True)


def _is_allowed(sign: str) -> bool:
    code = ord(sign)
    return (
        code in (9, 10, 13) or 0x20 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or code >= 0x10000
    )
