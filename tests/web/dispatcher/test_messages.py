"""Reminders, one message, the mailbox, the call list, pumps that are down."""

from uuid import uuid4

import pytest

from drainservice.accounts.models import Channel
from drainservice.inspections.actions import after_inspection, record_inspection
from drainservice.inspections.models import Down
from drainservice.inspections.models.record import InspectionRecord, LookRecord
from drainservice.reminders.actions import send_offer
from drainservice.reminders.models import Reminder
from jobs.models import Job
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def message(offered):
    """The offer to Juno Greenlaw, put down to be sent."""
    send_offer(asker=makers.clock(), visit_id=offered.pk, sequence=offered.sequence)
    return Reminder.objects.get(use="offer")


def test_a_waiting_message_is_shown_as_it_will_look(message, desk):
    words = page(desk.get(f"/reminders/{message.pk}"))
    assert "As it will look" in words
    assert "Your drain: Tue 11 May" in words
    assert Reminder.objects.get(pk=message.pk).octets is None  # looking writes nothing


def test_the_mail_itself_stands_boxed_in(message, desk):
    answer = desk.get(f"/reminders/{message.pk}/mail")
    policy = answer["Content-Security-Policy"]
    assert policy.startswith("sandbox;")
    assert "default-src 'none'" in policy
    assert "script-src" not in policy
    assert b"Juno Greenlaw" in answer.content


def test_an_offer_has_no_calendar_part(message, desk):
    assert desk.get(f"/reminders/{message.pk}/calendar").status_code == 404


def test_a_message_is_held_back_and_let_go(message, desk):
    desk.post(f"/reminders/{message.pk}/keep", {"act": "hold"})
    assert "It is held back." in page(desk.get(f"/reminders/{message.pk}"))
    desk.post(f"/reminders/{message.pk}/keep", {"act": "release"})
    assert "It is held back." not in page(desk.get(f"/reminders/{message.pk}"))


def test_everything_is_held_back_with_its_reason(message, desk):
    desk.post("/reminders/hold", {"act": "hold", "why": "the server moves"})
    assert "Everything is held back" in page(desk.get("/reminders"))
    assert "the server moves" in page(desk.get("/reminders"))
    desk.post("/reminders/hold", {"act": "release"})
    assert "Everything is held back" not in page(desk.get("/reminders"))


def test_a_refused_message_stands_first_and_is_sent_again(message, desk):
    Job.objects.filter(pk=message.job_id).update(state="refused", done_at=makers.MONDAY)
    words = page(desk.get("/reminders"))
    assert words.index("These need you") < words.index("What goes out")
    desk.post(f"/reminders/{message.pk}/keep", {"act": "again"})
    assert Job.objects.get(pk=message.job_id).state == "again"


def test_what_went_out_is_not_sent_again(message, desk):
    Job.objects.filter(pk=message.job_id).update(state="sent", done_at=makers.MONDAY)
    answer = desk.post(f"/reminders/{message.pk}/keep", {"act": "again"})
    assert answer.status_code == 409
    assert "has gone out" in page(answer)


def test_the_mailbox_says_that_nobody_gets_the_mail(desk):
    assert "every mail is kept here and nobody gets it" in page(desk.get("/mailbox"))


def test_a_message_nobody_has_is_not_found(desk):
    missing = "00000000-0000-4000-8000-000000000000"
    for path in ("", "/mail", "/calendar"):
        assert desk.get(f"/reminders/{missing}{path}").status_code == 404


def test_a_technician_reads_no_mail(message, desk):
    assert sign_in("andrea").get(f"/reminders/{message.pk}/mail").status_code == 403


def test_who_has_no_mail_is_rung_with_words_to_say(offered, desk):
    Channel.objects.filter(kind="mail").update(removed_at=makers.MONDAY)
    words = page(desk.get("/calls"))
    assert "Ring Juno Greenlaw first; 1 call waits in all." in words
    assert 'href="tel:3605550137">360-555-0137</a>' in words
    assert "“Hello Juno, this is Fernhill Drains, about the drain at 114 Maple Ridge Rd." in words
    assert "May we come on Tue 11 May, 8 to 10?" in words


def test_a_dead_pump_is_down_with_its_stop_gap(yard, desk):
    record = InspectionRecord(
        id=uuid4(),
        on=makers.later(days=-3).date(),
        looks=(LookRecord("pump", passed=False),),
        origin="office",
    )
    inspection = record_inspection(yard, asker=makers.clock(), record=record)
    after_inspection(asker=makers.clock(), inspection_id=inspection.pk)
    down = Down.objects.get()
    words = page(desk.get("/down"))
    assert "1 pump is down; the longest since" in words
    assert "Nobody is on record as told." in words
    desk.post(f"/down/{down.pk}/stop-gap", {"stop_gap": "borrowed pump", "told": "on"})
    words = page(desk.get("/down"))
    assert "borrowed pump" in words
    assert "They were told Mon 10 May 2027, 8:00." in words
    assert "1 pump is down" in page(desk.get("/"))


def test_a_stop_gap_for_no_pump_is_not_found(desk):
    assert desk.post("/down/999/stop-gap", {"stop_gap": "x"}).status_code == 404


def test_looking_changes_nothing(message, desk, changes):
    before = changes(), Job.objects.count()
    for address in ("/reminders", f"/reminders/{message.pk}", "/mailbox", "/calls", "/down"):
        desk.get(address)
    assert (changes(), Job.objects.count()) == before
