"""An old link: the same answer for an address we know and one we do not."""

import pytest

from drainservice.reminders.models import Reminder
from tests import makers

pytestmark = pytest.mark.django_db


def ask(browser, address):
    return browser.post("/y/new", {"mail": address})


def test_answers_known_and_unknown_addresses_alike(browser, home):
    known = ask(browser, "juno@example.com")
    unknown = ask(browser, "nobody@example.com")

    assert known.status_code == unknown.status_code == 200
    assert known.content == unknown.content
    assert not known.cookies


def test_mails_a_link_to_whoever_is_with_us(browser, home):
    ask(browser, "Juno@Example.com")

    reminder = Reminder.objects.get()
    assert (reminder.use, reminder.person, reminder.address) == (
        "new_link",
        home[0],
        "juno@example.com",
    )


def test_two_of_a_household_with_one_address_get_one_mail(browser, home):
    from datetime import date

    from drainservice.accounts.actions import join_household

    second = makers.make_person("Milo Greenlaw", mail="juno@example.com")
    join_household(second, home[1], asker=makers.clock(), starts_on=date(2020, 1, 1))

    ask(browser, "juno@example.com")

    assert Reminder.objects.count() == 1


def test_the_letter_carries_a_link_that_opens_the_page(browser, home):
    import re

    from drainservice.accounts.queries import the_firm
    from drainservice.reminders.mail.letters import letter_for
    from drainservice.reminders.queries.standing import told

    ask(browser, "juno@example.com")
    reminder = Reminder.objects.get()

    letter = letter_for(told(reminder, the_firm(), at=makers.MONDAY), at=makers.MONDAY)

    path = re.sub(r"^https?://[^/]+", "", letter.buttons[0].url)
    assert browser.get(path).status_code == 200


def test_what_is_no_address_is_refused_in_words_and_kept(browser, home):
    answer = ask(browser, "juno at example")

    assert answer.status_code == 422
    assert "must be one address like name@example.com" in answer.content.decode()
    assert "juno at example" in answer.content.decode()


def test_an_address_is_mailed_three_times_at_most_in_a_row(browser, home):
    answers = [ask(browser, "juno@example.com").status_code for _ in range(4)]

    assert answers == [200, 200, 200, 429]
    assert Reminder.objects.count() == 1  # within one minute it is one mail


def test_looking_is_not_allowed(browser, db):
    assert browser.get("/y/new").status_code == 405
