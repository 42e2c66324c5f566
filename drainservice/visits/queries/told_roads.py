"""What is said of the roads: whether a service tells them, and how much of a day is estimated."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from django.conf import settings

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import PlaceCannotBe, make_place
from drainservice.visits.models import Barrier, DriveTime
from drainservice.visits.queries.day_rounds import DayRound
from drainservice.visits.queries.drives import Point, point_of, road_service_words
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
    told = roads_between({(way.start, way.end) for way in ways})
    return sum(way.points not in told for way in ways), len(ways)


def without_road(rounds: Sequence[DayRound]) -> list[str]:
    """Drives of these rounds between places that the road service finds no road between; mostly
    coordinates that lie in the water, or a road that is not on its map."""
    ways = {way.points: way for one in rounds for way in _ways(one) if way.points is not None}
    starts = {points[0] for points in ways}
    rows = DriveTime.objects.filter(
        road_s__isnull=True, from_lat_e5__in={lat for lat, _ in starts}
    ).values_list("from_lat_e5", "from_lon_e5", "to_lat_e5", "to_lon_e5")
    none = {((a_lat, a_lon), (b_lat, b_lon)) for a_lat, a_lon, b_lat, b_lon in rows}
    return [
        f"The road service knows no road from {way.names[0]} to {way.names[1]}, so that drive is "
        "estimated; look at the coordinates of both."
        for points, way in ways.items()
        if points in none
    ]


def barriers() -> list[Barrier]:
    """Water and ridges on the map, by name."""
    return list(Barrier.objects.standing().order_by("name", "pk"))


@dataclass(frozen=True, slots=True)
class _Way:
    """One drive, its ends by place and by name."""

    start: Place | None
    end: Place | None
    names: tuple[str, str]

    @property
    def points(self) -> tuple[Point, Point] | None:
        """Its ends as roads are kept; None where one is not known."""
        if self.start is None or self.end is None:
            return None
        return point_of(self.start), point_of(self.end)


def _ways(round_: DayRound) -> list[_Way]:
    """From the base by each stop and home; none between two stops at one place."""
    base = round_.crew.shift.base if round_.crew.shift is not None else None
    home: tuple[Place | None, str] = (None, "the middle of the sites")
    if base is not None:
        home = (_place(base.latitude, base.longitude), base.name)
    sites = [visit.site for visit in round_.visits]
    stops = [(_place(site.latitude, site.longitude), site.address) for site in sites]
    if not stops:
        return []
    ways = [_Way(a, b, (of_a, of_b)) for (a, of_a), (b, of_b) in pairwise([home, *stops, home])]
    return [way for way in ways if way.points is None or way.points[0] != way.points[1]]


def _place(latitude: float | None, longitude: float | None) -> Place | None:
    try:
        return make_place(latitude, longitude)
    except PlaceCannotBe:
        return None
