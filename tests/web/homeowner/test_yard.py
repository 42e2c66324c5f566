"""Your yard: who comes when, whether it works, and only what this household may read."""

import gzip
from datetime import date, timedelta

import pytest
import time_machine

from drainservice.accounts.actions import end_links, enter_household, join_household
from drainservice.accounts.models import Change
from drainservice.inspections.actions import after_inspection, record_inspection
from drainservice.inspections.models.record import InspectionRecord, LookRecord
from drainservice.register.actions import enter_agreement, give_part
from drainservice.visits.models import Answer
from tests import makers
from tests.web.homeowner.conftest import link_of

pytestmark = pytest.mark.django_db


def record(system, on, *, passed, number="11111111-1111-1111-1111-111111111111"):
    from uuid import UUID

    inspection = record_inspection(
        system,
        asker=makers.as_account(makers.make_account(f"t{on:%y%m}")),
        record=InspectionRecord(
            id=UUID(number), on=on, looks=(LookRecord("pump", passed=passed, pump_position=1),)
        ),
    )
    after_inspection(asker=makers.clock(), inspection_id=str(inspection.pk))


def test_asks_in_its_first_sentence_whether_an_offered_day_suits(browser, yard, offer):
    page = browser.get(yard).content.decode()

    assert "<h1>May we come Wednesday 12 May 2027, 8 to 10 am?</h1>" in page
    assert "Yes, come" in page
    assert "Another day" in page
    assert "Not this year" in page
    assert "This is not my house" in page


def test_says_in_its_first_sentence_who_comes_when(browser, yard, home, make_visit):
    make_visit(home[2], [home[3]], agree=True)

    page = browser.get(yard).content.decode()

    assert "<h1>Andrea comes Wednesday 12 May 2027, 8 to 10 am.</h1>" in page


def test_says_plainly_that_the_pump_works(browser, yard, home):
    record(home[3], date(2027, 5, 3), passed=True)

    page = browser.get(yard).content.decode()

    assert "It works: the pump ran, the water fell, and it stopped." in page
    assert "3 May 2027" in page


def test_says_plainly_that_a_dead_pump_does_not_work(browser, yard, home):
    record(home[3], date(2027, 5, 3), passed=False)

    page = browser.get(yard).content.decode()

    assert "The pump does not work." in page
    assert "It works" not in page


def test_two_systems_of_a_site_each_have_their_part(browser, yard, home):
    makers.make_system(home[2], place="behind the shed")

    page = browser.get(yard).content.decode()

    assert "The drain by the driveway" in page
    assert "The drain behind the shed" in page


def test_a_tenant_sees_visit_and_result_but_no_agreement_and_no_advice(browser, yard, home, offer):
    landlord_page_first = home
    enter_agreement(
        landlord_page_first[1], asker=makers.clock(), systems=[home[3]], starts_on=date(2026, 1, 1)
    )
    tenant = makers.make_person("Ari Stonebrook", mail="ari@example.net")
    household = enter_household(asker=makers.clock(), name="Stonebrook")
    join_household(tenant, household, asker=makers.clock(), starts_on=date(2027, 1, 1))
    give_part(tenant, home[2], asker=makers.clock(), part="lives", starts_on=date(2027, 1, 1))

    theirs = browser.get(link_of(tenant, household)).content.decode()
    owners = browser.get(yard).content.decode()

    assert "What we agreed" in owners
    assert "What we agreed" not in theirs
    assert "Yes, come" in theirs


def test_who_is_only_told_is_not_asked(browser, home, offer):
    told = makers.make_person("Ari Stonebrook")
    household = makers.make_household(told, name="Stonebrook")
    give_part(told, home[2], asker=makers.clock(), part="told", starts_on=date(2027, 1, 1))
    address = link_of(told, household)

    page = browser.get(address).content.decode()

    assert "12 May 2027" in page
    assert "Yes, come" not in page
    assert browser.post(f"{address}visits/{offer.pk}/yes").status_code == 404
    assert not Answer.objects.exists()


