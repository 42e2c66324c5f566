"""Silt in a mail: words first, then a bar that needs no picture and no style."""

from drainservice.engine.drawings.lettering import make_safe
from drainservice.engine.drawings.pit_faults import Say, say_plainly
from drainservice.engine.drawings.tokens import LIGHT
from drainservice.engine.units import UnitSystem, show


class SiltCannotBeDrawn(ValueError):
    """A depth below zero or a limit of nothing has no bar."""


BEYOND = 1.25


def write_silt_bar(
    depth_m: float, limit_m: float, system: UnitSystem, say: Say = say_plainly
) -> str:
    """HTML for a mail: a sentence, then a one-row table with the silt and its limit as cells.

    Cells carry `bgcolor` and a class (`silt-in`, `silt-room`, `silt-limit`, `silt-beyond`) for a
    mail's dark block to recolour. Raises SiltCannotBeDrawn.
    """
    if not (0 <= depth_m < 100 and 0 < limit_m < 100):
        raise SiltCannotBeDrawn("The silt must be 0 or more and its limit above 0; read it again.")
    words = say("The silt is {depth} deep. We clean it out at {limit}.").format(
        depth=show(depth_m, "small_length", system), limit=show(limit_m, "small_length", system)
    )
    if depth_m >= limit_m:
        words = say("The silt is {depth} deep, past the {limit} at which we clean it out.").format(
            depth=show(depth_m, "small_length", system),
            limit=show(limit_m, "small_length", system),
        )
    reach = max(limit_m, depth_m)
    parts = [
        ("in", "water", min(depth_m, limit_m)),
        ("room", "pale", max(limit_m - depth_m, 0)),
        ("limit", "ink", 0.012 * reach),
        ("in", "water", max(depth_m - limit_m, 0)),
        ("beyond", "stone", (BEYOND - 1) * reach),
    ]
    whole_m = sum(length_m for _, _, length_m in parts)
    cells = [_write_cell(*part, whole_m) for part in parts]
    return (
        f'<p class="silt-words">{make_safe(words)}</p>'
        '<table role="presentation" aria-hidden="true" width="100%" cellpadding="0" '
        f'cellspacing="0" border="0"><tr>{"".join(cells)}</tr></table>'
        f'<p class="silt-note" align="left">{make_safe(_say_mark(say))}</p>'
    )


def _say_mark(say: Say) -> str:
    return say("The line across the bar is the depth at which we clean.")


def _write_cell(name: str, token: str, length_m: float, whole_m: float) -> str:
    if length_m <= 0:
        return ""
    share = max(round(100 * length_m / whole_m), 1)
    return f'<td class="silt-{name}" bgcolor="{LIGHT[token]}" width="{share}%" height="16"></td>'
