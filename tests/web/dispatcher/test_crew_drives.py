"""How drives are reckoned, on the crew's page and on a day's rounds: barriers, roads, lessons."""

import re

import pytest

from drainservice.accounts.models import Account
from drainservice.engine.rounds.roads.learning import Factor, Factors
from drainservice.engine.units import UnitSystem
from drainservice.visits.actions import road_service
from drainservice.visits.models import Barrier
from drainservice.web.dispatcher.drives_words import say_drives
from tests import makers
from tests.visits.busy_week import TUESDAY, booked, site
from tests.web.dispatcher.conftest import page
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db
ADD = "/crew/add/barrier"
RIVER = {"name": "Salt Creek", "line": "47.27, -123.0\n47.27, -121.0", "crossings": "47.27, -122.5"}
ROUNDS = "/rounds/2027-05-11"


def words(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", page(answer)).split())


def test_water_is_drawn_shown_changed_and_taken_off(desk):
    answer = desk.post(ADD, posted(desk.get(ADD), **RIVER), follow=True)
    assert "Salt Creek , 1 crossing." in words(answer)
    row = Barrier.objects.get()
    path = f"/crew/change/barrier/{row.pk}"
    shown = posted(desk.get(path))
    assert shown["line"].split() == RIVER["line"].split()
    told = posted(desk.get(path), crossings="47.27, -122.5\n47.27, -122.1")
    assert "Salt Creek , 2 crossings." in words(desk.post(path, told, follow=True))
    desk.post(path, {"act": "off"})
    assert "Salt Creek" not in words(desk.get("/crew"))


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"crossings": ""}, "mark at least one"),
        ({"line": "47.27, -123.0"}, "draw its course"),
        ({"line": "north\nsouth"}, "Line 1, “north”, is no point of its course"),
    ],
)
def test_water_that_cannot_be_is_refused_and_stays_on_the_page(desk, told, said):
    answer = desk.post(ADD, posted(desk.get(ADD), **RIVER | told))
    assert answer.status_code == 422
    assert said in page(answer)
    assert "Salt Creek" in page(answer)
    assert not Barrier.objects.exists()


def test_without_a_road_service_the_crews_page_tells_the_estimate_alone(desk, settings):
    settings.ROUTING_URL = ""
    said = words(desk.get("/crew"))
    assert "A drive is estimated as 1.3 times the straight way" in said
    assert "road service" not in said


def test_a_road_service_that_fails_is_told_on_both_pages(desk, settings):
    settings.ROUTING_URL = "http://127.0.0.1:9"
    road_service.service_failed(at=makers.MONDAY, words="The road service answers 500.")
    booked(site(1, north=0.05), Account.objects.get(handle="andrea"), TUESDAY, 8)
    assert "The road service answers 500. What it" in words(desk.get("/crew"))
    said = words(desk.get(ROUNDS))
    # To the site and home again.
    assert "The road service answers 500. What it has not told is estimated. 2 of the 2" in said


def test_what_the_firms_drives_taught_is_told_by_distance():
    found = (Factor(1, None, 1.124, 64), Factor(1, 2, 1.3, 31), Factor(3, None, 0.9, 40))
    assert say_drives(1.3, Factors(found), UnitSystem.METRIC) == (
        "A drive is estimated as 1.3 times the straight way, slower at first than farther out, "
        "and 2 min to park and walk. Your own drives correct it: 3 km to 10 km, 12 % longer "
        "(64 drives); 30 km and more, 10 % shorter (40 drives)."
    )
    near = say_drives(1.3, Factors((Factor(0, None, 1.0, 30),)), UnitSystem.TRADE)
    # 3 km are 1.86 miles of 1.609344 km.
    assert near.endswith("up to 1.9 mi, as long as estimated (30 drives).")
