"""Neighbourhoods of visits that one drive serves, and what driving to and within them takes."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sqrt

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import EARTH_KM, haversine_km
from drainservice.engine.rounds.season.facts import SeasonTravel

# Shortest way through n random points of an area A: 0.7124 sqrt(n A), so that each adds
# 0.7124 sqrt(A / n). The constant is from memory (Beardwood, Halton, Hammersley 1959; Johnson,
# McGeoch 1996).
WAY_CONSTANT = 0.7124


@dataclass(frozen=True, slots=True)
class Cell:
    """A neighbourhood: its visits (numbers of the list given), minutes there and back from the
    nearest yard, minutes of driving that each visit adds."""

    members: tuple[int, ...]
    drive_min: float
    between_min: float


def cut_into_cells(
    places: Sequence[Place], homes: Sequence[Place], travel: SeasonTravel, most: int
) -> tuple[Cell, ...]:
    """Halve the visits across their longer side until no part has more than `most`."""
    if not places:
        return ()
    parts, whole = [], [list(range(len(places)))]
    while whole:
        part = whole.pop()
        if len(part) <= most:
            parts.append(part)
        else:
            whole += reversed(_halve(part, places))
    return tuple(_measure(part, places, homes, travel) for part in parts)


def _halve(part: list[int], places: Sequence[Place]) -> tuple[list[int], list[int]]:
    tall, wide = _sides_km([places[number] for number in part])

    def across(number: int) -> tuple[float, float, int]:
        place = places[number]
        along, aside = (place.lat, place.lon) if tall >= wide else (place.lon, place.lat)
        return along, aside, number

    ordered = sorted(part, key=across)
    middle = len(part) // 2
    return ordered[:middle], ordered[middle:]


def _sides_km(places: Sequence[Place]) -> tuple[float, float]:
    lats = [place.lat for place in places]
    lons = [place.lon for place in places]
    degree_km = radians(1.0) * EARTH_KM
    shrink = cos(radians((min(lats) + max(lats)) / 2))
    return (max(lats) - min(lats)) * degree_km, (max(lons) - min(lons)) * degree_km * shrink


def _measure(
    part: list[int], places: Sequence[Place], homes: Sequence[Place], travel: SeasonTravel
) -> Cell:
    inside = [places[number] for number in part]
    centre = Place(
        sum(place.lat for place in inside) / len(inside),
        sum(place.lon for place in inside) / len(inside),
    )
    tall, wide = _sides_km(inside)
    way_km = WAY_CONSTANT * sqrt(tall * wide / len(inside)) * travel.detour
    out_km = min(haversine_km(home, centre) for home in homes) * travel.detour
    return Cell(
        members=tuple(sorted(part)),
        drive_min=2 * out_km / travel.speed_kmh * 60,
        between_min=way_km / travel.near_speed_kmh * 60 + travel.park_min,
    )
