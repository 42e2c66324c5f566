"""Settings: the firm's row with its one question, its people, places and types, for the owner."""

import pytest

from drainservice.accounts.models import Account, Firm
from drainservice.register.models import EquipmentType, Jurisdiction
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(desk):
    """The owner's screen."""
    makers.make_account("olga", "owner")
    return sign_in("olga")


def test_the_one_question_is_open_until_it_is_answered(owner):
    assert "One question is open" in page(owner.get("/settings"))
    owner.post("/settings", posted(owner.get("/settings"), dead_of_100="12"))
    assert Firm.objects.get().dead_of_100 == 12
    assert "You said that 12 of 100 pumps do not pump" in page(owner.get("/settings"))


def test_a_share_that_cannot_be_is_refused_and_kept_on_the_page(owner):
    answer = owner.post("/settings", posted(owner.get("/settings"), target_yard="1.5"))
    assert answer.status_code == 422
    assert 'value="1.5"' in page(answer)
    assert Firm.objects.get().target_yard == 0.20


def test_a_zone_that_no_clock_knows_is_refused(owner):
    answer = owner.post("/settings", posted(owner.get("/settings"), zone="Fernhill"))
    assert "is no time zone; write it like America/Chicago." in page(answer)


def test_two_owners_do_not_overwrite_each_other(owner):
    told = posted(owner.get("/settings"), name="Old Drains")
    owner.post("/settings", posted(owner.get("/settings"), name="New Drains"))
    assert "Someone changed this while you were looking at it." in page(
        owner.post("/settings", told)
    )
    assert Firm.objects.get().name == "New Drains"


def test_somebody_new_is_let_in_by_a_link_that_works_once(owner, client):
    told = posted(
        owner.get("/settings/new/account"), person="Bruno Alder", name="bruno", role="technician"
    )
    owner.post("/settings/new/account", told)
    account = Account.objects.get(name="bruno")
    assert (account.handle, account.has_usable_password()) == ("bruno", False)
    shown = owner.post("/settings/people/bruno/link")
    path = shown.context["link"].partition("/in/")[2]
    assert client.post(f"/in/{path}").status_code == 302
    assert client.post(f"/in/{path}").status_code == 404


def test_a_place_is_entered_with_its_wet_seasons(owner):
    told = posted(
        owner.get("/settings/new/jurisdiction"),
        name="Ferry County",
        wet_seasons="10-15 to 04-15\n06-01 to 07-15",
        frost_from="12-01",
        frost_until="02-28",
    )
    owner.post("/settings/new/jurisdiction", told)
    place = Jurisdiction.objects.get(name="Ferry County")
    seasons = place.wet_seasons.order_by("pk").values_list("starts", "ends")
    assert list(seasons) == [("10-15", "04-15"), ("06-01", "07-15")]


@pytest.mark.parametrize("season", ["10-32 to 04-15", "autumn", "10-15"])
def test_a_season_that_no_year_has_is_refused(owner, season):
    told = posted(owner.get("/settings/new/jurisdiction"), name="Ferry County", wet_seasons=season)
    answer = owner.post("/settings/new/jurisdiction", told)
    assert answer.status_code == 422
    assert "is no day of the year; write month-day" in page(answer)
    assert not Jurisdiction.objects.filter(name="Ferry County").exists()


def test_a_type_whose_shortest_is_above_its_longest_is_refused(owner):
    told = posted(
        owner.get("/settings/new/type"),
        part="pump",
        name="Standby, 1/3 hp",
        shortest_days="400",
        longest_days="90",
    )
    answer = owner.post("/settings/new/type", told)
    assert answer.status_code == 422
    assert "That cannot be saved" in page(answer)
    assert not EquipmentType.objects.exists()


@pytest.mark.parametrize("address", ["/settings", "/settings/new/account"])
def test_a_dispatcher_may_not_change_the_firm(desk, address):
    assert desk.get(address).status_code == 403
    assert desk.post(address).status_code == 403


def test_a_setting_nobody_knows_is_not_found(owner):
    assert owner.get("/settings/new/colour").status_code == 404
