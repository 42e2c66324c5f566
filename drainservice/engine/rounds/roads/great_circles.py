"""`barriers.way_km` between all of many places at once, by arrays."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.barriers import Barrier, way_km
from drainservice.engine.rounds.roads.places import EARTH_KM


def ways_km(
    places: Sequence[Place], barriers: Sequence[Barrier] = (), to: Sequence[Place] | None = None
) -> Any:
    """Kilometres from each place (rows) to each of `to`, or of the places themselves; equal to
    `way_km` but for rounding. All are checked."""
    import numpy as np

    ends = places if to is None else to
    km = _between_km(places, ends)
    if not barriers:
        return km
    met = np.array([_is_met(places, ends, barrier) for barrier in barriers])
    times = met.sum(axis=0)
    for barrier, is_met in zip(barriers, met, strict=True):
        from_km = _between_km(barrier.crossings, places)
        to_km = _between_km(barrier.crossings, ends)
        by_crossing_km = (from_km[:, :, None] + to_km[:, None, :]).min(axis=0)
        km = np.where(is_met & (times == 1), by_crossing_km, km)
    for a, b in np.argwhere(times > 1).tolist():
        km[a, b] = way_km(places[a], ends[b], barriers)
    return km


def _between_km(a: Sequence[Place], b: Sequence[Place]) -> Any:
    import numpy as np

    lat_a, lat_b = (np.radians([place.lat for place in some]) for some in (a, b))
    half_lon = np.radians(np.subtract.outer([p.lon for p in b], [p.lon for p in a]).T) / 2
    h = np.sin((lat_b[None, :] - lat_a[:, None]) / 2) ** 2
    h += np.cos(lat_a)[:, None] * np.cos(lat_b)[None, :] * np.sin(half_lon) ** 2
    return 2 * EARTH_KM * np.arcsin(np.minimum(1.0, np.sqrt(h)))


def _is_met(places: Sequence[Place], ends: Sequence[Place], barrier: Barrier) -> Any:
    """Whether the barrier is in the way, from each place (rows) to each end."""
    import numpy as np

    lat_a, lat_b = (np.array([place.lat for place in some]) for some in (places, ends))
    lon_a, lon_b = (np.array([place.lon for place in some]) for some in (places, ends))
    is_met = np.zeros((len(places), len(ends)), dtype=bool)
    # Side of each corner as seen along each way: the same products as `barriers.side`.
    north, east = lat_b[None, :] - lat_a[:, None], lon_b[None, :] - lon_a[:, None]
    for p, q in pairwise(barrier.line):
        of_a, of_b = (
            (q.lon - p.lon) * (lat - p.lat) - (q.lat - p.lat) * (lon - p.lon) >= 0
            for lat, lon in ((lat_a, lon_a), (lat_b, lon_b))
        )
        sides = [
            east * (corner.lat - lat_a[:, None]) - north * (corner.lon - lon_a[:, None]) >= 0
            for corner in (p, q)
        ]
        is_met ^= (of_a[:, None] != of_b[None, :]) & (sides[0] != sides[1])
    return is_met
