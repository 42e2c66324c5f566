"""One question at one door, and the whole answer; whatever it wrote is taken back."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from http.cookies import SimpleCookie
from typing import Any

from django.db import connection, transaction
from django.test import Client
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
    # What `look` saw before it was taken back.
    looked: Any = None

    @property
    def seen(self) -> tuple[Any, ...]:
        """What must not differ between a foreign thing and a missing one."""
        return (self.status, self.body, self.headers, self.cookies)


def held_by(client: Client) -> SimpleCookie:
    """The cookies a browser holds now, to be put back later."""
    return SimpleCookie({name: morsel.value for name, morsel in client.cookies.items()})


class Counted:
    """How often the database was asked."""

    def __init__(self) -> None:
        self.queries = 0

    def __call__(self, execute: Any, *rest: Any) -> Any:
        self.queries += 1
        return execute(*rest)


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
    data: dict[str, Any] | bytes | None = None,
    url: str = "",
    look: Callable[[], Any] = lambda: None,
    **more: Any,
) -> Answer:
    """Ask, look at the answer, and roll back. `more` goes to the request as it is."""
    client = world.clients[asker]
    kept = held_by(client)
    url = url or address(name, house, world.link_of(asker))
    body = fill(BODIES.get(name, {}), house) if data is None else data
    asked = Counted()
    with transaction.atomic():
        with connection.execute_wrapper(asked):
            if method == "POST" and not isinstance(body, bytes):
                given = client.post(url, body, **more)
            else:
                octets = body if isinstance(body, bytes) else b""
                given = client.generic(method, url, octets, **more)
        octets = b"".join(given) if given.streaming else given.content
        looked = look()
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
        queries=asked.queries,
        looked=looked,
    )


def _plain(octets: bytes, number: str) -> bytes:
    """Without what differs from one request to the next by design."""
    if number:
        octets = octets.replace(number.encode(), b"")
    return ONCE.sub(rb"\1", TOKEN.sub(rb"\1", octets))
