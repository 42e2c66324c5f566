"""Road times fetched at night: what is asked, what is kept, and a service that fails or lies."""

import json
from datetime import date, time, timedelta

import pytest
from django.db import connection
from django.test import Client

from drainservice.accounts import history
from drainservice.accounts.models import Account
from drainservice.engine.rounds.facts import Place
from drainservice.visits import actions, queries, roads
from drainservice.visits.actions import drives, road_service
from drainservice.visits.models import DriveTime, HomeBase, RoadService
from drainservice.visits.queries import Window, road_pairs
from jobs import queue, reactions, running
from jobs.models import Job
from tests import makers
from tests.visits.road_server import RoadServer, honest, road, table

pytestmark = pytest.mark.django_db
ON = "2027-05-10"
YARD = Place(47.24, -122.45)


@pytest.fixture
def server(settings):
    running_one = RoadServer().start()
    settings.ROUTING_URL = running_one.url
    yield running_one
    running_one.stop()


def plan(address, lat, lon):
    site = makers.make_site(address, latitude=lat, longitude=lon)
    return actions.plan_visit(
        site, asker=makers.clock(), purpose="yearly look", systems={}, meant_for=None
    )


@pytest.fixture
def visits(db):
    """Two sites to go to, and the yard."""
    base = HomeBase(name="the yard", latitude=YARD.lat, longitude=YARD.lon)
    history.enter(base, asker=makers.clock())
    return plan("9 Islay Ct", 47.30, -122.40), plan("2 Fern Hollow Ln", 47.20, -122.50)


def fetch(at=makers.MONDAY, on=ON, **more):
    return actions.refresh_drive_times(asker=makers.clock(at), on=on, **more)


def far_apart(monkeypatch):
    """Every pair of places is a block of its own."""
    monkeypatch.setattr(road_pairs, "SIDE", 1)


def broken(question):
    return 500, ""


def test_both_directions_are_kept_as_the_service_told_them(server, visits):
    # Three places, so six roads.
    assert fetch() == 6

    points = {(4724000, -12245000), (4730000, -12240000), (4720000, -12250000)}
    rows = list(DriveTime.objects.all())
    assert {(row.from_lat_e5, row.from_lon_e5) for row in rows} == points
    for row in rows:
        start = row.from_lon_e5 / 1e5, row.from_lat_e5 / 1e5
        end = row.to_lon_e5 / 1e5, row.to_lat_e5 / 1e5
        s, m = road(start, end)
        assert 0 <= row.road_s - s < 1
        assert abs(row.road_m - m) <= 0.5
        assert row.fetched_on == date(2027, 5, 10)
    north = DriveTime.objects.get(from_lat_e5=4720000, to_lat_e5=4730000)
    south = DriveTime.objects.get(from_lat_e5=4730000, to_lat_e5=4720000)
    assert (north.road_m, north.road_s) != (south.road_m, south.road_s)
    assert north.road_m == south.road_m


def test_without_an_address_nothing_leaves_the_machine(server, visits, settings):
    settings.ROUTING_URL = ""

    assert fetch() == 0
    actions.want_drive_times(asker=makers.clock(), on=date(2027, 5, 10))

    assert server.asked == []
    assert not Job.objects.filter(kind="drives.wanted").exists()


def test_what_is_known_is_not_asked_again_until_it_is_180_days_old(server, visits):
    fetch()
    fetch(on="2027-05-11")
    # 180 days after 10 May are 6 November.
    fetch(on="2027-11-05")
    assert len(server.asked) == 1

    assert fetch(on="2027-11-06") == 6

    assert len(server.asked) == 2
    assert set(DriveTime.objects.values_list("fetched_on", flat=True)) == {date(2027, 11, 6)}


def test_a_new_site_is_asked_for_alone(server, visits, monkeypatch):
    monkeypatch.setattr(road_pairs, "MUCH", 2)
    fetch()
    plan("7 Larch St", 47.25, -122.42)

    fetch(on="2027-05-11")

    # From the new one to the three others, and from each of them to it.
    assert DriveTime.objects.filter(fetched_on=date(2027, 5, 11)).count() == 6
    assert sorted((len(q.sources), len(q.destinations)) for q in server.asked[1:]) == [
        (1, 3),
        (3, 1),
    ]


def test_rows_nobody_fetched_for_a_year_are_cleared_out(server, visits):
    fetch()
    for visit in visits:
        actions.call_off_visit(visit, asker=makers.clock(), by="the household", because="sold")

    # 360 days after 10 May 2027 are 4 May 2028.
    fetch(on="2028-05-03")
    assert DriveTime.objects.count() == 6
    fetch(on="2028-05-04")
    assert DriveTime.objects.count() == 0


def test_sites_without_coordinates_or_with_none_that_can_be_are_passed_over(server, visits):
    plan("1 Nowhere Rd", None, None)
    plan("2 Nowhere Rd", 0.0, 0.0)

    assert fetch() == 6


