"""Which roads are worth asking for tonight: between near places that somebody will drive to."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db.models import Min, Q

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import PlaceCannotBe, check_place
from drainservice.visits.models import OPEN, DriveTime, HomeBase, Visit
from drainservice.visits.queries.drives import VALID, Point, place_at, point_of

# A round goes from a place to one of its neighbours, or home; judgement.
NEAREST = 40
SIDE = 50
MUCH = 10
ROWS_AT_ONCE = 500
Sides = tuple[tuple[Place, ...], tuple[Place, ...]]


def roads_to_ask_for(*, on: date, most: int) -> list[Sides]:
    """At most so many pairs of sources and destinations, up to 50 each, in which roads are
    missing or too old: where somebody goes soonest first."""
    bases, days = _bases(), _days_of_places(on)
    points = sorted({*bases, *days}, key=_along_a_curve)
    if len(points) < 2:
        return []
    number_of = {point: number for number, point in enumerate(points)}
    wanted = _neighbours(points)
    for base in (number_of[base] for base in bases):
        wanted[base] |= set(range(len(points))) - {base}
    for start in range(len(points)):
        for end in list(wanted[start]):
            wanted[end].add(start)
    for start, end in _fresh(number_of, on):
        wanted[start].discard(end)
    soonest = [days.get(point) or date.max for point in points]
    sides = list(_sides(wanted))
    sides.sort(key=lambda side: min(soonest[number] for number in side[0]))
    return [
        (
            tuple(place_at(points[number]) for number in sources),
            tuple(place_at(points[number]) for number in destinations),
        )
        for sources, destinations in sides[:most]
    ]


def _bases() -> set[Point]:
    rows = HomeBase.objects.standing().values_list("latitude", "longitude")
    return {point_of(place) for place in _possible(rows)}


def _days_of_places(on: date) -> dict[Point, date | None]:
    """Each place of an open visit, and the day of the next one there."""
    rows = (
        Visit.objects.standing()
        .filter(Q(day__isnull=True) | Q(day__gte=on), state__in=OPEN)
        .filter(site__latitude__isnull=False, site__removed_at__isnull=True)
        .values("site__latitude", "site__longitude")
        .annotate(soonest=Min("day"))
        .values_list("site__latitude", "site__longitude", "soonest")
    )
    days: dict[Point, date | None] = {}
    for lat, lon, day in rows:
        for place in _possible([(lat, lon)]):
            point = point_of(place)
            days[point] = min(filter(None, [days.get(point), day]), default=None)
    return days


def _possible(rows: Any) -> Iterator[Place]:
    """Places that can be; the others are told to a person where they are shown, not here."""
    for lat, lon in rows:
        place = Place(lat, lon)
        try:
            check_place(place)
        except PlaceCannotBe:
            continue
        yield place


def _along_a_curve(point: Point) -> int:
    """The bits of both numbers in turn (Morton order), so that neighbours in the list are near."""
    lat, lon = point[0] + 9_000_000, point[1] + 18_000_000
    return sum((lat >> n & 1) << 2 * n + 1 | (lon >> n & 1) << 2 * n for n in range(26))


def _neighbours(points: list[Point]) -> list[set[int]]:
    """The nearest places of each, on a map that keeps its scale along each parallel."""
    import numpy as np

    lat, lon = (np.array(side, dtype=float) for side in zip(*points, strict=True))
    squeeze = np.cos(np.radians(lat / 100_000))
    most = min(NEAREST + 1, len(points))
    found: list[set[int]] = []
    for first in range(0, len(points), ROWS_AT_ONCE):
        rows = slice(first, first + ROWS_AT_ONCE)
        east = (lon[None, :] - lon[rows, None]) * squeeze[rows, None]
        apart = (lat[None, :] - lat[rows, None]) ** 2 + east**2
        near = np.argpartition(apart, most - 1, axis=1)[:, :most]
        found += [set(row) - {first + n} for n, row in enumerate(near.tolist())]
    return found


def _fresh(number_of: dict[Point, int], on: date) -> Iterator[tuple[int, int]]:
    """The pairs whose road was asked for not too long ago, whether there was one or not."""
    rows = DriveTime.objects.filter(fetched_on__gt=on - VALID)
    columns = ("from_lat_e5", "from_lon_e5", "to_lat_e5", "to_lon_e5")
    for from_lat, from_lon, to_lat, to_lon in rows.values_list(*columns).iterator():
        start, end = number_of.get((from_lat, from_lon)), number_of.get((to_lat, to_lon))
        if start is not None and end is not None:
            yield start, end


def _sides(wanted: list[set[int]]) -> Iterator[tuple[list[int], list[int]]]:
    """Neighbouring sources, 50 at a time, and what is wanted from any of them, 50 at a time.

    Apart from each other those that want much, such as a new site, and those that want little,
    such as its neighbours: together all would be asked for again.
    """
    much = [number for number, ends in enumerate(wanted) if len(ends) >= MUCH]
    little = [number for number, ends in enumerate(wanted) if 0 < len(ends) < MUCH]
    for starts in (much, little):
        yield from _sides_of(starts, wanted)


def _sides_of(starts: list[int], wanted: list[set[int]]) -> Iterator[tuple[list[int], list[int]]]:
    for first in range(0, len(starts), SIDE):
        sources = starts[first : first + SIDE]
        ends = sorted(set().union(*(wanted[number] for number in sources)))
        for begin in range(0, len(ends), SIDE):
            some = ends[begin : begin + SIDE]
            needing = [number for number in sources if not wanted[number].isdisjoint(some)]
            if needing:
                yield needing, some
