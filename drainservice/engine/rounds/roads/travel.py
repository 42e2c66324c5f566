"""How long a drive takes by `travel_terms`: from place to place, and a whole table of them."""

import math
from collections.abc import Sequence
from typing import Any

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.barriers import way_km
from drainservice.engine.rounds.roads.great_circles import ways_km
from drainservice.engine.rounds.roads.learning import FROM_KM
from drainservice.engine.rounds.roads.places import (
    PlaceCannotBe,
    PlacesSwapped,
    check_place,
    haversine_km,
)
from drainservice.engine.rounds.roads.terms import TravelTerms, floors_s, seconds

__all__ = [
    "PlaceCannotBe",
    "PlacesSwapped",
    "TravelTerms",
    "drive_s",
    "drive_table",
    "drives_between",
    "haversine_km",
]
# Two ways of counting differ by rounding alone; a whole second this near is counted again.
SAME_S = 1e-6


def drive_s(a: Place, b: Place, terms: TravelTerms, hour: int | None = None) -> int:
    """Whole seconds from place to place, to park and walk included; 0 on the same place.

    `hour` is the local hour in which it begins, where the factor of that hour is wanted. Raises
    PlaceCannotBe.
    """
    check_place(a)
    check_place(b)
    return 0 if a == b else math.ceil(seconds(way_km(a, b, terms.barriers), terms, hour))


def drive_table(
    places: Sequence[Place], terms: TravelTerms, hour: int | None = None
) -> tuple[tuple[int, ...], ...]:
    """`drive_s` from each place to each, by rows; equal to it, some twenty times faster.

    Raises PlaceCannotBe.
    """
    if not places:
        return ()
    return tuple(tuple(row) for row in drives_between(places, places, terms, hour).tolist())


def drives_between(
    places: Sequence[Place], ends: Sequence[Place], terms: TravelTerms, hour: int | None = None
) -> Any:
    """The same from each place (rows) to each end, as an array. Raises PlaceCannotBe."""
    import numpy as np

    for number, place in enumerate([*places, *ends], start=1):
        check_place(place, f"Place {number}")
    if not places or not ends:
        return np.zeros((len(places), len(ends)), dtype=np.int64)
    km = ways_km(places, terms.barriers, ends)
    exact_s = _all_seconds(km, terms, hour)
    table = np.ceil(exact_s).astype(np.int64)
    # Near a whole second rounding decides: as one by one.
    unsure = np.abs(exact_s - np.rint(exact_s)) < SAME_S
    seen: dict[Place, int] = {}
    same_a, same_b = (
        np.array([seen.setdefault(place, len(seen)) for place in some]) for some in (places, ends)
    )
    is_same = same_a[:, None] == same_b[None, :]
    table[is_same] = 0
    for a, b in np.argwhere(unsure & ~is_same).tolist():
        table[a, b] = drive_s(places[a], ends[b], terms, hour)
    return table


def _all_seconds(km: Any, terms: TravelTerms, hour: int | None) -> Any:
    import numpy as np

    left_km, s = km * terms.detour, np.full_like(km, terms.park_and_walk_s)
    for stretch in terms.stretches:
        driven_km = np.minimum(left_km, stretch.length_km)
        s += driven_km * (3600 / stretch.speed_kmh)
        left_km = left_km - driven_km
    bands = np.searchsorted(FROM_KM, km, side="right") - 1
    factors = np.array([terms.factors.of(band, hour) for band in range(len(FROM_KM))])
    return np.maximum(s * factors[bands], np.array(floors_s(terms, hour))[bands])
