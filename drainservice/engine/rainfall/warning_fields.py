"""The small languages inside a CAP message: polygons, circles, references, times, pairs."""

from collections.abc import Iterator
from datetime import UTC, datetime
from re import fullmatch, sub
from xml.etree.ElementTree import Element

from drainservice.engine.rainfall.warning import Key, message_key
from drainservice.engine.rainfall.warning_area import Circle, Point
from drainservice.engine.rainfall.warning_xml import local_name


def name_value_pairs(part: Element) -> Iterator[tuple[str, str]]:
    """valueName and value, one after the other, once or several times; empty values left out."""
    name = ""
    for child in part:
        text = (child.text or "").strip()
        if local_name(child) == "valueName":
            name = text
        elif local_name(child) == "value" and text:
            yield name, text


def read_polygon(text: str, notes: list[str]) -> tuple[Point, ...]:
    """Points as "lat,lon lat,lon ..."; mended where that is sure, else none, with a note."""
    text = _join_pairs(text)
    words = [word.strip(",;") for word in text.split()]
    points = [_point(word) for word in words if word]
    known = [point for point in points if point is not None]
    if len(known) < len(points) or len(set(known)) < 3:
        notes.append("A polygon could not be read; the area's codes stand in for it.")
        return ()
    if known[0] != known[-1]:
        known.append(known[0])
        notes.append("A polygon did not end where it began; it was closed.")
    if "+" in text or words != text.split():
        notes.append(f"A polygon had stray signs; it was read as {len(known)} points.")
    return tuple(known)


def _join_pairs(text: str) -> str:
    """Pairs written with blanks round their comma, "38.4, -120.1 38.3, -119.9", without them."""
    number = r"[-+]?\d+(?:\.\d*)?"
    pair = rf"{number}\s*,\s*{number}"
    return sub(r"\s*,\s*", ",", text) if fullmatch(rf"{pair}(\s+{pair})*", text) else text


def read_circle(text: str, notes: list[str]) -> Circle | None:
    """A circle as "lat,lon radius", the radius in km."""
    centre, _, radius = text.partition(" ")
    point = _point(centre.strip(",;"))
    if point is None or not fullmatch(r"\d+(\.\d*)?", radius.strip()):
        notes.append("A circle could not be read; the area's codes stand in for it.")
        return None
    return Circle(point[0], point[1], float(radius) * 1000.0)


def _point(word: str) -> Point | None:
    """A pair of degrees, latitude first, or None. Longitudes may run on beyond 180."""
    try:
        latitude, longitude = (float(part) for part in word.split(","))
    except ValueError:
        return None
    if -90.0 <= latitude <= 90.0 and -360.0 <= longitude <= 360.0:
        return latitude, longitude
    return None


def read_references(text: str, notes: list[str]) -> Iterator[Key]:
    """Keys from "sender,identifier,sent" triples between blanks."""
    for word in text.split():
        parts = word.split(",")
        sent_at = read_time(parts[2], "reference", []) if len(parts) == 3 else None
        if sent_at is None:
            notes.append("A reference could not be read; the message it means stands on.")
        else:
            yield message_key(parts[0], parts[1], sent_at)


def read_time(text: str, what: str, notes: list[str]) -> datetime | None:
    """A time with its offset, brought to UTC; None if there is none."""
    if not text:
        return None
    try:
        time_at = datetime.fromisoformat(text.upper())
    except ValueError:
        notes.append(f"The time {what} could not be read.")
        return None
    if time_at.tzinfo is None:
        notes.append(f"The time {what} has no offset; UTC is assumed.")
        return time_at.replace(tzinfo=UTC)
    return time_at.astimezone(UTC)
