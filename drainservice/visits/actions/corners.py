"""Coordinates as people type them, judged before they are kept."""

import re
from statistics import median

from drainservice.accounts.asker import CannotBeDone
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import (
    PlaceCannotBe,
    PlacesSwapped,
    check_near,
    make_place,
)
from drainservice.register.models import Site

FEWEST, MOST = 3, 200
# So many of the sites say where they lie.
SAMPLE = 2000
_PAIR = re.compile(r"\s*([+-]?\d+(?:\.\d*)?)\s*[,;\s]\s*([+-]?\d+(?:\.\d*)?)\s*")


class PlaceRefused(CannotBeDone):
    """Coordinates that cannot be, or hardly; the text says what to mend."""


def checked_place(latitude: float, longitude: float, what: str) -> Place:
    """A place; one far from the sites, and near them but for a usual slip, is refused, too.

    Errors: PlaceRefused.
    """
    return _checked(latitude, longitude, what, middle_of_sites())


def read_corners(text: str) -> list[list[float]]:
    """Corners of an area, one a line as "latitude, longitude". Errors: PlaceRefused."""
    corners = read_points(text, "corner")
    if len({tuple(corner) for corner in corners}) < FEWEST:
        raise PlaceRefused(f"An area has at least {FEWEST} different corners, one on each line.")
    if len(corners) > MOST:
        raise PlaceRefused(f"An area has at most {MOST} corners; draw it more coarsely.")
    return corners


def read_points(text: str, called: str) -> list[list[float]]:
    """Places one a line as "latitude, longitude"; `called` names one of them in a refusal.

    Errors: PlaceRefused.
    """
    lines = [line for line in text.splitlines() if line.strip()]
    middle = middle_of_sites()
    points = []
    for number, line in enumerate(lines, start=1):
        found = _PAIR.fullmatch(line)
        if found is None:
            raise PlaceRefused(
                f"Line {number}, “{line.strip()[:40]}”, is no {called}; write latitude and "
                "longitude in degrees with a comma between, as 47.25, -122.44."
            )
        what = f"The {called} on line {number}"
        place = _checked(float(found[1]), float(found[2]), what, middle)
        points.append([place.lat, place.lon])
    return points


def middle_of_sites() -> Place | None:
    """The middle of the firm's sites, coordinate by coordinate; None without any."""
    known = Site.objects.standing().filter(latitude__isnull=False, longitude__isnull=False)
    rows = list(known.order_by("pk").values_list("latitude", "longitude")[:SAMPLE])
    if not rows:
        return None
    return Place(median(lat for lat, _ in rows), median(lon for _, lon in rows))


def _checked(latitude: float, longitude: float, what: str, middle: Place | None) -> Place:
    try:
        place = make_place(latitude, longitude, what)
        if middle is not None:
            check_near(place, middle, what, of="the middle of your sites")
    except (PlaceCannotBe, PlacesSwapped) as refusal:
        raise PlaceRefused(str(refusal)) from refusal
    return place
