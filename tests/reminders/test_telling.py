"""Who is told what and when, from the offer to the end of a visit."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from drainservice.accounts import actions as accounts
from drainservice.accounts import history
from drainservice.accounts.models import Channel, Firm
from drainservice.register import actions as register
from drainservice.reminders import actions as reminders
from drainservice.reminders import queries
from drainservice.reminders.models import Reminder, Use
from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from jobs.models import Job
from tests import makers
from tests.reminders.play import LATER_WINDOW

pytestmark = pytest.mark.django_db


def instant(*numbers) -> datetime:
    return datetime(*numbers, tzinfo=UTC)


def test_an_offer_goes_out_now_and_a_word_to_the_silent_a_week_before(play):
    play.offer()

    wanted = play.message(Use.ANSWER_WANTED)
    assert play.states() == {"offer": "sent", "answer_wanted": "waiting"}
    # 7 days before 25 May at 8:00 in Los Angeles, 7 hours behind UTC in May.
    assert wanted.job.due_at == instant(2027, 5, 18, 15, 0)
    assert wanted.job.expires_at == play.visit.window_ends_at


def test_the_morning_is_the_sites_morning_on_both_sides_of_a_change_of_clocks(play):
    # Clocks go back on 7 November 2027. Eight o'clock is 15:00 UTC on the 5th, 16:00 on the 8th.
    play.now = instant(2027, 10, 1, 18)
    for day, due_at in [
        (date(2027, 11, 12), instant(2027, 11, 5, 15)),
        (date(2027, 11, 15), instant(2027, 11, 8, 16)),
    ]:
        play.offer(Window(day, time(8), time(10)))
        assert play.message(Use.ANSWER_WANTED, sequence=play.visit.sequence).job.due_at == due_at


def test_yes_brings_the_invitation_and_a_word_to_get_ready(play):
    play.offer()
    play.answer("yes")

    assert play.states() == {
        "offer": "sent",
        "answer_wanted": "overtaken",
        "agreed": "sent",
        "get_ready": "waiting",
    }
    assert play.message(Use.GET_READY).job.due_at == instant(2027, 5, 23, 15, 0)


def test_who_does_not_answer_is_asked_once_more_and_then_rung(play):
    play.offer()
    play.go_to(instant(2027, 5, 18, 16))

    assert play.states() == {"offer": "sent", "answer_wanted": "sent"}
    (call,) = queries.call_list(play.asker)
    assert (call.person, call.why) == (play.person, "Asked twice by mail, and no answer.")
    assert call.numbers == ["3605550137"]


def test_who_has_answered_is_not_asked_again(play):
    play.offer()
    play.answer("another_day")
    play.go_to(instant(2027, 5, 18, 16))

    wanted = play.message(Use.ANSWER_WANTED)
    assert (wanted.job.state, wanted.job.last_error) == (
        "overtaken",
        "They have answered, so this stays here.",
    )


def test_a_visit_that_moves_leaves_its_old_messages_here(play):
    play.agreed()
    play.move()

    old = {row.use: row.job.state for row in play.messages(sequence=0)}
    new = {row.use: row.job.state for row in play.messages(sequence=1)}
    assert old["get_ready"] == "overtaken"
    assert new == {"moved": "sent", "answer_wanted": "waiting", "get_ready": "waiting"}


def test_a_visit_called_off_is_told_to_whoever_was_told_of_it_and_never_twice(play):
    play.agreed()
    play.call_off()
    play.run()

    assert play.states(sequence=1) == {"called_off": "sent"}
    assert play.message(Use.GET_READY).job.state == "overtaken"


def test_who_has_moved_out_since_is_told_too(play):
    play.agreed()
    history.keep(play.site.parts.first(), asker=play.asker, ends_on=date(2027, 5, 11))
    for part in play.site.parts.filter(ends_on__isnull=True):
        history.keep(part, asker=play.asker, ends_on=date(2027, 5, 11))

    play.call_off()

    assert play.message(Use.CALLED_OFF).job.state == "sent"


def test_nobody_is_told_that_what_they_never_heard_of_is_cancelled(play):
    """The offer was held back; then the visit was called off."""
    reminders.hold_all(asker=play.asker, why="the relay changes")
    play.offer()
    play.call_off()

    reminders.release_all(asker=play.asker)
    play.run()

    assert play.states() == {"offer": "overtaken", "answer_wanted": "overtaken"}


def test_setting_out_goes_out_at_any_hour_and_what_to_get_ready_stays_here(play):
    play.agreed()
    # Half past six in the morning: a quiet hour.
    play.now = instant(2027, 5, 25, 13, 30)
    Job.objects.filter(reminder__use=Use.GET_READY).update(due_at=instant(2027, 5, 25, 15))

    visits.set_out(play.visit, asker=play.asker)
    play.run()

    assert play.message(Use.SETTING_OUT).job.state == "sent"
    assert play.message(Use.GET_READY).job.state == "overtaken"


def test_a_lid_that_was_not_reached_is_told(play):
    play.agreed()
    play.go_to(instant(2027, 5, 25, 16))
    visits.miss_visit(play.visit, asker=play.asker, because="a dog was loose")
    play.run()

    assert play.message(Use.NOT_REACHED).job.state == "sent"


def test_quiet_hours_are_asked_again_when_it_is_about_to_go_out(play):
    """The office offers at ten in the evening: the mail goes at eight in the morning."""
    play.now = instant(2027, 5, 11, 5, 0)  # Monday 22:00 in Los Angeles
    play.offer()

    offer = play.message(Use.OFFER)
    assert (offer.job.state, offer.job.due_at) == ("waiting", instant(2027, 5, 11, 15, 0))
    assert queries.phrase(offer, play.site.zone) == (
        "Goes out Tue 11 May at 8 am. It is a quiet hour there."
    )
    play.go_to(instant(2027, 5, 11, 15, 0))
    assert play.message(Use.OFFER).job.state == "sent"


def test_two_of_a_household_with_one_address_get_one_message(play):
    other = makers.make_person("Robin Greenlaw", mail="JUNO@example.com")
    accounts.join_household(other, play.household, asker=play.asker, starts_on=date(2020, 1, 1))
    register.give_part(other, play.site, asker=play.asker, part="lives", starts_on=date(2020, 1, 1))

    play.offer()

    assert len(play.messages(use=Use.OFFER)) == 1


def test_two_households_with_one_address_get_one_each(play):
    """An owner and a tenant who share a mailbox: each has their own link and their own answer."""
    tenant = makers.make_person("Robin Alder", mail="juno@example.com")
    makers.make_household(tenant, name="Alder")
    register.give_part(
        tenant, play.site, asker=play.asker, part="lives", starts_on=date(2020, 1, 1)
    )

    play.offer()

    assert {row.person.name for row in play.messages(use=Use.OFFER)} == {
        "Juno Greenlaw",
        "Robin Alder",
    }


def test_who_only_pays_or_is_only_told_is_not_asked(play):
    landlord = makers.make_person("Lee Landis", mail="lee@example.com")
    makers.make_household(landlord, name="Landis")
    register.give_part(
        landlord, play.site, asker=play.asker, part="pays", starts_on=date(2020, 1, 1)
    )

    play.offer()

    assert len(play.messages(use=Use.OFFER)) == 1


def test_who_has_no_mail_is_on_the_call_list_and_not_lost(play):
    for channel in Channel.objects.filter(kind="mail"):
        history.remove(channel, asker=play.asker)

    play.offer()

    assert play.messages() == []
    (call,) = queries.call_list(play.asker)
    assert call.person == play.person
    assert call.why == "No mail reaches them; offer the time by telephone."


def test_who_has_no_mail_is_rung_again_when_it_moves_and_when_it_comes_near(play):
    for channel in Channel.objects.filter(kind="mail"):
        history.remove(channel, asker=play.asker)
    play.agreed()
    whys = [[call.why for call in queries.call_list(play.asker)]]
    play.move()
    whys.append([call.why for call in queries.call_list(play.asker)])
    play.answer("yes")
    whys.append([call.why for call in queries.call_list(play.asker)])
    # Two days before 27 May.
    play.go_to(instant(2027, 5, 25, 16))
    whys.append([call.why for call in queries.call_list(play.asker)])

    assert whys == [
        [],
        ["No mail reaches them; tell them the new time by telephone."],
        [],
        ["No mail reaches them; remind them to get ready by telephone."],
    ]


def test_stopped_reminders_stop_asking_but_never_a_notice_of_change(play):
    play.offer()
    channel = play.message(Use.OFFER).channel
    assert reminders.stop_reminders(channel.pk, asker=play.asker)
    assert reminders.stop_reminders(channel.pk, asker=play.asker)

    play.agree()
    play.go_to(instant(2027, 5, 23, 16))
    play.move()

    states = {(row.use, row.sequence): row.job.state for row in play.messages()}
    assert states[Use.AGREED, 0] == "sent"
    assert states[Use.GET_READY, 0] == "stopped"
    assert states[Use.MOVED, 1] == "sent"
    ready = play.message(Use.GET_READY, sequence=0)
    assert queries.phrase(ready, play.site.zone) == "The household asked us to stop reminders."


def test_not_my_house_stops_all_asking(play):
    play.offer()
    play.answer("not_my_house")
    play.go_to(instant(2027, 5, 18, 16))

    wanted = play.message(Use.ANSWER_WANTED)
    assert wanted.job.state in {"stopped", "overtaken"}


def test_a_household_is_asked_six_times_a_year_and_then_rung(play):
    """Seven offers, each a week on: the seventh is not sent, and the dispatcher sees it."""
    Firm.objects.update(answer_wanted_days=1)
    for week in range(7):
        play.offer(Window(date(2027, 9, 7) + timedelta(weeks=week), time(8), time(10)))
        play.later(days=7)

    offers = play.messages(use=Use.OFFER)
    assert [row.job.state for row in offers] == ["sent"] * 6 + ["stopped"]
    assert offers[-1].job.last_error == ("Asked 6 times within a year already; ring them instead.")
    assert [call.person for call in queries.call_list(play.asker)] == [play.person]


def test_after_a_year_the_household_may_be_asked_again(play):
    Firm.objects.update(answer_wanted_days=1, asks_a_year=1)
    play.offer(Window(date(2027, 9, 7), time(8), time(10)))
    play.later(days=366)
    play.offer(Window(date(2028, 9, 7), time(8), time(10)))

    assert [row.job.state for row in play.messages(use=Use.OFFER)] == ["sent", "sent"]


def test_an_answer_is_confirmed_to_the_address_on_file(play):
    play.offer()
    play.answer("another_day")

    assert play.message(Use.CONFIRMATION).job.state == "sent"


def test_a_yes_that_agrees_is_confirmed_by_the_invitation_itself(play):
    play.offer()
    play.answer("yes")

    assert play.messages(use=Use.CONFIRMATION) == []


def test_a_yes_to_a_moved_visit_is_confirmed_and_nobody_is_asked_again(play):
    play.agreed()
    play.move()
    play.answer("yes")
    play.go_to(instant(2027, 5, 20, 16))

    assert play.message(Use.CONFIRMATION).job.state == "sent"
    assert play.message(Use.ANSWER_WANTED, sequence=1).job.state == "overtaken"


def test_no_more_than_three_confirmations_a_day(play):
    play.offer()
    for word in ["another_day", "not_this_year", "another_day", "not_this_year", "another_day"]:
        play.later(minutes=1)
        play.answer(word)

    assert len(play.messages(use=Use.CONFIRMATION)) == 3


def test_a_fact_read_twice_doubles_nothing(play):
    play.offer()
    before = Reminder.objects.count()

    for _ in range(2):
        reminders.send_offer(asker=play.asker, visit_id=play.visit.pk, sequence=0)

    assert Reminder.objects.count() == before


def test_a_fact_that_is_no_longer_true_says_nothing(play):
    play.agreed()
    play.move(LATER_WINDOW)
    before = Reminder.objects.count()

    reminders.invite(asker=play.asker, visit_id=play.visit.pk, sequence=0)

    assert Reminder.objects.count() == before


def test_a_visit_that_is_over_is_not_announced(play):
    """History that is brought in says nothing to anybody."""
    play.visit.refresh_from_db()
    visits.offer_visit(
        play.visit,
        to=Window(date(2027, 5, 11), time(8), time(10)),
        technician=play.technician,
        asker=play.asker,
    )
    play.now = instant(2027, 5, 12, 18)
    play.run()

    assert play.messages() == []


def test_the_office_alone_sees_messages(play, homeowner, neighbour, technician):
    from drainservice.accounts.asker import NotFound

    play.offer()
    offer = play.message(Use.OFFER)

    assert queries.reminder_for(play.asker, str(offer.pk)) == offer
    for stranger in (homeowner, neighbour, technician):
        with pytest.raises(NotFound):
            queries.reminder_for(stranger, offer.pk)
    for wrong in ("x", "00000000-0000-0000-0000-000000000000"):
        with pytest.raises(NotFound):
            queries.reminder_for(play.asker, wrong)


def test_pages_find_what_goes_out_what_failed_and_what_is_held(play):
    play.agreed()
    ready = play.message(Use.GET_READY)

    (hour,) = queries.coming(play.asker)
    reminders.hold(ready, asker=play.asker, why="the key is lost")

    assert hour.reminders == [ready]
    assert f"{hour.begins_at:%a %-d %b %-H:%M}" == "Sun 23 May 8:00"
    assert queries.held(play.asker) == [ready]
    assert queries.failed(play.asker) == []
    assert {row.use for row in queries.mailbox(play.asker)} == {"offer", "agreed"}
    assert [moment.words for moment in queries.timeline(play.message(Use.OFFER))] == [
        "Put down to be sent.",
        "Written; these octets go out and no others.",
        "The mail server took it.",
    ]


def test_a_held_message_stays_until_it_is_released(play):
    play.agreed()
    ready = play.message(Use.GET_READY)
    reminders.hold(ready, asker=play.asker, why="the key is lost")
    play.go_to(instant(2027, 5, 24, 16))
    before = play.message(Use.GET_READY).job.state

    reminders.release(ready, asker=play.asker)
    play.run()

    assert (before, play.message(Use.GET_READY).job.state) == ("waiting", "sent")


def test_old_octets_are_emptied_after_ninety_days(play):
    play.offer()

    early = reminders.empty_old(asker=makers.clock(play.now + timedelta(days=89)))
    late = reminders.empty_old(asker=makers.clock(play.now + timedelta(days=91)))

    assert (early, late) == (0, 1)
    offer = play.message(Use.OFFER)
    assert (offer.octets, offer.address) == (None, "")
    assert queries.preview_of(offer) is None
