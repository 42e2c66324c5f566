"""A drawing for a PDF: no style sheet reaches it there, so its colours are written out."""

import re

from drainservice.engine.drawings.tokens import LIGHT, PRINT

_INK_OF = {LIGHT[name]: PRINT[name] for name in LIGHT}
_COLOUR = re.compile(r'(fill|stroke)="(#[0-9a-f]{6})"')


def write_for_paper(svg: str) -> str:
    """The same drawing in black on white, water told by hatching, as one standalone SVG."""
    blackened = _COLOUR.sub(lambda hit: f'{hit[1]}="{_INK_OF.get(hit[2], hit[2])}"', svg)
    return blackened.replace(' class="only-print" display="none"', "")
