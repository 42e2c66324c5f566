"""One question at one door, and the whole answer; whatever it wrote is taken back."""

import re
from dataclasses import dataclass
from http.cookies import SimpleCookie
from typing import Any

from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.doors.examples import BODIES, PATHS, fill
from tests.doors.world import House, World

TOKEN = re.compile(rb'(name="csrfmiddlewaretoken" value=")[^"]*')
ONCE = re.compile(rb'(name="(?:once|id)" value=")[^"]*')


@dataclass(frozen=True)
class Answer:
    """All that a stranger could see of an answer, and what only we see."""

    status: int
    body: bytes
    headers: tuple[tuple[str, str], ...]
    cookies: tuple[str, ...]
    queries: int

    @property
    def seen(self) -> tuple[Any, ...]:
        """What must not differ between a foreign thing and a missing one."""
        return (self.status, self.body, self.headers, self.cookies)


def address(name: str, house: House, signed: str) -> str:
    """The address of a thing of a house, by the asker's own link."""
    path = fill(PATHS[name], house, signed=signed)
    query = fill(path.pop("?", {}), house)
    words = "&".join(f"{key}={value}" for key, value in query.items())
    return reverse(name, kwargs=path) + (f"?{words}" if words else "")


def ask(
    world: World,
    asker: str,
    name: str,
    method: str,
    house: House,
    *,
    data: dict[str, Any] | None = None,
    url: str = "",
) -> Answer:
    """Ask, look at the answer, and roll back."""
    client = world.clients[asker]
    kept = SimpleCookie(client.cookies.output(header="", sep=";"))
    url = url or address(name, house, world.link_of(asker))
    body = fill(BODIES.get(name, {}), house) if data is None else data
    with transaction.atomic():
        with CaptureQueriesContext(connection) as asked:
            given = client.post(url, body) if method == "POST" else client.generic(method, url)
        octets = b"".join(given) if given.streaming else given.content
        transaction.set_rollback(True)
    number = given.headers.get("X-Request-Id", "")
    del given.headers["X-Request-Id"]
    cookies = tuple(sorted(given.cookies))
    client.cookies = kept
    return Answer(
        status=given.status_code,
        body=_plain(octets, number),
        headers=tuple(sorted(given.headers.items())),
        cookies=cookies,
        queries=len(asked),
    )


def _plain(octets: bytes, number: str) -> bytes:
    """Without what differs from one request to the next by design."""
    if number:
        octets = octets.replace(number.encode(), b"")
    return ONCE.sub(rb"\1", TOKEN.sub(rb"\1", octets))
