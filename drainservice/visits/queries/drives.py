"""How long drives take, by what is known: road times where they were fetched, else by the model.

Nothing here asks another machine: what is missing is estimated, and fetched at night.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import product

from drainservice.accounts import wall
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.barriers import Barrier as DrawnBarrier
from drainservice.engine.rounds.roads.learning import Driven, Factors, learn_factors
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.roads.travel import drive_table
from drainservice.visits.models import Barrier, Drive, DriveTime, RoadService
from drainservice.visits.queries.closed import the_terms

VALID = timedelta(days=180)
# The newest drives teach; older ones tell of other roads. Judgement.
MOST_DRIVES = 2000
FROM_AT_ONCE = 500
Point = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Drives:
    """Seconds from each place to each, to park and walk included, and how each is known.

    `is_road`: told by the road service; otherwise estimated by great circle and detour.
    `without_road`: pairs of numbers between which the service knows no road. `digest` (SHA-256)
    is the same exactly where all seconds and their kinds are.
    """

    seconds: tuple[tuple[int, ...], ...]
    is_road: tuple[tuple[bool, ...], ...]
    digest: str
    without_road: tuple[tuple[int, int], ...] = ()

    @property
    def estimated(self) -> int:
        """How many drives between different places are estimated."""
        return sum(
            s > 0 and not road
            for row, roads in zip(self.seconds, self.is_road, strict=True)
            for s, road in zip(row, roads, strict=True)
        )


def point_of(place: Place) -> Point:
    """A place in hundred-thousandths of a degree, about a metre: latitude, longitude."""
    return round(place.lat * 100_000), round(place.lon * 100_000)


def place_at(point: Point) -> Place:
    """The place of a point."""
    return Place(point[0] / 100_000, point[1] / 100_000)


def travel_terms() -> TravelTerms:
    """What drives are reckoned by: the firm's detour, its barriers, what its drives taught."""
    return replace(plain_terms(), factors=learned_factors())


def plain_terms() -> TravelTerms:
    """The same before anything was learned: what drives are measured against."""
    barriers = tuple(
        DrawnBarrier(_places(row.line), _places(row.crossings))
        for row in Barrier.objects.standing().order_by("pk")
    )
    return TravelTerms(detour=the_terms().detour, barriers=barriers)


def _places(points: list[list[float]]) -> tuple[Place, ...]:
    return tuple(Place(lat, lon) for lat, lon in points)


def learned_factors() -> Factors:
    """What the firm's newest drives teach, by distance and local hour."""
    rows = Drive.objects.order_by("-began_at", "-pk").values_list(
        "crow_m", "began_at", "to_visit__site__zone", "model_s", "actual_s"
    )
    return learn_factors(
        Driven(crow_m / 1000, wall.local(began_at, zone).hour, model_s, actual_s)
        for crow_m, began_at, zone, model_s, actual_s in rows[:MOST_DRIVES]
    )


def drive_table_for(
    places: Sequence[Place], *, on: date | None = None, terms: TravelTerms | None = None
) -> Drives:
    """All drives between these places. With `on`, road times that are too old by then are left
    out. Raises PlaceCannotBe."""
    terms = terms or travel_terms()
    seconds = [list(row) for row in drive_table(places, terms)]
    is_road = [[False] * len(places) for _ in places]
    at: dict[Point, list[int]] = {}
    for number, place in enumerate(places):
        at.setdefault(point_of(place), []).append(number)
    without_road = []
    for (start, end), road_s in _known_roads(list(at), on).items():
        for i, j in product(at[start], at[end]):
            if road_s is None:
                without_road.append((i, j))
            else:
                seconds[i][j], is_road[i][j] = road_s + terms.park_and_walk_s, True
    for same in at.values():
        for i, j in product(same, same):
            seconds[i][j] = 0
    told = json.dumps([seconds, is_road], separators=(",", ":"))
    return Drives(
        tuple(map(tuple, seconds)),
        tuple(map(tuple, is_road)),
        hashlib.sha256(told.encode()).hexdigest(),
        tuple(sorted(without_road)),
    )


def _known_roads(points: list[Point], on: date | None) -> dict[tuple[Point, Point], int | None]:
    """Road seconds between any two of the points, where they were fetched; None: no road."""
    if not points:
        return {}
    wanted = set(points)
    lats, lons = [lat for lat, _ in points], [lon for _, lon in points]
    rows = DriveTime.objects.filter(
        to_lat_e5__range=(min(lats), max(lats)),
        to_lon_e5__range=(min(lons), max(lons)),
    )
    if on is not None:
        rows = rows.filter(fetched_on__gt=on - VALID)
    found: dict[tuple[Point, Point], int | None] = {}
    for first in range(0, len(points), FROM_AT_ONCE):
        some = points[first : first + FROM_AT_ONCE]
        near = rows.filter(
            from_lat_e5__in={lat for lat, _ in some}, from_lon_e5__in={lon for _, lon in some}
        ).values_list("from_lat_e5", "from_lon_e5", "to_lat_e5", "to_lon_e5", "road_s")
        for from_lat, from_lon, to_lat, to_lon, road_s in near:
            start, end = (from_lat, from_lon), (to_lat, to_lon)
            if start != end and start in wanted and end in wanted:
                found[start, end] = road_s
    return found


def road_service_words() -> str:
    """What a person should know of the road service: its last failure, or what it told that cannot
    be; empty where all is well."""
    row = RoadService.objects.first()
    return "" if row is None else row.last_words
