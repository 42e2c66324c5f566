"""Asking a road engine over a real line: blocks, halves, and every way in which it can fail."""

import json
import socket
import threading
import time
from contextlib import ExitStack

import pytest

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import haversine_km
from drainservice.visits import roads
from drainservice.visits.roads import Block, RoadsDoNotAnswer, ask_roads
from tests.visits.road_server import RoadServer, drip, honest, table

# A grid of a kilometre or so.
PLACES = tuple(Place(47.2 + n // 10 / 100, -122.4 + n % 10 / 100) for n in range(120))


@pytest.fixture
def server():
    running = RoadServer().start()
    yield running
    running.stop()


def ask(server, *blocks):
    return list(ask_roads(server.url, blocks))


def failure(server, block=None):
    ((_, answer),) = ask(server, block or Block(PLACES[:2], PLACES[:2]))
    assert isinstance(answer, RoadsDoNotAnswer)
    return str(answer)


def test_longitude_goes_first_with_five_digits_and_a_place_is_sent_once(server):
    ask(server, Block(PLACES[:2], (PLACES[1], PLACES[20])))

    (asked,) = server.asked
    assert asked.path == (
        "/table/v1/driving/-122.40000,47.20000;-122.39000,47.20000;-122.40000,47.22000"
    )
    assert (asked.sources, asked.destinations) == ([0, 1], [1, 2])


def test_roads_come_back_in_their_places_and_there_is_not_back(server):
    block = Block(PLACES[:3], (PLACES[0], PLACES[20]))

    ((_, rows),) = ask(server, block)

    for source, row in zip(block.sources, rows, strict=True):
        for destination, road in zip(block.destinations, row, strict=True):
            crow_m = haversine_km(source, destination) * 1000
            assert road.m == pytest.approx(1.4 * crow_m, abs=1)
    # 1.4 times two hundredths of a degree of a meridian: 3,113.5 m, 259.5 s north at 12 m/s.
    ((_, back),) = ask(server, Block((PLACES[20],), (PLACES[0],)))
    assert (rows[0][1].s, back[0][0].s) == (260, 312)


def test_a_folder_in_the_address_is_kept(server):
    list(ask_roads(f"{server.url}/us/west", [Block(PLACES[:1], PLACES[1:2])]))

    assert server.asked[0].path.startswith("/us/west/table/v1/driving/")


def test_never_more_than_two_are_in_flight(server):
    def slow(question):
        time.sleep(0.02)
        return honest(question)

    server.answer = slow

    answers = ask(server, *[Block(PLACES[n : n + 2], PLACES[:2]) for n in range(12)])

    assert len(answers) == len(server.asked) == 12
    assert server.most_at_once == 2


def test_a_server_that_takes_fewer_is_asked_by_halves_and_learns_us_its_measure(server):
    def small(question):
        if len(question.places) > 40:
            return 400, json.dumps({"code": "TooBig", "message": "Too many table coordinates"})
        return honest(question)

    server.answer = small
    blocks = [Block(PLACES[:50], PLACES[50:100]), Block(PLACES[20:70], PLACES[70:120])]

    answers = ask(server, *blocks)

    pairs = {
        (source, destination)
        for block, rows in answers
        for source, row in zip(block.sources, rows, strict=True)
        for destination, road in zip(block.destinations, row, strict=True)
        if road.s is not None
    }
    whole = {(a, b) for block in blocks for a in block.sources for b in block.destinations}
    assert pairs == whole
    # 50 x 50 in pieces of 25 x 12 or 13 is 8 a block. Refused are 100, 75 and 50 places, each at
    # most twice, since two are in flight; nothing as large is asked again.
    assert len(server.asked) <= 2 * 8 + 3 * 2


def test_one_road_that_is_still_too_big_is_a_failure(server):
    server.answer = lambda question: (400, '{"code": "TooBig"}')

    answers = ask(server, Block(PLACES[:1], PLACES[1:2]))

    assert "answers 400 TooBig" in str(answers[0][1])


def test_a_place_near_no_road_spoils_only_itself(server):
    lost = PLACES[3]

    def picky(question):
        if (lost.lon, lost.lat) in [(round(a, 5), round(b, 5)) for a, b in question.places]:
            return 400, json.dumps({"code": "NoSegment", "message": "no matching segment"})
        return honest(question)

    server.answer = picky

    answers = ask(server, Block(PLACES[:5], PLACES[5:8]))

    found = {
        (source, destination): road
        for block, rows in answers
        for source, row in zip(block.sources, rows, strict=True)
        for destination, road in zip(block.destinations, row, strict=True)
    }
    assert len(found) == 15
    assert {source for (source, _), road in found.items() if road.s is None} == {lost}


def test_no_road_is_told_as_none(server):
    server.answer = lambda question: (
        200,
        json.dumps(table(question, lambda a, b: (None, None))),
    )

    ((_, rows),) = ask(server, Block(PLACES[:1], PLACES[1:2]))

    assert rows[0][0].s is None
    assert rows[0][0].refused == ""


@pytest.mark.parametrize(
    ("lie", "why"),
    [
        (lambda a, b: (60, 0.0), "shorter than the crow flies"),
        (lambda a, b: (900, 90_000.0), "more than 6 times as far as the crow flies"),
        (lambda a, b: (1, 3000.0), "faster than 130 km/h"),
        (lambda a, b: (-600, 3000.0), "less than nothing"),
        (lambda a, b: (80_000, 3000.0), "slower than walking"),
    ],
)
def test_a_lie_about_one_road_is_refused_and_the_others_are_kept(server, lie, why):
    def lying(question):
        told = table(question)
        told["durations"][0][1], told["distances"][0][1] = lie(None, None)
        return 200, json.dumps(told)

    server.answer = lying

    ((_, ((first, second),)),) = ask(server, Block(PLACES[:1], (PLACES[10], PLACES[20])))

    assert (second.refused, second.s) == (why, None)
    assert first.s is not None


@pytest.mark.parametrize(
    ("status", "body", "words"),
    [
        (200, "<html>", "no JSON"),
        (200, '{"code": "Ok", "durations": [[NaN, 1], [1, 1]]}', "no JSON"),
        (200, '{"code": "Ok", "durations": [[0, 1]], "distances": [[0, 1]]}', "not 2 rows of 2"),
        (200, "", "no JSON"),
        (404, "", "answers 404"),
        (429, "slow down", "answers 429"),
        (500, '{"code": "Ok"}', "answers 500"),
        (400, '{"code": "InvalidQuery"}', "answers 400 InvalidQuery"),
        (400, "\x00", "answers 400"),
        (302, "", "not followed"),
    ],
)
def test_what_is_no_answer_is_a_sentence_that_says_what_to_look_at(server, status, body, words):
    server.answer = lambda question: (status, body)

    told = failure(server)

    assert words in told
    assert "DRAIN_ROUTING_URL" in told
    assert len(told) <= 200


def test_a_redirect_is_not_followed(server):
    other = RoadServer().start()

    def away(handler):
        handler.send_response(302)
        handler.send_header("Location", other.url + handler.path)
        handler.send_header("Content-Length", "0")
        handler.end_headers()

    server.raw = away
    try:
        assert "not followed" in failure(server)
        assert other.asked == []
    finally:
        other.stop()


def test_two_gigabytes_are_not_read(server):
    sent = []

    def flood(handler):
        handler.wfile.write(b"HTTP/1.1 200 OK\r\nContent-Length: 2000000000\r\n\r\n")
        for _ in range(2000):
            sent.append(handler.wfile.write(b"[" * 1_000_000))

    server.raw = flood

    assert "more than any table holds" in failure(server)
    # What lies in the buffers of the line may have gone out, too.
    assert sum(sent) < 100_000_000


@pytest.mark.slow
def test_a_server_that_drips_is_left_after_its_time(server, monkeypatch):
    monkeypatch.setattr(roads, "READ_S", 0.5)
    server.raw = drip
    begun_s = time.monotonic()

    assert "takes too long" in failure(server)
    assert time.monotonic() - begun_s < 3


def test_a_server_that_says_nothing_is_left_after_its_time(server, monkeypatch):
    monkeypatch.setattr(roads, "READ_S", 0.2)
    gone = threading.Event()
    server.raw = lambda handler: gone.wait(5)

    assert "takes too long" in failure(server)
    gone.set()


def test_headers_without_end_are_left_after_their_time(server, monkeypatch):
    monkeypatch.setattr(roads, "READ_S", 0.3)

    def chatter(handler):
        handler.wfile.write(b"HTTP/1.1 200 OK\r\n")
        for _ in range(100):
            handler.wfile.write(b"X")
            handler.wfile.flush()
            time.sleep(0.05)

    server.raw = chatter

    assert "takes too long" in failure(server)


def test_what_is_not_http_is_a_failure(server):
    server.raw = lambda handler: handler.wfile.write(b"220 mail.example.com ESMTP\r\n")

    assert "cannot be reached (BadStatusLine)" in failure(server)


def test_nobody_listening_is_a_failure():
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]

    ((_, answer),) = ask_roads(f"http://127.0.0.1:{port}", [Block(PLACES[:1], PLACES[1:2])])

    assert "cannot be reached (ConnectionRefusedError)" in str(answer)


def test_a_line_without_tls_where_tls_is_wanted_is_a_failure(server):
    url = server.url.replace("http:", "https:")

    ((_, answer),) = ask_roads(url, [Block(PLACES[:1], PLACES[1:2])])

    assert "cannot be reached (SSLError)" in str(answer)


def test_no_proxy_of_the_environment_is_asked(server, monkeypatch):
    other = RoadServer().start()
    monkeypatch.setenv("http_proxy", other.url)
    monkeypatch.setenv("HTTP_PROXY", other.url)
    try:
        ask(server, Block(PLACES[:1], PLACES[1:2]))

        assert (len(server.asked), other.asked) == (1, [])
    finally:
        other.stop()


def test_a_connection_that_is_not_taken_is_waited_for_no_longer_than_it_says(monkeypatch):
    """A listener whose queue is full drops who comes next, who would try for minutes."""
    monkeypatch.setattr(roads, "CONNECT_S", 0.3)
    with socket.socket() as full, ExitStack() as queue:
        full.bind(("127.0.0.1", 0))
        full.listen(0)
        for _ in range(8):
            waiting = queue.enter_context(socket.socket())
            waiting.setblocking(False)
            waiting.connect_ex(full.getsockname())
        begun_s = time.monotonic()

        url = f"http://127.0.0.1:{full.getsockname()[1]}"
        ((_, answer),) = ask_roads(url, [Block(PLACES[:1], PLACES[1:2])])

    assert "takes too long" in str(answer)
    assert 0.25 < time.monotonic() - begun_s < 2


def test_who_stops_listening_asks_no_more(server):
    answers = ask_roads(server.url, [Block(PLACES[n : n + 1], PLACES[:1]) for n in range(50)])

    next(answers)
    answers.close()

    assert len(server.asked) == 2
