"""Water and ridges as somebody draws them: kept as typed, refused in words, counted in drives."""

import pytest

from drainservice.accounts import history
from drainservice.accounts.history import ChangedMeanwhile
from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.places import haversine_km
from drainservice.engine.rounds.roads.terms import TravelTerms
from drainservice.engine.rounds.roads.travel import drive_s
from drainservice.visits import actions, queries
from drainservice.visits.actions.barriers import BarrierRefused
from drainservice.visits.actions.corners import PlaceRefused
from drainservice.visits.actions.touched import say_crew_put_back
from drainservice.visits.models import Barrier, Round
from tests import makers
from tests.visits.busy_week import TUESDAY, crew, site

pytestmark = pytest.mark.django_db
# A river along 47.27 north with one bridge at 122.50 west; the yard lies south of it.
RIVER = {"name": "Salt Creek", "line": "47.27, -123.0\n47.27, -121.0", "crossings": "47.27, -122.5"}
SOUTH, NORTH, BRIDGE = Place(47.25, -122.44), Place(47.29, -122.44), Place(47.27, -122.5)


def draw(**told):
    return actions.draw_barrier(asker=makers.clock(), **RIVER | told)


def drive_north():
    return queries.drive_table_for([SOUTH, NORTH]).seconds[0][1]


def test_a_drive_across_goes_by_the_bridge_once_it_is_drawn():
    straight_s = drive_north()
    draw()
    # The same drive without a barrier, between places as far apart as the way by the bridge:
    # a degree of the meridian is pi/180 of the radius.
    km = haversine_km(SOUTH, BRIDGE) + haversine_km(BRIDGE, NORTH)
    as_far = Place(47.25 + km / haversine_km(Place(47, 0), Place(48, 0)), -122.44)

    assert drive_north() == pytest.approx(drive_s(SOUTH, as_far, TravelTerms()), abs=1)
    assert drive_north() > straight_s


def test_changed_and_taken_off_it_counts_no_more():
    straight_s = drive_north()
    row = draw()
    actions.change_barrier(row, asker=makers.clock(), **RIVER | {"crossings": "47.27, -122.44"})
    # The bridge lies on the straight way now; two halves round up to a second more at most.
    assert drive_north() == pytest.approx(straight_s, abs=1)
    actions.take_barrier_off(Barrier.objects.get(), asker=makers.clock())
    assert drive_north() == straight_s


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"line": "47.27, -123.0"}, "a line of two points or more"),
        ({"line": "47.27, -123.0\n47.27, -123.0"}, "a line of two points or more"),
        ({"line": ""}, "a line of two points or more"),
        ({"crossings": ""}, "needs a bridge or another crossing"),
        ({"line": "\n".join(f"47.{n:03}, -122.4" for n in range(201))}, "at most 200 points"),
        ({"crossings": "\n".join(f"47.{n:03}, -122.4" for n in range(51))}, "50 crossings"),
    ],
)
def test_a_barrier_that_cannot_be_is_refused_in_words(told, words):
    with pytest.raises(BarrierRefused, match=words):
        draw(**told)
    assert not Barrier.objects.exists()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"line": "47.27, -123.0\nthe bend"}, "Line 2, “the bend”, is no point of its course"),
        ({"crossings": "bridge"}, "Line 1, “bridge”, is no crossing"),
        ({"line": "47.27, -123.0\n0, 0"}, "The point of its course on line 2 has latitude 0"),
        ({"crossings": "91, -122.5"}, "The crossing on line 1 has latitude 91"),
    ],
)
def test_a_point_that_cannot_be_is_named_with_its_line(told, words):
    with pytest.raises(PlaceRefused, match=words):
        draw(**told)


@pytest.mark.parametrize("crossings", ["-122.5, 47.27", "47.27, 122.5"])
def test_a_point_far_from_the_sites_is_held_against_the_usual_slips(crossings):
    site(1)
    with pytest.raises(PlaceRefused, match="The crossing on line 1"):
        draw(crossings=crossings)


def test_rounds_ahead_are_read_anew_and_undone_is_as_it_was():
    andrea, _ = crew()
    Round.objects.create(technician=andrea, day=TUESDAY, version=1)
    actions.draw_barrier(asker=makers.clock().acting(group="a" * 32), **RIVER)
    assert Round.objects.get().version == 2
    history.undo("a" * 32, asker=makers.clock())
    say_crew_put_back("a" * 32, asker=makers.clock())
    assert not Barrier.objects.standing().exists()
    assert Round.objects.get().version == 3


def test_nobody_writes_over_what_another_drew_meanwhile():
    draw()
    first, second = Barrier.objects.get(), Barrier.objects.get()
    actions.change_barrier(first, asker=makers.clock(), **RIVER | {"name": "Salt River"})
    with pytest.raises(ChangedMeanwhile):
        actions.take_barrier_off(second, asker=makers.clock())
