"""One round of a day as a line through gates."""

from drainservice.engine.drawings.round_facts import RoundCannotBeDrawn
from drainservice.engine.drawings.round_line import draw_round_line
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
    facts = round_facts_of(round_.visits, known)
    if facts is None:
        return None
    units, clock = clock_style()
    try:
        return both_ways(
            lambda wide, prefix: draw_round_line(facts, wide, units, clock, prefix),
            f"round-{round_.technician.handle}",
        )
    except RoundCannotBeDrawn:
        return None
