"""The sheet a drawing is made on: shapes and words in, one SVG element out."""

import re
from enum import StrEnum

from drainservice.engine.drawings.lettering import make_safe
from drainservice.engine.drawings.tokens import LIGHT, paint


class Width(StrEnum):
    """What a drawing is laid out for: a desk (900 px) or a phone (360 px)."""

    WIDE = "wide"
    PHONE = "phone"


class PrefixIsNoName(ValueError):
    """The prefix of a drawing's ids must be a plain name."""


SIDE_PX = {Width.WIDE: 900.0, Width.PHONE: 360.0}
_PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")


def short(value: float) -> str:
    """A coordinate with one decimal at most, so that the same input gives the same bytes."""
    return f"{round(float(value), 1) + 0.0:g}"


class Sheet:
    """Collects the pieces of one drawing; ids carry the caller's prefix so none clash on a page.

    A drawing with links is a group for assistive technology, since an image's content is not
    offered to the keyboard (WAI-ARIA 1.2, `img`: children presentational).
    """

    def __init__(self, prefix: str, width: Width, has_links: bool = False) -> None:
        if not _PREFIX.fullmatch(prefix):
            raise PrefixIsNoName(
                f"{prefix!r} cannot start an id; use a letter, then letters, digits, - or _."
            )
        self.prefix = prefix
        self.width = width
        self.wide_px = SIDE_PX[width]
        self.has_links = has_links
        self._pieces: list[str] = []
        self._defs: list[str] = []

    def add(self, *pieces: str) -> None:
        """Put pieces on top of what is there."""
        self._pieces.extend(pieces)

    def define(self, piece: str) -> None:
        """Put a piece that is only referred to among the definitions."""
        if piece not in self._defs:
            self._defs.append(piece)

    def id(self, name: str) -> str:
        """An id of this sheet."""
        return f"{self.prefix}-{name}"

    def hatch(self, name: str, step_px: float, token: str, width_px: float = 1.2) -> str:
        """The fill `url(#...)` of 45 degree hatching, defined once."""
        self.define(
            f'<pattern id="{self.id(name)}" width="{short(step_px)}" height="{short(step_px)}" '
            'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
            f'<path d="M0 0V{short(step_px)}" {paint(stroke=token, width=2 * width_px)}/></pattern>'
        )
        return f"url(#{self.id(name)})"

    def draw(self, height_px: float, title: str, desc: str) -> str:
        """The finished element, with title and description."""
        size = f"{short(self.wide_px)} {short(height_px)}"
        defs = f"<defs>{''.join(self._defs)}</defs>" if self._defs else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing {self.width}" '
            f'viewBox="0 0 {size}" width="{short(self.wide_px)}" height="{short(height_px)}" '
            f'role="{"group" if self.has_links else "img"}" '
            f'aria-labelledby="{self.id("t")} {self.id("d")}" '
            'font-family="system-ui, sans-serif" font-size="15" font-variant="tabular-nums">'
            f'<title id="{self.id("t")}">{make_safe(title)}</title>'
            f'<desc id="{self.id("d")}">{make_safe(desc)}</desc>'
            f"{defs}{''.join(self._pieces)}</svg>"
        )


def letter(
    x: float,
    y: float,
    words: str,
    token: str = "ink",
    size: float = 15,
    weight: int = 400,
    anchor: str = "start",
) -> str:
    """One line of words with its baseline at y."""
    more = "" if size == 15 else f' font-size="{size:g}"'
    more += "" if weight == 400 else f' font-weight="{weight}"'
    more += "" if anchor == "start" else f' text-anchor="{anchor}"'
    return (
        f'<text x="{short(x)}" y="{short(y)}"{more} class="f-{token}" fill="{LIGHT[token]}">'
        f"{make_safe(words)}</text>"
    )


def line(x1: float, y1: float, x2: float, y2: float, token: str = "ink", width: float = 1) -> str:
    """A straight line."""
    return trace(f"M{short(x1)} {short(y1)}L{short(x2)} {short(y2)}", token, width)


def trace(d: str, token: str = "ink", width: float = 1, dash: str = "", more: str = "") -> str:
    """An open path that is only stroked."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{d}" {paint(stroke=token, width=width)}{dashed}{more}/>'


def block(
    x: float,
    y: float,
    width: float,
    height: float,
    fill: str = "none",
    stroke: str = "none",
    thick: float = 1,
    more: str = "",
) -> str:
    """A rectangle; a negative width or height counts as none at all."""
    return (
        f'<rect x="{short(x)}" y="{short(y)}" width="{short(max(width, 0))}" '
        f'height="{short(max(height, 0))}" {paint(fill, stroke, thick)}{more}/>'
    )


def ring(
    x: float,
    y: float,
    radius: float,
    fill: str = "none",
    stroke: str = "none",
    thick: float = 1,
    more: str = "",
) -> str:
    """A circle."""
    return (
        f'<circle cx="{short(x)}" cy="{short(y)}" r="{short(radius)}" '
        f"{paint(fill, stroke, thick)}{more}/>"
    )


def path_through(points: list[tuple[float, float]]) -> str:
    """The `d` of a line through points."""
    return "M" + "L".join(f"{short(x)} {short(y)}" for x, y in points)
