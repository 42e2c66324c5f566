"""Places on the ground: are they possible, how far apart are they, which were entered wrong."""

import math

from drainservice.engine.rounds.facts import Place

# Mean radius R1 of GRS 80: Moritz, Journal of Geodesy 74 (2000) 128.
EARTH_KM = 6371.0088
# Nobody drives farther from the yard for a day's work; judgement.
FAR_KM = 400.0


class PlaceCannotBe(ValueError):
    """No coordinates, or some that no yard has; the text says what to mend."""


class PlacesSwapped(ValueError):
    """Coordinates that lie far from the yard, and near it if entered as the text says."""


def make_place(lat: float | None, lon: float | None, what: str = "This site") -> Place:
    """A place out of degrees, north and east positive; `what` names it in a refusal.

    Raises PlaceCannotBe where one is missing or no number, beyond the poles or the date line, or
    where both are exactly zero, which is how empty fields are often exported.
    """
    if lat is None or lon is None:
        missing = "latitude" if lat is None else "longitude"
        raise PlaceCannotBe(
            f"{what} has no {missing}, so no drive to it can be counted; enter both coordinates, "
            "such as 47.2500 and -122.4400."
        )
    place = Place(lat, lon)
    check_place(place, what)
    return place


def check_place(place: Place, what: str = "This site") -> None:
    """Raise PlaceCannotBe where the place cannot be; `what` names it."""
    lat, lon = place.lat, place.lon
    if not (math.isfinite(lat) and math.isfinite(lon)):
        raise PlaceCannotBe(f"{what} has coordinates that are no numbers; enter both in degrees.")
    if lat == 0 and lon == 0:
        raise PlaceCannotBe(
            f"{what} has latitude 0 and longitude 0, which is open sea and mostly means that "
            "nothing was entered; enter both coordinates."
        )
    if abs(lat) > 90:
        hint = ", or were the two swapped?" if abs(lat) <= 180 and abs(lon) <= 90 else "."
        raise PlaceCannotBe(
            f"{what} has latitude {lat:g}; latitudes lie between -90 and 90. Mend the number{hint}"
        )
    if abs(lon) > 180:
        raise PlaceCannotBe(
            f"{what} has longitude {lon:g}; longitudes lie between -180 and 180. Mend the number."
        )


def haversine_km(a: Place, b: Place) -> float:
    """Kilometres along the great circle of a sphere of EARTH_KM, by the haversine."""
    lat_a, lat_b = math.radians(a.lat), math.radians(b.lat)
    half_lon = math.radians(b.lon - a.lon) / 2
    h = math.sin((lat_b - lat_a) / 2) ** 2
    h += math.cos(lat_a) * math.cos(lat_b) * math.sin(half_lon) ** 2
    # Rounding may carry the root of two opposite points past 1.
    return 2 * EARTH_KM * math.asin(min(1.0, math.sqrt(h)))


def check_near(place: Place, yard: Place, what: str = "This site", *, of: str = "the yard") -> None:
    """Raise PlacesSwapped where a place is far from the yard and a usual slip would explain it.

    Slips looked for: latitude and longitude swapped, a minus sign lost, both. A place that is far
    and explained by none of them may be meant, and passes. `of` names the yard.
    """
    far_km = haversine_km(place, yard)
    if far_km <= FAR_KM:
        return
    lat, lon = place.lat, place.lon
    slips = {
        "with latitude and longitude swapped": (lon, lat),
        "with the other sign of the longitude": (lat, -lon),
        "with the other sign of the latitude": (-lat, lon),
        "swapped, and with the other sign of the longitude": (lon, -lat),
        "swapped, and with the other sign of the latitude": (-lon, lat),
    }
    for slip, (other_lat, other_lon) in slips.items():
        if abs(other_lat) > 90:
            continue
        near_km = haversine_km(Place(other_lat, other_lon), yard)
        if near_km <= FAR_KM:
            raise PlacesSwapped(
                f"{what} lies {far_km:,.0f} km from {of}, but {slip} only {near_km:,.0f} km: "
                f"enter latitude {other_lat:g} and longitude {other_lon:g} if that is what was "
                "meant."
            )
