"""`barriers.way_km` between all of many places at once, by arrays."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from drainservice.engine.rounds.barriers import Barrier, way_km
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.places import EARTH_KM


def ways_km(places: Sequence[Place], barriers: Sequence[Barrier] = ()) -> Any:
    """A square array of kilometres, equal to `way_km` but for rounding. `places` are checked."""
    import numpy as np

    km = _between_km(places, places)
    if not barriers:
        return km
    met = np.array([_is_met(places, barrier) for barrier in barriers])
    times = met.sum(axis=0)
    for barrier, is_met in zip(barriers, met, strict=True):
        to_km = _between_km(barrier.crossings, places)
        by_crossing_km = (to_km[:, :, None] + to_km[:, None, :]).min(axis=0)
        km = np.where(is_met & (times == 1), by_crossing_km, km)
    for a, b in np.argwhere(times > 1).tolist():
        km[a, b] = way_km(places[a], places[b], barriers)
    return km


def _between_km(a: Sequence[Place], b: Sequence[Place]) -> Any:
    import numpy as np

    lat_a, lat_b = (np.radians([place.lat for place in some]) for some in (a, b))
    half_lon = np.radians(np.subtract.outer([p.lon for p in b], [p.lon for p in a]).T) / 2
    h = np.sin((lat_b[None, :] - lat_a[:, None]) / 2) ** 2
    h += np.cos(lat_a)[:, None] * np.cos(lat_b)[None, :] * np.sin(half_lon) ** 2
    return 2 * EARTH_KM * np.arcsin(np.minimum(1.0, np.sqrt(h)))


def _is_met(places: Sequence[Place], barrier: Barrier) -> Any:
    """Whether the barrier is in the way, from each place (rows) to each."""
    import numpy as np

    lat = np.array([place.lat for place in places])
    lon = np.array([place.lon for place in places])
    is_met = np.zeros((len(places), len(places)), dtype=bool)
    # Side of each corner as seen along each way: the same products as `barriers.side`.
    north, east = lat[None, :] - lat[:, None], lon[None, :] - lon[:, None]
    for p, q in pairwise(barrier.line):
        of = (q.lon - p.lon) * (lat - p.lat) - (q.lat - p.lat) * (lon - p.lon) >= 0
        sides = [
            east * (corner.lat - lat[:, None]) - north * (corner.lon - lon[:, None]) >= 0
            for corner in (p, q)
        ]
        is_met ^= (of[:, None] != of[None, :]) & (sides[0] != sides[1])
    return is_met
