"""Sites: a new one with its people and its system; how to get in."""

import pytest

from drainservice.accounts.codes import unseal
from drainservice.accounts.models import Household, Person
from drainservice.register.models import Part, Site, System
from tests.web.dispatcher.conftest import page
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db


def test_a_site_its_people_and_its_system_are_entered_page_by_page(yard, desk):
    county = yard.site.jurisdiction_id
    told = posted(desk.get("/sites/new"), address="12 Quarry St", jurisdiction=county)
    answer = desk.post("/sites/new", told)
    site = Site.objects.get(address="12 Quarry St")
    assert answer["Location"] == f"/sites/{site.pk}/people/new?done=entered"

    address = f"/sites/{site.pk}/people/new"
    told = posted(
        desk.get(address), name="Mara Finch", mail="mara@example.com", parts=["decides", "lives"]
    )
    desk.post(address, told)
    assert set(Part.objects.filter(site=site).values_list("part", flat=True)) == {
        "decides",
        "lives",
    }

    address = f"/sites/{site.pk}/systems/new"
    told = posted(desk.get(address), place="under the deck", installed_on="2024-06-01")
    answer = desk.post(address, told)
    system = System.objects.get(site=site)
    assert answer["Location"].startswith(f"/systems/{system.code}?done=entered")
    assert system.installed_span == "day"


def test_a_site_sent_twice_is_entered_once(yard, desk):
    told = posted(
        desk.get("/sites/new"), address="12 Quarry St", jurisdiction=yard.site.jurisdiction_id
    )
    desk.post("/sites/new", told)
    desk.post("/sites/new", told)
    assert Site.objects.filter(address="12 Quarry St").count() == 1


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("zone", "America/Nowhere", "is no time zone"),
        ("latitude", "47.1", "Give both latitude and longitude, or neither."),
        ("address", "", "This field is required."),
    ],
)
def test_a_site_that_cannot_be_says_why_and_keeps_what_was_typed(
    yard, desk, field, typed, sentence
):
    told = posted(
        desk.get("/sites/new"),
        **{"address": "12 Quarry St", "city": "Tarnford", "jurisdiction": yard.site.jurisdiction_id}
        | {field: typed},
    )
    answer = desk.post("/sites/new", told)
    assert answer.status_code == 422
    assert sentence in page(answer)
    assert "Tarnford" in page(answer)
    assert Site.objects.count() == 1


def test_a_mail_address_that_is_none_is_refused_with_an_example(yard, desk):
    address = f"/sites/{yard.site_id}/people/new"
    told = posted(desk.get(address), name="Mara Finch", mail="mara at home", parts=["told"])
    answer = desk.post(address, told)
    assert "must be one address like name@example.com" in page(answer)
    assert not Person.objects.filter(name="Mara Finch").exists()


def test_a_second_person_joins_the_household_that_is_there(yard, desk, home):
    address = f"/sites/{yard.site_id}/people/new"
    told = posted(
        desk.get(address), name="Theo Greenlaw", household=str(home[1].pk), parts=["lives"]
    )
    desk.post(address, told)
    assert Household.objects.count() == 1
    assert Person.objects.get(name="Theo Greenlaw").memberships.get().household == home[1]


def test_a_household_of_strangers_cannot_be_chosen(yard, desk, neighbour):
    address = f"/sites/{yard.site_id}/people/new"
    told = posted(
        desk.get(address), name="Theo", household=str(neighbour.household_id), parts=["lives"]
    )
    assert desk.post(address, told).status_code == 422


def test_a_part_ends_and_stays_in_history(yard, desk):
    part = yard.site.parts.get(part="pays")
    desk.post(f"/sites/{yard.site_id}/parts/{part.pk}/end")
    part.refresh_from_db()
    assert f"{part.ends_on}" == "2027-05-10"


def test_a_gate_code_is_kept_encrypted_and_the_day_confirmed(yard, desk):
    address = f"/sites/{yard.site_id}/access"
    told = posted(desk.get(address), codes="4711", access_note="left gate", is_confirmed="on")
    desk.post(address, told)
    site = Site.objects.get(pk=yard.site_id)
    assert "4711" not in site.codes
    assert unseal(site.codes) == "4711"
    assert f"{site.access_confirmed_on}" == "2027-05-10"
    assert "4711" not in page(desk.get(f"/sites/{yard.site_id}"))


def test_a_site_that_is_not_there_is_not_found(yard, desk):
    assert desk.get("/sites/999999").status_code == 404
    assert desk.post(f"/sites/{yard.site_id}/parts/999999/end").status_code == 404


def test_looking_changes_nothing(yard, desk, changes):
    before = changes()
    for address in ("", "/access", "/people/new", "/systems/new"):
        desk.get(f"/sites/{yard.site_id}{address}")
    assert changes() == before
