"""What a road engine's table service answered, read with mistrust.

The shape is the open "table" of OSRM's HTTP API, version 1 (docs/http.md of its repository):
`{"code": "Ok", "durations": [[s, ..], ..], "distances": [[m, ..], ..]}`, a row for each source,
`null` where no road leads from one to the other.
"""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NoReturn

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import haversine_km

# No way is shorter than the crow's, hardly one more than six times it: judgement, as the rest.
MOST_DETOUR = 6.0
# Places are moved to the nearest road, and the sphere is not quite the earth.
MOVED_M, EARTH_SHARE = 100.0, 0.99
FASTEST_MS = 130 / 3.6
# Walking pace, after ten minutes of lights and ferries.
SLOWEST_MS, WAIT_S = 3 / 3.6, 600.0
LONGEST_S = 86_400


class AnswerCannotBeRead(ValueError):
    """The answer is no table of the shape that was asked for; the text says what is wrong."""


@dataclass(frozen=True, slots=True)
class Road:
    """The road from one place to another. Without seconds there is none, or none to believe."""

    s: int | None = None
    m: int | None = None
    # Why it was refused, as the end of a sentence; empty: it was not.
    refused: str = ""


def read_table(
    octets: bytes, sources: Sequence[Place], destinations: Sequence[Place]
) -> tuple[tuple[Road, ...], ...]:
    """A road from each source to each destination. Raises AnswerCannotBeRead."""
    told = _read_json(octets)
    if not isinstance(told, dict) or told.get("code") != "Ok":
        raise AnswerCannotBeRead("its answer is not marked as Ok")
    s = _read_rows(told, "durations", len(sources), len(destinations))
    m = _read_rows(told, "distances", len(sources), len(destinations))
    return tuple(
        tuple(
            judge_road(source, destination, s[i][j], m[i][j])
            for j, destination in enumerate(destinations)
        )
        for i, source in enumerate(sources)
    )


def read_code(octets: bytes) -> str:
    """The code of a refusal, such as TooBig; empty where it has none that is a word."""
    try:
        told = _read_json(octets)
    except AnswerCannotBeRead:
        return ""
    code = told.get("code") if isinstance(told, dict) else None
    return code if isinstance(code, str) and code.isalnum() and len(code) <= 40 else ""


def judge_road(a: Place, b: Place, s: float | None, m: float | None) -> Road:
    """A road as told, or refused where no car can have driven it."""
    if s is None or m is None:
        return Road()
    crow_m = haversine_km(a, b) * 1000
    if s < 0 or m < 0:
        return Road(refused="less than nothing")
    if m < crow_m * EARTH_SHARE - MOVED_M:
        return Road(refused="shorter than the crow flies")
    if m > MOST_DETOUR * crow_m + MOVED_M:
        return Road(refused="more than 6 times as far as the crow flies")
    if m > FASTEST_MS * s + MOVED_M:
        return Road(refused="faster than 130 km/h")
    if s > LONGEST_S or s > m / SLOWEST_MS + WAIT_S:
        return Road(refused="slower than walking")
    return Road(math.ceil(s), round(m))


def _read_json(octets: bytes) -> Any:
    try:
        return json.loads(octets, parse_constant=_refuse)
    except (ValueError, RecursionError):
        raise AnswerCannotBeRead("its answer is no JSON") from None


def _refuse(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number of JSON")


def _read_rows(
    told: dict[str, Any], name: str, height: int, width: int
) -> list[list[float | None]]:
    rows = told.get(name)
    if not isinstance(rows, list):
        raise AnswerCannotBeRead(f"its answer has no {name}; the service must give both")
    if len(rows) != height or any(not isinstance(row, list) or len(row) != width for row in rows):
        raise AnswerCannotBeRead(f"its {name} are not {height} rows of {width}")
    if not all(_is_told(cell) for row in rows for cell in row):
        raise AnswerCannotBeRead(f"its {name} hold something that is no number")
    return rows


def _is_told(cell: object) -> bool:
    if cell is None:
        return True
    # A whole number too large for a float is no road either.
    return not isinstance(cell, bool) and (
        (isinstance(cell, float) and math.isfinite(cell))
        or (isinstance(cell, int) and abs(cell) < 10**12)
    )
