"""Drives of which only some are wanted: pairs, or from one place to many and back."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Q

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.roads.travel import drive_s, drives_between
from drainservice.visits.models import DriveTime
from drainservice.visits.queries.drives import Point, point_of
from drainservice.visits.queries.gathered_places import UNKNOWN_S

AT_ONCE = 200


def drives_of_pairs(
    pairs: Sequence[tuple[Place | None, Place | None]], terms: TravelTerms
) -> list[int]:
    """Seconds of each: by road where it was fetched, else by the model; UNKNOWN_S where an end is
    not known."""
    known = {pair for pair in pairs if pair[0] is not None and pair[1] is not None}
    roads = roads_between(known)
    found: dict[Any, int] = {}
    for a, b in known:
        assert a is not None
        assert b is not None
        road_s = roads.get((point_of(a), point_of(b)))
        if road_s is None or point_of(a) == point_of(b):
            found[a, b] = drive_s(a, b, terms)
        else:
            found[a, b] = road_s + terms.park_and_walk_s
    return [found.get(pair, UNKNOWN_S) for pair in pairs]


def roads_between(
    pairs: set[tuple[Place | None, Place | None]],
) -> dict[tuple[Point, Point], int]:
    """Road seconds, without parking, from where these pairs start, as far as they were fetched."""
    starts = sorted({point_of(a) for a, _ in pairs if a is not None})
    if not starts or not DriveTime.objects.exists():
        return {}
    found = {}
    for first in range(0, len(starts), AT_ONCE):
        some = Q()
        for lat, lon in starts[first : first + AT_ONCE]:
            some |= Q(from_lat_e5=lat, from_lon_e5=lon)
        for a_lat, a_lon, b_lat, b_lon, road_s in _told(some):
            found[(a_lat, a_lon), (b_lat, b_lon)] = road_s
    return found


def _told(where: Q) -> Any:
    rows = DriveTime.objects.filter(where, road_s__isnull=False)
    return rows.values_list("from_lat_e5", "from_lon_e5", "to_lat_e5", "to_lon_e5", "road_s")


def ways_of(
    place: Place | None, points: Sequence[Place | None], terms: TravelTerms
) -> tuple[list[int], list[int]]:
    """Seconds from each point to the place, and from the place to each."""
    import numpy as np

    known = [number for number, point in enumerate(points) if point is not None]
    ways_in = np.full(len(points), UNKNOWN_S, dtype=np.int64)
    if place is None or not known:
        return ways_in.tolist(), ways_in.tolist()
    # The model is the same both ways; roads are not.
    ends = [point for point in points if point is not None]
    ways_in[known] = drives_between([place], ends, terms)[0]
    ways_on = ways_in.copy()
    _lay_roads(place, points, known, terms, ways_in, ways_on)
    return ways_in.tolist(), ways_on.tolist()


def _lay_roads(
    place: Place,
    points: Sequence[Place | None],
    known: Sequence[int],
    terms: TravelTerms,
    ways_in: Any,
    ways_on: Any,
) -> None:
    here = lat, lon = point_of(place)
    there = Q(from_lat_e5=lat, from_lon_e5=lon) | Q(to_lat_e5=lat, to_lon_e5=lon)
    rows = list(_told(there))
    if not rows:
        return
    at: dict[Point, list[int]] = {}
    for number in known:
        at.setdefault(point_of(points[number]), []).append(number)  # type: ignore[arg-type]
    for a_lat, a_lon, b_lat, b_lon, road_s in rows:
        start, end = (a_lat, a_lon), (b_lat, b_lon)
        if start == end:
            continue
        ways, other = (ways_on, end) if start == here else (ways_in, start)
        for number in at.get(other, ()):
            ways[number] = road_s + terms.park_and_walk_s
