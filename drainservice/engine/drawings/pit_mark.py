"""The pit mark: how soon a system is due, as a pit that fills."""

from enum import StrEnum

from drainservice.engine.drawings.lettering import make_safe
from drainservice.engine.drawings.sheet import PrefixIsNoName, line, trace
from drainservice.engine.drawings.tokens import paint


class Soon(StrEnum):
    """How soon something is due, as the due date's own states."""

    CLEAR = "clear"
    LATER = "later"
    NOW = "now"
    PAST = "past"
    UNSEEN = "unseen"


WORDS = {
    Soon.CLEAR: "nothing due",
    Soon.LATER: "due later",
    Soon.NOW: "due now",
    Soon.PAST: "past due",
    Soon.UNSEEN: "cannot be judged",
}
_WATER = {
    Soon.LATER: "M9.7 14.3H26.3L25 18H11Z",
    Soon.NOW: "M7 7H29L25 18H11Z",
    Soon.PAST: "M2.5 7Q5 1.5 18 1.5T33.5 7H29L25 18H11L7 7Z",
}


def draw_pit_mark(state: Soon, prefix: str, title: str = "") -> str:
    """A ground line dipping into a pit, 36 x 20 px: empty, a third full, full to grade, a puddle
    above grade; a pit nobody can judge is closed over and dashed. The title defaults to words.
    Raises PrefixIsNoName.
    """
    if not prefix.replace("-", "").replace("_", "").isalnum() or not prefix[0].isalpha():
        raise PrefixIsNoName(
            f"{prefix!r} cannot start an id; use a letter, then letters or digits."
        )
    pieces = []
    if state in _WATER:
        pieces.append(f'<path d="{_WATER[state]}" {paint("water")}/>')
    if state == Soon.PAST:
        pieces.append(trace(_WATER[state].split("H")[0], "ink", 1.2))
    pit = "L10.8 18.4H25.2"
    if state == Soon.UNSEEN:
        pieces.append(line(1, 7, 35, 7, "ink", 1.8))
        pieces.append(trace(f"M7.4 8.7{pit}L28.6 8.7", "ink", 1.6, "2.2 1.8"))
    else:
        pieces.append(trace(f"M1 7H6.8{pit}L29.2 7H35", "ink", 1.8))
    words = make_safe(title or WORDS[state])
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="pit-mark" width="36" '
        f'height="20" viewBox="0 0 36 20" role="img" aria-labelledby="{prefix}-t">'
        f'<title id="{prefix}-t">{words}</title>{"".join(pieces)}</svg>'
    )
