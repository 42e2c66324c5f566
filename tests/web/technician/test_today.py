"""The day's round: order, way in, and the acts of the road."""

import pytest

from drainservice.accounts.models import Change
from drainservice.visits.models import State, Visit
from tests import makers

pytestmark = pytest.mark.django_db


def test_shows_the_next_visit_in_its_first_sentence(phone, visit):
    page = phone.get("/today").content.decode()

    assert "<h1>Next: 114 Maple Ridge Rd, 8 to 10.</h1>" in page
    assert "2 h to spare" in page  # there at 8, promised until 10


def test_says_plainly_that_a_day_is_free(phone):
    assert "No visits on Mon 10 May." in phone.get("/today").content.decode()


def test_shows_gate_dog_code_and_telephone_on_the_day(phone, visit):
    page = phone.get("/today").content.decode()

    assert "Lift the latch" in page
    assert "Biscuit" in page
    assert "4711" in page
    assert "tel:3605550137" in page


def test_hides_the_way_in_two_days_before(phone, site, home, make_visit):
    make_visit(site, {home[3]: ["lid"]}, days=2)

    page = phone.get("/rounds/2027-05-12/andrea").content.decode()

    assert "114 Maple Ridge Rd" in page
    assert "4711" not in page
    assert "Biscuit" not in page
    assert "3605550137" not in page


def test_another_technicians_round_looks_like_one_that_is_not_there(phone, visit):
    makers.make_account("bruno")

    foreign = phone.get("/rounds/2027-05-10/bruno")
    missing = phone.get("/rounds/2027-05-10/nobody")

    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content


def test_the_office_sees_any_round(office, visit):
    page = office.get("/rounds/2027-05-10/andrea").content.decode()

    assert "the round of Andrea" in page


def test_a_day_that_is_none_is_not_found(phone, technician):
    assert phone.get("/rounds/2027-02-31/andrea").status_code == 404


def test_looking_writes_nothing(phone, visit):
    before = Change.objects.count()

    phone.get("/today")
    phone.get("/rounds/2027-05-10/andrea")

    assert Change.objects.count() == before


def test_setting_out_is_written_down_once(phone, visit):
    phone.post(f"/today/{visit.pk}/set-out")
    phone.post(f"/today/{visit.pk}/set-out")

    assert Visit.objects.get(pk=visit.pk).set_out_at == makers.MONDAY
    assert Change.objects.filter(subject="visits.visit", after__has_key="set_out_at").count() == 2


def test_at_the_pit_is_where_the_work_begins(phone, visit):
    phone.post(f"/today/{visit.pk}/at-pit")

    assert Visit.objects.get(pk=visit.pk).state == State.AT_PIT


def test_with_one_system_the_pit_opens_at_once(phone, site, home, make_visit):
    visit = make_visit(site, {home[3]: ["lid"]})

    answer = phone.post(f"/today/{visit.pk}/at-pit")

    assert answer["Location"] == f"/pits/{home[3].code}?visit={visit.pk}"


def test_a_lid_that_could_not_be_reached_keeps_its_why(phone, visit):
    phone.post(f"/today/{visit.pk}/not-reached", {"why": "gate", "note": "new lock"})

    stored = Visit.objects.get(pk=visit.pk)
    assert stored.state == State.NOT_REACHED
    assert stored.not_reached_because == "the gate was locked: new lock"


def test_without_a_why_it_is_refused_in_words(phone, visit):
    answer = phone.post(f"/today/{visit.pk}/not-reached", {})

    assert answer.status_code == 422
    assert "Say why the lid could not be reached." in answer.content.decode()
    assert Visit.objects.get(pk=visit.pk).state == State.AGREED


def test_setting_out_to_a_visit_not_agreed_is_refused_in_words(phone, site, home, make_visit):
    visit = make_visit(site, {home[3]: ["lid"]}, agree=False)

    answer = phone.post(f"/today/{visit.pk}/set-out")

    assert answer.status_code == 409
    assert "This visit is offered now" in answer.content.decode()


@pytest.mark.parametrize("act", ["set-out", "at-pit", "not-reached"])
def test_a_technician_of_another_round_finds_nothing_to_act_on(visit, act):
    from tests.web.technician.conftest import sign_in

    makers.make_account("bruno")
    bruno = sign_in("bruno")

    foreign = bruno.post(f"/today/{visit.pk}/{act}", {"why": "gate"})
    missing = bruno.post(f"/today/999999/{act}", {"why": "gate"})

    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content


@pytest.mark.parametrize("address", ["/today", "/rounds/2027-05-10/andrea", "/pits/K7Q-4MD"])
def test_a_stranger_is_sent_to_sign_in(client, db, address):
    makers.make_firm()

    assert client.get(address)["Location"] == "/sign-in"


def test_an_act_by_looking_is_not_allowed(phone, visit):
    assert phone.get(f"/today/{visit.pk}/set-out").status_code == 405
