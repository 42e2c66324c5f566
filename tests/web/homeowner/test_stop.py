"""No more reminders: looking shows a button, posting stops, twice is once (RFC 8058)."""

import pytest

from drainservice.accounts.links import unsubscribe_token
from drainservice.accounts.models import Channel
from drainservice.reminders.models import Suppression

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(home):
    """The stop address of Juno's mail."""
    channel = Channel.objects.get(person=home[0], kind="mail")
    return f"/stop/{unsubscribe_token(channel_id=channel.pk)}"


def test_looking_stops_nothing(browser, address):
    page = browser.get(address).content.decode()

    assert "Shall we stop sending reminders" in page
    assert not Suppression.objects.exists()


def test_one_click_from_a_mail_program_stops(browser, address):
    # RFC 8058, 3.1: a POST with this body, without cookies, from elsewhere.
    answer = browser.post(
        address,
        {"List-Unsubscribe": "One-Click"},
        headers={"Sec-Fetch-Site": "cross-site", "Origin": "https://mail.example.com"},
    )

    assert answer.status_code == 200
    assert "No more reminders come to this address." in answer.content.decode()
    assert Suppression.objects.count() == 1
    assert not answer.cookies


def test_stopping_twice_is_stopping_once(browser, address):
    browser.post(address)
    browser.post(address)

    assert Suppression.objects.count() == 1


def test_an_invented_word_stops_nothing(browser, address):
    other = browser.post(address[:-1] + ("a" if address[-1] != "a" else "b"))

    assert other.status_code == 404
    assert not Suppression.objects.exists()