def test_where_there_is_no_road_the_drive_is_estimated_and_said(server, visits):
    lost = (-122.50, 47.20)

    def island(question):
        return 200, json.dumps(
            table(question, lambda a, b: (None, None) if lost in (a, b) and a != b else road(a, b))
        )

    server.answer = island
    fetch()

    places = [YARD, Place(47.30, -122.40), Place(47.20, -122.50)]
    told = queries.drive_table_for(places)
    assert told.is_road[0][1]
    assert not told.is_road[0][2]
    assert told.without_road == ((0, 2), (1, 2), (2, 0), (2, 1))
    assert told.seconds[0][2] > 0
    # It is known that there is none, so it is not asked again.
    fetch(on="2027-05-11")
    assert len(server.asked) == 1


def test_roads_that_cannot_be_are_counted_said_and_not_kept(server, visits):
    def lying(question):
        told = table(question)
        for row in told["distances"]:
            row[-1] = 0.0
        return 200, json.dumps(told)

    server.answer = lying

    # Three of nine cells are spoilt; the one from a place to itself is 0 m in truth.
    assert fetch() == 4

    assert queries.road_service_words() == (
        "The road service told roads that cannot be; they are estimated: "
        "2 shorter than the crow flies."
    )
    server.answer = honest
    assert fetch(on="2027-05-11") == 2
    assert queries.road_service_words() == ""


def test_a_service_with_the_map_of_another_place_counts_as_failing(server, visits, monkeypatch):
    monkeypatch.setattr(drives, "FEW_ROADS", 3)
    server.answer = lambda question: (200, json.dumps(table(question, lambda a, b: (5, 0.0))))

    assert fetch() == 0

    assert "holds the map of this area" in queries.road_service_words()
    assert RoadService.objects.get().failures == 1
    assert DriveTime.objects.count() == 0


def test_three_failures_within_a_minute_shut_it_for_five(server, visits):
    server.answer = broken
    for seconds in (0, 30, 60):
        fetch(makers.MONDAY + timedelta(seconds=seconds))
    third_at = makers.MONDAY + timedelta(seconds=60)

    assert road_service.shut_until(third_at) == third_at + timedelta(minutes=5)
    assert "answers 500" in queries.road_service_words()

    server.answer = honest
    fetch(third_at + timedelta(minutes=5, seconds=-1))
    assert len(server.asked) == 3

    assert fetch(third_at + timedelta(minutes=5)) == 6
    row = RoadService.objects.get()
    assert (row.failures, row.shut_until, row.last_words) == (0, None, "")


def test_failures_more_than_a_minute_apart_do_not_add_up(server, visits):
    server.answer = broken
    for seconds in (0, 61, 122, 183):
        fetch(makers.MONDAY + timedelta(seconds=seconds))

    assert len(server.asked) == 4
    assert RoadService.objects.get().failures == 1


def test_an_answer_between_failures_begins_the_count_anew(server, visits, monkeypatch):
    far_apart(monkeypatch)
    monkeypatch.setattr(roads, "IN_FLIGHT", 1)
    answers = [broken, broken, honest] * 2
    server.answer = lambda question: answers[(len(server.asked) - 1) % 3](question)

    # Of six blocks two fail, one comes, two fail, one comes.
    fetch()

    assert len(server.asked) == 6
    assert road_service.shut_until(makers.MONDAY) is None


def test_a_dead_service_is_tried_three_times_and_left_until_its_rest_is_over(
    server, visits, monkeypatch
):
    far_apart(monkeypatch)
    server.answer = broken

    assert fetch() == 0

    # Three failures shut it; the fourth was in flight with the third.
    assert len(server.asked) <= 4
    (again,) = Job.objects.filter(kind="drives.wanted")
    assert again.due_at == makers.MONDAY + timedelta(minutes=5)
    assert (again.lane, again.details) == ("long", {"on": ON, "again": 1})


def test_after_five_tries_more_the_night_is_over(server, visits, monkeypatch):
    far_apart(monkeypatch)
    server.answer = broken

    fetch(again=5)

    assert not Job.objects.filter(kind="drives.wanted").exists()


def test_what_came_before_a_failure_stays(server, visits, monkeypatch):
    far_apart(monkeypatch)
    server.answer = lambda question: (
        honest(question) if len(server.asked) <= 2 else broken(question)
    )

    assert fetch() == 2

    assert DriveTime.objects.count() == 2


def test_a_night_asks_for_so_many_blocks_and_for_the_next_visits_first(
    server, visits, monkeypatch, technician
):
    far_apart(monkeypatch)
    monkeypatch.setattr(drives, "MOST_BLOCKS", 2)
    andrea = Account.objects.get(pk=technician.account_id)
    tuesday = Window(date(2027, 5, 11), time(8), time(10))
    actions.offer_visit(visits[0], to=tuesday, technician=andrea, asker=makers.clock())

    fetch()

    assert [question.places[0] for question in server.asked] == [(-122.4, 47.3)] * 2