def test_history_begins_with_the_households_own_time(browser, home):
    record(home[3], date(2025, 5, 3), passed=True)
    record(home[3], date(2027, 5, 3), passed=True, number="2" * 32)
    newcomer = makers.make_person("Ari Stonebrook")
    household = makers.make_household(newcomer, name="Stonebrook")
    give_part(newcomer, home[2], asker=makers.clock(), part="decides", starts_on=date(2027, 1, 1))

    page = browser.get(link_of(newcomer, household)).content.decode()

    assert "3 May 2027" in page
    assert "2025" not in page


def test_a_neighbour_sees_nothing_of_ours(browser, yard, next_door, offer):
    page = browser.get(next_door).content.decode()

    assert "114 Maple Ridge Rd" not in page
    assert "Yes, come" not in page


def test_looking_writes_nothing_and_leaves_no_cookie(browser, yard, offer):
    before = Change.objects.count()

    answer = browser.get(yard)
    browser.get(f"{yard}?say=yes")
    browser.get(f"{yard}visits/{offer.pk}/yes")
    browser.get(f"{yard}storm")

    assert not answer.cookies
    assert Change.objects.count() == before
    assert not Answer.objects.exists()


def test_a_link_page_is_kept_out_of_caches_indexes_and_referrers(browser, yard):
    answer = browser.get(yard)

    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Robots-Tag"] == "noindex"
    assert answer["Referrer-Policy"] == "no-referrer"


def test_the_page_has_no_script_and_stays_small(browser, yard, home, offer):
    makers.make_system(home[2], place="behind the shed")
    record(home[3], date(2027, 5, 3), passed=True)

    content = browser.get(yard).content

    assert b"<script" not in content
    assert len(content) < 20_000
    assert len(gzip.compress(content)) < 5_000


def test_a_mails_button_leads_to_its_own_question(browser, home, offer):
    address = link_of(home[0], home[1], purpose="answer", visit_id=offer.pk, sequence=0)

    answer = browser.get(f"{address}?say=another_day")

    assert answer["Location"] == f"{address}visits/{offer.pk}/another_day"


def test_a_tampered_link_is_not_found(browser, yard):
    assert browser.get(yard[:-2] + ("A" if yard[-2] != "A" else "B") + "/").status_code == 404


def test_an_old_link_says_so_and_offers_a_new_one(browser, yard, home):
    end_links(home[1], asker=makers.clock())

    answer = browser.get(yard)

    assert answer.status_code == 410
    assert 'action="/y/new"' in answer.content.decode()
    assert not answer.cookies


def test_a_link_of_a_mail_ends_a_month_after_its_visit(browser, home, offer):
    address = link_of(home[0], home[1], purpose="answer", visit_id=offer.pk, sequence=0)
    over = offer.window_ends_at

    with time_machine.travel(over + timedelta(days=29), tick=False):
        assert browser.get(address).status_code == 200
    with time_machine.travel(over + timedelta(days=31), tick=False):
        assert browser.get(address).status_code == 410


def test_a_spanish_household_reads_its_page_in_spanish(browser, home, offer):
    from drainservice.accounts import history

    history.keep(home[1], asker=makers.clock(), language="es")

    page = browser.get(link_of(home[0], home[1])).content.decode()

    assert '<html lang="es">' in page
    assert "mayo" in page
    assert "May we come" not in page
    assert "Yes, come" not in page


def test_a_photo_of_its_own_time_is_shown_to_the_household_alone(
    browser, yard, next_door, home, dispatcher
):
    import io
    import uuid

    from PIL import Image

    from drainservice.register.actions import keep_photo

    out = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(out, "PNG")
    number = uuid.uuid4()
    keep_photo(
        home[3],
        asker=dispatcher,
        photo_id=number,
        octets=out.getvalue(),
        of_what="the lid",
        taken_at=makers.later(days=-7),
    )

    assert browser.get(f"{yard}photos/{number}")["Content-Type"] == "image/jpeg"
    foreign = browser.get(f"{next_door}photos/{number}")
    missing = browser.get(f"{next_door}photos/{uuid.uuid4()}")
    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content
