"""One round of a day as a line through gates."""

from collections.abc import Sequence

from drainservice.engine.drawings.round_facts import RoundCannotBeDrawn
from drainservice.engine.drawings.round_line import draw_round_line
from drainservice.visits.models import Visit
from drainservice.visits.queries import DayRound
from drainservice.web.dispatcher.drawing import Drawing, both_ways
from drainservice.web.round_pictures import Known, clock_style, round_facts_of


def draw_round(round_: DayRound) -> Drawing | None:
    """Both layouts; None where there is nothing to draw, or times that do not run forward."""
    shift = round_.crew.shift
    known = Known(
        base=shift.base if shift else None,
        starts_at=round_.starts_at,
        rooms_min=round_.rooms_min,
        break_starts_at=round_.break_starts_at,
        break_minutes=shift.pause[2] if shift and shift.pause else 0,
    )
    return draw_visits(round_.visits, known, f"round-{round_.technician.handle}")


def draw_visits(visits: Sequence[Visit], known: Known, name: str) -> Drawing | None:
    """The same of any visits in order; `name` tells the drawings of a page apart."""
    facts = round_facts_of(visits, known)
    if facts is None:
        return None
    units, clock = clock_style()
    try:
        return both_ways(
            lambda wide, prefix: draw_round_line(facts, wide, units, clock, prefix), name
        )
    except RoundCannotBeDrawn:
        return None