CROSS = [
    *((0, 0), (0, -0.013)),
    *((0, 0.01475), (0, 0.01495), (0, 0.01515)),
    *((0.01034, 0), (0.0106, 0), (0.0108, 0)),
]


def test_each_place_is_asked_for_with_its_neighbours_and_the_yard(server, visits, monkeypatch):
    """Brute force: the two nearest of each of 22 places, both ways, and home."""
    monkeypatch.setattr(road_pairs, "NEAREST", 2)
    far_apart(monkeypatch)
    spots = [(47.0 + n * n / 500, -122.0 - n / 40) for n in range(1, 12)]
    # At 47.9 degrees a step east is 0.67 of one north: from the first of the cross the nearest
    # are 0.013 west and 0.01475 east, not 0.01034 north. The others have nearer neighbours.
    spots += [(47.9 + north, -121.0 + east) for north, east in CROSS]
    sites = [visits[0].site, visits[1].site]
    sites += [plan(f"{n} Line Rd", lat, lon).site for n, (lat, lon) in enumerate(spots)]
    places = [(site.longitude, site.latitude) for site in sites] + [(YARD.lon, YARD.lat)]
    wanted = set()
    for place in places:
        others = sorted((road(place, other)[1], other) for other in places if other != place)
        for _, other in [*others[:2], (0, places[-1])]:
            wanted |= {(place, other), (other, place)} if other != place else set()

    fetch()

    asked = {
        tuple((round(x, 5), round(y, 5)) for x, y in (q.places[0], q.places[1]))
        for q in server.asked
    }
    assert asked == {tuple((round(x, 5), round(y, 5)) for x, y in pair) for pair in wanted}


def test_a_source_is_sent_only_with_what_is_wanted_of_it(monkeypatch):
    """The first two sources go together, but no destination is wanted of both."""
    monkeypatch.setattr(road_pairs, "SIDE", 2)

    sides = list(road_pairs._sides([{5, 6}, {7, 8}, {5}, set()]))

    assert sides == [([0], [5, 6]), ([1], [7, 8]), ([2], [5])]


def test_the_night_leaves_the_note_and_the_long_queue_fetches(server, visits):
    reactions.begin_day(asker=makers.clock())
    (note,) = Job.objects.filter(kind="drives.wanted")
    assert (note.lane, note.key) == ("long", ON)

    running.run_all(
        reactions.REACTIONS,
        reactions.MESSAGES,
        clock=lambda: makers.MONDAY,
        long=True,
        in_parts=reactions.IN_PARTS,
    )

    note.refresh_from_db()
    assert (note.state, note.last_error) == ("done", "")
    assert DriveTime.objects.count() == 6


@pytest.mark.django_db(transaction=True)
def test_no_transaction_is_open_while_the_service_is_waited_for(server, visits, monkeypatch):
    """Otherwise no other writer of SQLite would get through in the meantime."""
    queue.put("drives.wanted", key=ON, at=makers.MONDAY, lane="long", on=ON)
    opened, plain = [], drives.ask_roads

    def watched(url, blocks):
        for one in plain(url, blocks):
            opened.append(connection.in_atomic_block)
            yield one

    monkeypatch.setattr(drives, "ask_roads", watched)
    running.run_all(
        reactions.REACTIONS,
        reactions.MESSAGES,
        clock=lambda: makers.MONDAY,
        long=True,
        in_parts=reactions.IN_PARTS,
    )

    assert opened == [False]


def test_no_page_asks_the_service(server, visits, dispatcher, technician, settings):
    settings.STORAGES = {
        "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    for handle, pages in {"dora": ["/", "/due"], "andrea": ["/today"]}.items():
        client = Client()
        client.force_login(Account.objects.get(handle=handle))
        for page in pages:
            assert client.get(page).status_code == 200
    queries.drive_table_for([YARD, Place(47.30, -122.40)])

    assert server.asked == []


def test_one_module_speaks_to_the_service_and_one_reaction_calls_it(root):
    """By the sources: so no page can, whatever it shows."""
    speaks = [
        path.relative_to(root).as_posix()
        for folder in ("drainservice", "jobs")
        for path in sorted((root / folder).rglob("*.py"))
        if "drainservice.visits.roads import" in path.read_text()
        or "visits import roads" in path.read_text()
    ]
    calls = [
        path.relative_to(root).as_posix()
        for folder in ("drainservice", "jobs")
        for path in sorted((root / folder).rglob("*.py"))
        if "refresh_drive_times(" in path.read_text()
    ]

    assert speaks == ["drainservice/visits/actions/drives.py"]
    assert calls == ["drainservice/visits/actions/drives.py", "jobs/reactions.py"]
