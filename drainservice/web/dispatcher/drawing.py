"""One drawing laid out twice: for a desk and for a phone. The page shows the one that fits."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from drainservice.engine.drawings.sheet import Width


@dataclass(frozen=True, slots=True)
class Drawing:
    """Both layouts of our own SVG."""

    wide: SafeString
    phone: SafeString


def both_ways(draw: Callable[[Width, str], str], name: str) -> Drawing:
    """Draw it for both widths; ids are told apart by their prefix."""
    return Drawing(
        wide=mark_safe(draw(Width.WIDE, f"{name}-w")),
        phone=mark_safe(draw(Width.PHONE, f"{name}-p")),
    )
