"""Where a warning holds: polygons, circles, and the codes of counties and zones."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from math import asin, cos, radians, sin, sqrt

EARTH_RADIUS_M = 6371008.8
Point = tuple[float, float]
UGC = re.compile(r"([A-Z]{2}[CZ])?(\d{3}|ALL)(?:>(\d{3}))?(?![^->])")
# The United States have some 7,000 counties and zones; a longer list is meant to do harm.
MOST_CODES = 20_000


class Cover(StrEnum):
    """By what an area covers a place."""

    POLYGON = "polygon"
    CIRCLE = "circle"
    CODE = "code"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Circle:
    """Centre in degrees and radius in m."""

    latitude: float
    longitude: float
    radius_m: float


@dataclass(frozen=True, slots=True)
class Area:
    """One area: polygons of (latitude, longitude), circles, geocodes as they stand.

    geocodes: (system, value) pairs as in the message; codes: the same in one normal form.
    """

    name: str
    polygons: tuple[tuple[Point, ...], ...]
    circles: tuple[Circle, ...]
    geocodes: tuple[tuple[str, str], ...]
    codes: frozenset[str]


def area_covers(area: Area, latitude: float, longitude: float, codes: frozenset[str]) -> Cover:
    """By what an area covers a place, or Cover.NONE; codes from normal_codes().

    An area is the union of its polygons, circles and geocodes. Source: CAP 1.2, section 3.2.4.
    """
    if any(is_inside_polygon(polygon, latitude, longitude) for polygon in area.polygons):
        return Cover.POLYGON
    if any(is_inside_circle(circle, latitude, longitude) for circle in area.circles):
        return Cover.CIRCLE
    return Cover.CODE if codes_meet(area.codes, codes) else Cover.NONE


def is_inside_polygon(polygon: tuple[Point, ...], latitude: float, longitude: float) -> bool:
    """Whether a place lies in a polygon of (latitude, longitude), its edge included.

    Even-odd rule on the plane of degrees; a polygon over the 180th meridian is unrolled, whether
    its longitudes jump there or run on beyond 180.
    Source: WGS 84 degrees as in CAP 1.2, section 3.3; the rule is plane geometry.
    """
    longitudes = [lon for _, lon in polygon]
    if max(longitudes) - min(longitudes) > 180.0:
        polygon = tuple((lat, lon % 360.0) for lat, lon in polygon)
    return any(_holds(polygon, latitude, longitude + turn) for turn in (-360.0, 0.0, 360.0))


def _holds(polygon: tuple[Point, ...], latitude: float, longitude: float) -> bool:
    is_inside = False
    for (lat_a, lon_a), (lat_b, lon_b) in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        turn = (lon_b - lon_a) * (latitude - lat_a) - (lat_b - lat_a) * (longitude - lon_a)
        is_between = min(lat_a, lat_b) <= latitude <= max(lat_a, lat_b) and (
            min(lon_a, lon_b) <= longitude <= max(lon_a, lon_b)
        )
        if turn == 0.0 and is_between:
            return True
        if (lat_a > latitude) != (lat_b > latitude) and (turn > 0.0) == (lat_a > lat_b):
            is_inside = not is_inside
    return is_inside


def is_inside_circle(circle: Circle, latitude: float, longitude: float) -> bool:
    """Whether a place lies within a circle, by the great-circle distance (haversine)."""
    lat_a, lat_b = radians(circle.latitude), radians(latitude)
    half_lat = (lat_b - lat_a) / 2.0
    half_lon = radians(longitude - circle.longitude) / 2.0
    chord = sin(half_lat) ** 2 + cos(lat_a) * cos(lat_b) * sin(half_lon) ** 2
    return 2.0 * EARTH_RADIUS_M * asin(min(sqrt(chord), 1.0)) <= circle.radius_m


def normal_codes(written: Iterable[str]) -> frozenset[str]:
    """County and zone codes in one form: "06109" for SAME and FIPS6, "AZC015" for UGC.

    The first of six digits says which part of a county is meant; all of it is taken. Lists as
    "MNZ020-021" and ranges as "AKZ019>025" are spelled out. Codes of other countries stay as
    they are written, in capitals.
    Source: 47 CFR 11.31 (SAME) and NWS Instruction 10-1702 (UGC), from memory.
    """
    return frozenset(islice(_each_code(written), MOST_CODES))


def _each_code(written: Iterable[str]) -> Iterator[str]:
    for text in written:
        for word in filter(None, re.split(r"[\s,;]+", text.upper())):
            if re.fullmatch(r"\d{5,6}", word):
                yield word[-5:]
            elif UGC.match(word):
                yield from _spell_out(word)
            else:
                yield word


def _spell_out(word: str) -> Iterator[str]:
    state = ""
    for part in word.split("-"):
        match = UGC.fullmatch(part)
        if match is None:
            continue
        state = match[1] or state
        if state and match[2] == "ALL":
            yield state + "000"
        elif state:
            last = int(match[3] or match[2])
            yield from (f"{state}{n:03d}" for n in range(int(match[2]), last + 1))


def codes_meet(warned: frozenset[str], own: frozenset[str]) -> bool:
    """Whether a place's codes are among those warned, by name or as part of a whole state."""
    whole_states = {code[:-3] + "000" for code in own}
    return not warned.isdisjoint(own) or not warned.isdisjoint(whole_states)
