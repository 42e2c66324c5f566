"""Answers by link: one button each, written down once, another house cannot give them."""

import pytest

from drainservice.accounts.models import Household
from drainservice.visits.models import Answer, State, Visit
from tests import makers

pytestmark = pytest.mark.django_db


def say(browser, yard, visit, word, **more):
    return browser.post(f"{yard}visits/{visit.pk}/{word}", {"sequence": visit.sequence} | more)


def test_yes_agrees_the_visit_and_says_what_to_prepare(browser, yard, offer):
    answer = say(browser, yard, offer, "yes")

    page = browser.get(answer["Location"]).content.decode()
    assert Visit.objects.get(pk=offer.pk).state == State.AGREED
    assert "<h1>Thank you: we come Wednesday 12 May 2027, 8 to 10 am.</h1>" in page
    assert "leave the gate open" in page


def test_another_day_keeps_days_and_note_for_a_person(browser, yard, offer):
    answer = say(browser, yard, offer, "another_day", day=["Monday", "mornings"], note="after 9")

    stored = Answer.objects.get()
    assert stored.note == "Days that suit: Monday, mornings. after 9"
    assert Visit.objects.get(pk=offer.pk).needs_person_since == makers.MONDAY
    assert "we look for another day" in browser.get(answer["Location"]).content.decode()


def test_not_this_year_awaits_a_person(browser, yard, offer):
    say(browser, yard, offer, "not_this_year")

    assert Answer.objects.get().word == "not_this_year"
    assert Visit.objects.get(pk=offer.pk).state == State.OFFERED


def test_not_my_house_asks_once_more_and_then_stops_asking(browser, yard, offer, home):
    page = browser.get(f"{yard}visits/{offer.pk}/not_my_house").content.decode()
    say(browser, yard, offer, "not_my_house")

    assert "Is this not your house?" in page
    assert Household.objects.get(pk=home[1].pk).asking_stopped_at == makers.MONDAY


def test_the_same_answer_twice_is_one_answer(browser, yard, offer):
    say(browser, yard, offer, "not_this_year")
    say(browser, yard, offer, "not_this_year")

    assert Answer.objects.count() == 1


def test_an_answer_from_an_old_page_is_an_answer_to_the_old_time(browser, yard, offer, home):
    from datetime import time

    from drainservice.accounts.models import Account
    from drainservice.visits.actions import move_visit
    from drainservice.visits.queries import Window

    office = makers.as_account(Account.objects.get(handle="dora"))
    thursday = Window(makers.later(days=3).date(), time(13), time(15))
    move_visit(offer, to=thursday, asker=office)

    browser.post(f"{yard}visits/{offer.pk}/yes", {"sequence": 0})

    assert Answer.objects.get().sequence == 0
    assert Visit.objects.get(pk=offer.pk).state == State.OFFERED


def test_a_note_too_long_is_refused_in_words_and_kept(browser, yard, offer):
    answer = say(browser, yard, offer, "another_day", note="x" * 1001)

    assert answer.status_code == 409
    assert "say it in fewer words" in answer.content.decode()
    assert "x" * 1001 in answer.content.decode()
    assert not Answer.objects.exists()


def test_a_visit_that_is_over_has_nothing_to_answer(browser, yard, offer):
    from drainservice.accounts.models import Account
    from drainservice.visits.actions import call_off_visit

    office = makers.as_account(Account.objects.get(handle="dora"))
    call_off_visit(offer, asker=office, by="us", because="snow")

    shown = browser.get(f"{yard}visits/{offer.pk}/yes")
    answer = say(browser, yard, offer, "yes")

    assert "nothing to answer here any more" in shown.content.decode()
    assert answer.status_code == 409
    assert "there is nothing to answer" in answer.content.decode()


def test_a_neighbours_visit_looks_like_one_that_is_not_there(browser, next_door, offer):
    foreign = say(browser, next_door, offer, "yes")
    missing = browser.post(f"{next_door}visits/999999/yes", {"sequence": 0})

    assert foreign.status_code == missing.status_code == 404
    assert foreign.content == missing.content
    assert not Answer.objects.exists()


def test_a_word_that_is_none_is_not_found(browser, yard, offer):
    assert say(browser, yard, offer, "maybe").status_code == 404


def test_a_link_that_posts_too_often_must_wait(browser, yard, offer):
    # Twenty at once, then one every three minutes.
    answers = [say(browser, yard, offer, "not_this_year").status_code for _ in range(21)]

    assert answers == [302] * 20 + [429]


def test_an_agreed_visit_is_a_calendar_entry_that_asks_nobody(browser, yard, home, make_visit):
    from icalendar import Calendar

    visit = make_visit(home[2], [home[3]], agree=True)

    answer = browser.get(f"{yard}visits/{visit.pk}/visit.ics")

    # RFC 5546, 3.2.1: a publication names its organizer and no attendee.
    calendar = Calendar.from_ical(answer.content)
    entry = calendar.walk("VEVENT")[0]
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert "attachment" in answer["Content-Disposition"]
    assert calendar["METHOD"] == "PUBLISH"
    assert "ATTENDEE" not in entry
    assert entry["UID"] == str(visit.calendar_uid)
    assert entry["DTSTART"].dt == visit.window_starts_at


def test_an_offer_is_no_calendar_entry_yet(browser, yard, offer):
    assert browser.get(f"{yard}visits/{offer.pk}/visit.ics").status_code == 404


def test_a_neighbour_gets_no_calendar_entry(browser, next_door, home, make_visit):
    visit = make_visit(home[2], [home[3]], agree=True)

    assert browser.get(f"{next_door}visits/{visit.pk}/visit.ics").status_code == 404
