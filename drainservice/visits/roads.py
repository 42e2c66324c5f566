"""Asking a road engine's table service, the one thing here that speaks to another machine.

Sent are coordinates to five digits (about a metre) and nothing else. Blocks of 50 by 50 places,
since servers take 100 by default; two at a time. Redirects are not followed.
"""

import contextlib
import http.client
import socket
import threading
from collections import deque
from collections.abc import Generator, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from urllib.parse import urlsplit

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.answer import (
    AnswerCannotBeRead,
    Road,
    read_code,
    read_table,
)

BLOCK = 50
CONNECT_S, READ_S = 2.0, 5.0
IN_FLIGHT = 2
# 2,500 roads take about 50,000 octets.
MOST_OCTETS = 2_000_000
LOOK_AT_IT = "look whether it runs, and at DRAIN_ROUTING_URL."


class RoadsDoNotAnswer(Exception):
    """The service gave no table; the text is a sentence that says why and what to look at."""


@dataclass(frozen=True, slots=True)
class Block:
    """From each of the sources to each of the destinations, at most 50 each."""

    sources: tuple[Place, ...]
    destinations: tuple[Place, ...]

    @property
    def places(self) -> int:
        """How many places are sent."""
        return len({*self.sources, *self.destinations})

    @property
    def is_single(self) -> bool:
        """One road only: nothing left to halve."""
        return len(self.sources) == len(self.destinations) == 1

    def halves(self) -> tuple["Block", "Block"]:
        """Two blocks of half the sources, or of half the destinations where these are more."""
        if len(self.sources) >= len(self.destinations):
            half = len(self.sources) // 2
            first, second = self.sources[:half], self.sources[half:]
            return Block(first, self.destinations), Block(second, self.destinations)
        half = len(self.destinations) // 2
        first, second = self.destinations[:half], self.destinations[half:]
        return Block(self.sources, first), Block(self.sources, second)


Roads = tuple[tuple[Road, ...], ...]


class _Halve(Exception):
    """More places than the server takes at once (`is_size`), or one of them is near no road."""

    def __init__(self, *, is_size: bool) -> None:
        self.is_size = is_size


def ask_roads(
    url: str, blocks: Iterable[Block]
) -> Generator[tuple[Block, Roads | RoadsDoNotAnswer], None, None]:
    """Each block, or its halves, with its roads or why there are none. Stop when you like."""
    waiting, too_many = deque(blocks), 2 * BLOCK + 1
    with ThreadPoolExecutor(IN_FLIGHT) as pool:
        while waiting:
            taken: list[Block] = []
            while waiting and len(taken) < IN_FLIGHT:
                block = waiting.popleft()
                if block.places >= too_many and not block.is_single:
                    waiting.extendleft(reversed(block.halves()))
                else:
                    taken.append(block)
            for block, answer in zip(taken, pool.map(partial(_try, url), taken), strict=True):
                if isinstance(answer, _Halve):
                    # A server that refused so many places is not asked for as many again.
                    too_many = min(too_many, block.places) if answer.is_size else too_many
                    waiting.extendleft(reversed(block.halves()))
                else:
                    yield block, answer


def _try(url: str, block: Block) -> Roads | RoadsDoNotAnswer | _Halve:
    try:
        return _ask(url, block)
    except (RoadsDoNotAnswer, _Halve) as why:
        return why


def _ask(url: str, block: Block) -> Roads:
    status, octets = _get(url, _path(block))
    if 300 <= status < 400:
        raise RoadsDoNotAnswer(
            "The road service sends us on to another address, which is not followed; write the "
            "address that answers itself into DRAIN_ROUTING_URL."
        )
    code = read_code(octets) if status == 400 else ""
    if code == "NoSegment" and block.is_single:
        return ((Road(),),)
    is_size = code == "TooBig" or status in {413, 414}
    if not block.is_single and (is_size or code == "NoSegment"):
        raise _Halve(is_size=is_size)
    if status != 200:
        raise RoadsDoNotAnswer(
            f"The road service answers {' '.join([str(status), code]).strip()}; {LOOK_AT_IT}"
        )
    try:
        return read_table(octets, block.sources, block.destinations)
    except AnswerCannotBeRead as wrong:
        raise RoadsDoNotAnswer(f"The road service answers, but {wrong}; {LOOK_AT_IT}") from None


def _path(block: Block) -> str:
    """Longitude first, as the service wants it; a place that is both is sent once."""
    numbers: dict[Place, int] = {}
    for place in (*block.sources, *block.destinations):
        numbers.setdefault(place, len(numbers))
    places = ";".join(f"{place.lon:.5f},{place.lat:.5f}" for place in numbers)
    sources = ";".join(str(numbers[place]) for place in block.sources)
    destinations = ";".join(str(numbers[place]) for place in block.destinations)
    return (
        f"/table/v1/driving/{places}?sources={sources}&destinations={destinations}"
        "&annotations=duration,distance"
    )


def _get(url: str, path: str) -> tuple[int, bytes]:
    """Status and octets. Connecting takes at most 2 s, all the rest together at most 5 s."""
    parts = urlsplit(url)
    is_https = parts.scheme == "https"
    kind = http.client.HTTPSConnection if is_https else http.client.HTTPConnection
    line = kind(parts.hostname or "", parts.port, timeout=CONNECT_S)
    is_late = threading.Event()
    watch: threading.Timer | None = None
    try:
        line.connect()
        line.sock.settimeout(READ_S)
        # A timeout of the socket begins anew with each octet; this one does not.
        watch = threading.Timer(READ_S, _cut, [line.sock, is_late])
        watch.daemon = True
        watch.start()
        line.request("GET", parts.path.rstrip("/") + path, headers={"Accept": "application/json"})
        response = line.getresponse()
        octets = response.read(MOST_OCTETS + 1)
    except (OSError, http.client.HTTPException, ValueError) as wrong:
        if is_late.is_set() or isinstance(wrong, TimeoutError):
            raise RoadsDoNotAnswer(f"The road service takes too long; {LOOK_AT_IT}") from None
        what = type(wrong).__name__
        raise RoadsDoNotAnswer(
            f"The road service cannot be reached ({what}); {LOOK_AT_IT}"
        ) from None
    finally:
        if watch is not None:
            watch.cancel()
        line.close()
    if is_late.is_set():
        raise RoadsDoNotAnswer(f"The road service takes too long; {LOOK_AT_IT}")
    if len(octets) > MOST_OCTETS:
        raise RoadsDoNotAnswer(f"The road service sends more than any table holds; {LOOK_AT_IT}")
    return response.status, octets


def _cut(line: socket.socket, is_late: threading.Event) -> None:
    is_late.set()
    with contextlib.suppress(OSError):
        line.shutdown(socket.SHUT_RDWR)
