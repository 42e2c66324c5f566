"""What is said of the roads: whether a service tells them, and how much of a day is estimated."""

from collections.abc import Sequence
from itertools import pairwise

from django.conf import settings

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import PlaceCannotBe, make_place
from drainservice.visits.models import Barrier
from drainservice.visits.queries.day_rounds import DayRound
from drainservice.visits.queries.drives import point_of, road_service_words
from drainservice.visits.queries.some_drives import roads_between


def roads_in_words() -> str:
    """How the road service answers; empty where the firm has set none."""
    if not settings.ROUTING_URL:
        return ""
    if words := road_service_words():
        return f"{words} What it has not told is estimated."
    return "A road service tells how long drives take; what it has not told yet is estimated."


def estimated_drives(rounds: Sequence[DayRound]) -> tuple[int, int]:
    """How many drives of these rounds no road service has told, and how many there are."""
    ways = [way for one in rounds for way in _ways(one)]
    told = roads_between({(a, b) for a, b in ways if a is not None and b is not None})
    known = [
        a is not None and b is not None and (point_of(a), point_of(b)) in told for a, b in ways
    ]
    return len(known) - sum(known), len(known)


def barriers() -> list[Barrier]:
    """Water and ridges on the map, by name."""
    return list(Barrier.objects.standing().order_by("name", "pk"))


def _ways(round_: DayRound) -> list[tuple[Place | None, Place | None]]:
    """From the base by each stop and home; none between two stops at one place."""
    base = round_.crew.shift.base if round_.crew.shift is not None else None
    home = None if base is None else _place(base.latitude, base.longitude)
    stops = [_place(v.site.latitude, v.site.longitude) for v in round_.visits]
    if not stops:
        return []
    ways = pairwise([home, *stops, home])
    return [(a, b) for a, b in ways if a is None or b is None or point_of(a) != point_of(b)]


def _place(latitude: float | None, longitude: float | None) -> Place | None:
    try:
        return make_place(latitude, longitude)
    except PlaceCannotBe:
        return None
