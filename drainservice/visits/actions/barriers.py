"""Water and ridges that roads cross at few points: drawn on the map that drives are reckoned by."""

from typing import Any

from django.db import transaction

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.text import clean_name
from drainservice.bounds import LINE
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.barriers import Barrier as DrawnBarrier
from drainservice.engine.rounds.roads.barriers import BarrierCannotBe
from drainservice.visits.actions.corners import read_points
from drainservice.visits.actions.touched import touching
from drainservice.visits.models import Barrier

# Each drive is held against each stretch of the line; a coarse course does. Judgement.
MOST_POINTS, MOST_CROSSINGS = 200, 50


class BarrierRefused(CannotBeDone):
    """A barrier that cannot be; the text says what to change."""


@transaction.atomic
def draw_barrier(*, asker: Asker, name: str, line: str, crossings: str) -> Barrier:
    """Water or a ridge. Its course and where roads cross it: one place a line, as "47.25, -122.44".

    Errors: BarrierRefused, PlaceRefused, TextRefused.
    """
    row = Barrier(**_drawn(name, line, crossings))
    with touching(asker, first=accounts.today_of_firm(asker.at)):
        return history.enter(row, asker=asker)


@transaction.atomic
def change_barrier(row: Barrier, *, asker: Asker, name: str, line: str, crossings: str) -> Barrier:
    """Another course, other crossings.

    Errors: BarrierRefused, PlaceRefused, TextRefused, ChangedMeanwhile.
    """
    told = _drawn(name, line, crossings)
    with touching(asker, first=accounts.today_of_firm(asker.at)):
        return history.keep(row, asker=asker, **told)


@transaction.atomic
def take_barrier_off(row: Barrier, *, asker: Asker) -> Barrier:
    """A bridge was built, or it was never in the way. Errors: ChangedMeanwhile."""
    with touching(asker, first=accounts.today_of_firm(asker.at)):
        return history.remove(row, asker=asker)


def _drawn(name: str, line: str, crossings: str) -> dict[str, Any]:
    course = read_points(line, "point of its course")
    crossed = read_points(crossings, "crossing")
    if len(course) > MOST_POINTS or len(crossed) > MOST_CROSSINGS:
        raise BarrierRefused(
            f"A barrier has at most {MOST_POINTS} points and {MOST_CROSSINGS} crossings; draw it "
            "more coarsely, or as two."
        )
    # A line that comes back to the same point again is no line yet.
    different = dict.fromkeys(tuple(point) for point in course)
    shown = course if len(different) > 1 else course[:1]
    try:
        DrawnBarrier(_places(shown), _places(crossed))
    except BarrierCannotBe as refusal:
        raise BarrierRefused(str(refusal)) from refusal
    return {"name": clean_name(name, most=LINE), "line": course, "crossings": crossed}


def _places(points: list[list[float]]) -> tuple[Place, ...]:
    return tuple(Place(lat, lon) for lat, lon in points)
