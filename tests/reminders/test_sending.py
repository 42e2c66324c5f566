"""From the row to the server's log, with a server that misbehaves."""

from datetime import timedelta

import pytest

from drainservice.accounts.models import Channel, Firm
from drainservice.reminders import actions, queries
from drainservice.reminders.models import Use
from jobs.models import Attempt, Breaker

pytestmark = pytest.mark.django_db


@pytest.fixture
def relayed(play, mail_server, settings):
    """Mail really leaves by the server."""
    settings.MAIL_URL = mail_server.url
    return play


def test_the_octets_kept_are_the_octets_that_went(relayed, mail_server):
    relayed.agreed()

    offer, invitation = mail_server.taken()
    assert offer["octets"].encode() == bytes(relayed.message(Use.OFFER).octets)
    assert invitation["octets"].encode() == bytes(relayed.message(Use.AGREED).octets)
    assert offer["from"].startswith("bounce+")
    assert offer["from"] != invitation["from"]


def test_an_offer_is_said_to_be_taken_by_the_server(relayed):
    relayed.offer()

    offer = relayed.message(Use.OFFER)
    assert queries.phrase(offer, relayed.site.zone) == "The mail server took it at 8:00."
    assert not offer.kept_here


def test_a_demonstration_sends_nothing(relayed, mail_server):
    Firm.objects.update(is_demo=True)

    relayed.offer()

    offer = relayed.message(Use.OFFER)
    assert mail_server.taken() == []
    assert (offer.job.state, offer.kept_here) == ("sent", True)
    assert offer.job.last_error == "kept here"
    assert Attempt.objects.get(job=offer.job_id).reply == "kept here"


def test_a_refused_address_is_to_be_mended_and_its_person_rung(relayed, mail_server):
    Channel.objects.filter(kind="mail").update(address="gone@example.com")

    relayed.offer()

    offer = relayed.message(Use.OFFER)
    assert offer.job.state == "refused"
    assert queries.phrase(offer, "UTC") == "The address refused it; someone must mend it."
    assert Channel.objects.get(kind="mail").bad_since == relayed.now
    assert queries.failed(relayed.asker) == [offer]
    assert [call.person for call in queries.call_list(relayed.asker)] == [relayed.person]
    assert [event.status for event in offer.events.all()] == ["5.1.1"]


def test_a_busy_server_is_tried_again_with_the_same_octets(relayed, mail_server):
    mail_server.is_in("busy")
    relayed.offer()
    waiting = relayed.message(Use.OFFER)
    said = queries.phrase(waiting, relayed.site.zone)
    mail_server.is_in("take")

    relayed.later(minutes=2)

    assert said.startswith("The mail server was busy; next try 8:0")
    (mail,) = mail_server.taken()
    assert mail["octets"].encode() == bytes(waiting.octets)
    assert relayed.message(Use.OFFER).job.attempts == 2


def test_a_copy_after_a_lost_reply_is_the_same_to_the_octet(relayed, mail_server):
    """RFC 1047: the server has it, and its reply never came."""
    mail_server.is_in("drop 1")
    relayed.offer()
    said = queries.phrase(relayed.message(Use.OFFER), relayed.site.zone)
    mail_server.is_in("take")
    relayed.now += timedelta(minutes=5)
    relayed.run()

    first, second = mail_server.taken()
    assert said == "Going out now."
    assert first["octets"] == second["octets"]
    assert relayed.message(Use.OFFER).job.state == "sent"


def test_a_server_that_is_away_for_hours_costs_no_try(relayed, mail_server):
    mail_server.is_in("shut")
    relayed.offer()
    for _ in range(6):
        relayed.later(minutes=20)
    before = relayed.message(Use.OFFER)
    mail_server.is_in("take")

    relayed.later(minutes=20)

    assert (before.job.state, before.job.attempts) == ("again", 0)
    assert Breaker.objects.get().failures == 0
    assert len(mail_server.taken()) == 1


def test_a_message_no_longer_true_at_its_retry_stays_here(relayed, mail_server):
    mail_server.is_in("busy")
    relayed.agreed()
    mail_server.is_in("take")

    relayed.move()
    relayed.later(hours=2)

    assert [mail["octets"].count("Subject:") for mail in mail_server.taken()] == [1]
    assert relayed.message(Use.AGREED).job.state == "overtaken"
    assert relayed.message(Use.MOVED).job.state == "sent"


def test_sent_again_by_a_person_it_is_the_same_message(relayed, mail_server):
    Channel.objects.filter(kind="mail").update(address="gone@example.com")
    relayed.offer()
    offer = relayed.message(Use.OFFER)
    Channel.objects.filter(kind="mail").update(bad_since=None)

    actions.send_again(offer, asker=relayed.asker)
    relayed.run()

    tries = Attempt.objects.filter(job=offer.job_id)
    assert [one.outcome for one in tries] == ["refused", "refused"]
    relayed.agree()
    with pytest.raises(actions.NothingToSendAgain):
        actions.send_again(relayed.message(Use.ANSWER_WANTED), asker=relayed.asker)
