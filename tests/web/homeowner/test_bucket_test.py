"""The bucket test: this pit's own water, and what was seen."""

import pytest

from drainservice.inspections.models import SelfCheck
from drainservice.register.actions import change_part, known
from tests import makers

pytestmark = pytest.mark.django_db


def test_tells_this_pits_own_amount_of_water(browser, yard, home):
    # 8.3 ft2 x 1 ft from off to on = 8.3 ft3 = 62.1 gal; at 8 gpm that is 7.8 minutes.
    page = browser.get(f"{yard}bucket-test/{home[3].code}").content.decode()

    assert "for about 8 minutes (62.1 gal)" in page


def test_tells_the_amount_that_was_poured_where_it_was_measured(browser, yard, home):
    # 0.1 m3 = 26.4 gal; at 8 gpm that is 3.3 minutes.
    change_part(home[3].pit, asker=makers.clock(), **known("measured", water_to_start_m3=0.1))

    page = browser.get(f"{yard}bucket-test/{home[3].code}").content.decode()

    assert "for about 3 minutes (26.4 gal)" in page


def test_says_so_where_nobody_knows_how_much_it_takes(browser, yard, home):
    bare = makers.make_system(home[2], parts=False)

    page = browser.get(f"{yard}bucket-test/{bare.code}").content.decode()

    assert "How much your drain takes is not known" in page


def test_lifts_nothing_and_opens_nothing(browser, yard, home):
    page = browser.get(f"{yard}bucket-test/{home[3].code}").content.decode()

    assert "Lift no lid, lift nothing heavy" in page


def test_keeps_what_was_seen(browser, yard, home):
    browser.post(
        f"{yard}bucket-test/{home[3].code}",
        {"answer": "ran_and_stopped", "outlet_seen": "yes", "odd_noise": "no", "note": "quick"},
    )

    check = SelfCheck.objects.get()
    assert (check.answer, check.outlet_seen, check.odd_noise) == ("ran_and_stopped", True, False)
    assert check.water_stood_too_long is None
    assert check.person == home[0]
    assert check.on == makers.MONDAY.date()


def test_sent_twice_is_one_answer(browser, yard, home):
    browser.post(f"{yard}bucket-test/{home[3].code}", {"answer": "could_not"})
    browser.post(f"{yard}bucket-test/{home[3].code}", {"answer": "could_not"})

    assert SelfCheck.objects.count() == 1


def test_who_saw_it_fail_is_asked_to_ring(browser, yard, home):
    answer = browser.post(f"{yard}bucket-test/{home[3].code}", {"answer": "did_not_start"})

    page = browser.get(answer["Location"]).content.decode()
    assert "Please ring us today." in page
    assert "tel:555-0100" in page


def test_without_an_answer_it_says_so_and_keeps_the_note(browser, yard, home):
    answer = browser.post(f"{yard}bucket-test/{home[3].code}", {"note": "a frog"})

    assert answer.status_code == 422
    assert "Choose what you saw" in answer.content.decode()
    assert "a frog" in answer.content.decode()
    assert not SelfCheck.objects.exists()


def test_a_neighbours_pit_looks_like_one_that_is_not_there(browser, next_door, home):
    foreign = browser.post(f"{next_door}bucket-test/{home[3].code}", {"answer": "could_not"})
    missing = browser.post(f"{next_door}bucket-test/ZZZ-ZZZ", {"answer": "could_not"})

    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content
    assert not SelfCheck.objects.exists()
