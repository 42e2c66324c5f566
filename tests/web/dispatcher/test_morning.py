"""Morning: who needs me now, in a letter of at most seven sentences."""

import pytest

from drainservice.inspections.actions import find_due, flag_overdue
from drainservice.visits.actions import answer_visit
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db


def test_a_quiet_morning_says_that_no_visit_stands(desk):
    answer = desk.get("/")
    assert "No visit</a> is agreed for today." in page(answer)


def test_what_is_past_comes_before_what_waits(yard, desk, offered, dispatcher):
    # Built 2021-06-01 and never looked at: its pump test fell due before the wet season of 2021.
    flag_overdue(asker=makers.clock())
    person = yard.site.parts.first().person
    answer_visit(
        offered, asker=dispatcher, word="another_day", by="telephone", person=person, sequence=0
    )
    words = page(desk.get("/"))
    assert words.index("1 pump test is past its day") < words.index("1 answer waits")
    assert words.index("1 answer waits") < words.index("No visit</a>")


def test_the_letter_has_at_most_seven_sentences(yard, desk, offered):
    flag_overdue(asker=makers.clock())
    sentences = desk.get("/").context["sentences"]
    assert 1 <= len(sentences) <= 7


def test_the_crew_hours_are_said_to_be_assumed(desk):
    # One technician (Andrea), 6 h a day.
    words = page(desk.get("/"))
    assert "Crew hours, assumed" in words
    assert "1 technician, 6 h a day, 5 days a week" in words


def test_hours_due_stand_against_thirty_hours_of_one_technician(yard, desk):
    # 1 technician x 6 h x 5 days = 30 h a week, drawn as "of 30 h".
    assert "of 30 h" in page(desk.get("/"))


def test_a_technician_is_sent_to_the_round(desk):
    answer = sign_in("andrea").get("/")
    assert answer.status_code == 302
    assert answer["Location"] == "/today"


def test_nobody_is_sent_to_sign_in(desk, client):
    assert client.get("/")["Location"] == "/sign-in"


def test_looking_at_the_morning_changes_nothing(yard, desk, changes):
    before = changes()
    desk.get("/")
    assert changes() == before
    assert desk.post("/").status_code == 405


def test_a_visit_of_today_names_who_goes(yard, desk, dispatcher, offered, at_eight):
    at_eight.shift(86400)  # Tuesday, the day of the visit
    find_due(asker=makers.clock(makers.later(days=1)))
    words = page(sign_in("dora").get("/"))
    assert "1 visit stands</a> for today, by Andrea; the first from 8." in words


def test_a_round_of_today_leads_to_its_page(yard, desk, offered, at_eight):
    at_eight.shift(86400)
    assert 'href="/rounds/2027-05-11/andrea">Andrea</a>' in page(sign_in("dora").get("/"))


def test_an_offer_that_was_answered_is_not_counted_as_unanswered(yard, desk, offered, dispatcher):
    assert "1 offer has</a> no answer yet" in page(desk.get("/"))
    person = yard.site.parts.first().person
    answer_visit(
        offered, asker=dispatcher, word="another_day", by="telephone", person=person, sequence=0
    )
    words = page(desk.get("/"))
    assert "no answer yet" not in words
    assert "1 answer waits</a> for you." in words
