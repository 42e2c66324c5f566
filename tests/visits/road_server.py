"""A road engine of our own on loopback: it answers as one does, or as none should.

Its roads are 1.4 times the crow's way by a formula of its own, at 12 m/s toward the north and
10 m/s otherwise, so that ways there and back differ.
"""

import json
import math
import threading
import time
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlsplit


@dataclass(frozen=True)
class Question:
    """What was asked: places as (lon, lat) and the numbers of sources and destinations."""

    path: str
    places: list[tuple[float, float]]
    sources: list[int]
    destinations: list[int]


def read_question(target: str) -> Question:
    """Read as docs/http.md of OSRM describes the table service; anything else is an error."""
    parts = urlsplit(target)
    folder, _, places = parts.path.rpartition("/")
    assert folder.endswith("/table/v1/driving")
    told = parse_qs(parts.query, strict_parsing=True)
    assert told["annotations"] == ["duration,distance"]
    return Question(
        parts.path,
        [tuple(map(float, place.split(","))) for place in places.split(";")],
        [int(number) for number in told["sources"][0].split(";")],
        [int(number) for number in told["destinations"][0].split(";")],
    )


def crow_m(a, b):
    """By the spherical law of cosines, good enough to a centimetre or so beyond a few metres."""
    (lon_a, lat_a), (lon_b, lat_b) = ((math.radians(x) for x in place) for place in (a, b))
    cosine = math.sin(lat_a) * math.sin(lat_b)
    cosine += math.cos(lat_a) * math.cos(lat_b) * math.cos(lon_a - lon_b)
    return 6_371_008.8 * math.acos(max(-1.0, min(1.0, cosine)))


def road(a, b):
    """Seconds and metres of the true road."""
    m = round(1.4 * crow_m(a, b), 1)
    return round(m / (12 if b[1] > a[1] else 10), 1), m


def table(question, judge=road):
    """The answer of an honest engine, each cell by `judge`."""
    cells = [
        [judge(question.places[i], question.places[j]) for j in question.destinations]
        for i in question.sources
    ]
    return {
        "code": "Ok",
        "durations": [[cell[0] for cell in row] for row in cells],
        "distances": [[cell[1] for cell in row] for row in cells],
    }


def honest(question):
    """Status and body of a proper answer."""
    return 200, json.dumps(table(question))


@dataclass
class RoadServer:
    """Behaviour is `answer`: a function of the question that gives status and body, or writes to
    the line itself when it takes two arguments (`raw`)."""

    answer: object = honest
    raw: object = None
    asked: list[Question] = field(default_factory=list)
    most_at_once: int = 0
    server: ThreadingHTTPServer | None = None

    def start(self):
        outer, lock, now = self, threading.Lock(), [0]

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                with lock:
                    now[0] += 1
                    outer.most_at_once = max(outer.most_at_once, now[0])
                try:
                    question = read_question(self.path)
                    outer.asked.append(question)
                    if outer.raw is not None:
                        outer.raw(self)
                        return
                    status, body = outer.answer(question)
                    octets = body.encode() if isinstance(body, str) else body
                    self.send_response(status)
                    self.send_header("Content-Length", str(len(octets)))
                    self.end_headers()
                    self.wfile.write(octets)
                except OSError:
                    pass  # the asker has hung up
                finally:
                    with lock:
                        now[0] -= 1

            def log_message(self, *words):
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, args=(0.01,), daemon=True).start()
        return self

    @property
    def url(self):
        return f"http://127.0.0.1:{self.server.server_address[1]}"

    def stop(self):
        self.server.shutdown()
        self.server.server_close()


def drip(handler, *, every_s=0.05, for_s=30.0):
    """One octet after the other, so that no single wait is long."""
    end_s = time.monotonic() + for_s
    handler.wfile.write(b"HTTP/1.1 200 OK\r\nContent-Length: 100000\r\n\r\n")
    while time.monotonic() < end_s:
        handler.wfile.write(b" ")
        handler.wfile.flush()
        time.sleep(every_s)
