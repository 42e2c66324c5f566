"""The report after a visit, the bucket test, the answer as written down: what they say."""

from datetime import date, timedelta

import pytest

from drainservice.inspections.models import Inspection, Look, Recommendation, Result
from drainservice.reminders import actions, queries
from drainservice.reminders.models import Use
from tests import makers
from tests.reminders.reading import grade_of

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)


@pytest.fixture
def inspection(play):
    """Closed on the day: a pump that is weaker, silt not looked at since the lid was covered."""
    made = Inspection.objects.create(system=play.system, on=TODAY, closed_at=play.now)
    pump = Look.objects.create(inspection=made, kind="pump", outcome="done", passed=True)
    Look.objects.create(inspection=made, kind="sediment", outcome="not_done", why_not="lid_covered")
    Result.objects.create(
        look=pump,
        what="flow_against_duty",
        inputs={},
        outputs={},
        verdict="watch",
        model_version="1",
    )
    Recommendation.objects.create(system=play.system, what="a battery backup", told_on=TODAY)
    return made


def send(play, inspection):
    actions.send_report(asker=play.asker, inspection_id=str(inspection.pk))
    play.run()


def test_the_report_says_what_was_found_in_plain_words(play, inspection):
    send(play, inspection)

    report = play.message(Use.REPORT)
    text = queries.preview_of(report).text
    assert report.subject == "Your drain: what we found on Mon 10 May"
    assert "We looked at your drain by the driveway on Monday 10 May 2027." in text
    assert "Pump: Weaker than when new; we look again soon." in text
    assert "Silt: Not done: the lid is covered." in text
    assert "We advise: a battery backup" in text
    assert queries.preview_of(report).method == ""


def test_each_look_is_told_by_its_own_worst_finding(play, inspection):
    pump = inspection.looks.get(kind="pump")
    valve, ground = (
        Look.objects.create(inspection=inspection, kind=kind, outcome="done")
        for kind in ("valve", "percolation")
    )
    for look, what, verdict in (
        (pump, "shared_main", "good"),
        (valve, "other_pit", "act"),
        (valve, "back_flow", "good"),
        (ground, "soakage", "act"),
    ):
        Result.objects.create(
            look=look, what=what, inputs={}, outputs={}, verdict=verdict, model_version="1"
        )

    send(play, inspection)

    text = queries.preview_of(play.message(Use.REPORT)).text
    assert "Pump: Weaker than when new; we look again soon." in text
    assert "Check valve: It lets the water back; it must be mended." in text
    assert "How fast it drains: The ground takes the water too slowly now" in text


def test_a_dead_pump_is_told_first(play, inspection):
    from drainservice.inspections.models import Down
    from drainservice.register.models import Pump

    Down.objects.create(pump=Pump.objects.get(system=play.system), since_at=play.now)

    send(play, inspection)

    text = queries.preview_of(play.message(Use.REPORT)).text
    assert "Your pump does not run now. In a storm the water can rise. Ring us." in text


def test_the_report_is_sent_once(play, inspection):
    send(play, inspection)
    send(play, inspection)

    assert len(play.messages(use=Use.REPORT)) == 1


@pytest.mark.parametrize(
    "changed",
    [{"origin": "sheet"}, {"origin": "office"}, {"on": TODAY - timedelta(days=15)}],
    ids=["from a sheet", "written in the office", "weeks ago"],
)
def test_what_is_no_news_is_not_reported(play, inspection, changed):
    Inspection.objects.filter(pk=inspection.pk).update(**changed)

    send(play, inspection)

    assert play.messages(use=Use.REPORT) == []


def test_the_bucket_test_warns_before_it_asks(play):
    actions.ask_bucket_test(play.system, asker=play.asker)
    actions.ask_bucket_test(play.system, asker=play.asker)
    play.run()

    text = queries.preview_of(play.message(Use.BUCKET_TEST)).text
    assert text.index("never reach or climb into the pit") < text.index("Start the test")
    assert "Do not touch the pump or its cord." in text
    assert grade_of(text.partition("Start the test")[0]) <= 6


def test_a_stopped_address_is_not_asked_for_a_bucket_test(play):
    play.offer()
    actions.stop_reminders(play.message(Use.OFFER).channel_id, asker=play.asker)

    actions.ask_bucket_test(play.system, asker=play.asker)
    play.run()

    assert play.message(Use.BUCKET_TEST).job.state == "stopped"


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("another_day", "We will write or ring with another time."),
        ("not_this_year", "A person of our office will read this and settle it."),
        ("not_my_house", "We will not ask you again, and find out whose house it is."),
    ],
)
def test_the_confirmation_says_what_was_answered_and_what_follows(play, word, said):
    play.offer()
    play.answer(word)

    text = queries.preview_of(play.message(Use.CONFIRMATION)).text
    assert "We wrote down your answer:" in text
    assert said in text
    assert "Was this not you? Please ring us." in text


def test_reminders_can_be_wanted_again(play):
    play.offer()
    channel = play.message(Use.OFFER).channel
    actions.stop_reminders(channel.pk, asker=play.asker)

    assert actions.start_reminders(channel, asker=play.asker) == 1

    play.agree()
    play.go_to(makers.later(days=14))
    assert play.message(Use.GET_READY).job.state == "sent"


def test_stopping_an_unknown_address_says_that_there_is_none(play):
    assert not actions.stop_reminders(999_999, asker=play.asker)
