"""Visits: three free times, the answer on the phone, moving, calling off, and taking it back."""

from datetime import date, time, timedelta
from uuid import uuid4

import pytest

from drainservice.accounts.models import Account
from drainservice.register import actions as register
from drainservice.visits.actions import NoTimeFree, agree_visit, offer_visit, plan_visit
from drainservice.visits.models import Answer, Visit
from drainservice.visits.queries import Window
from jobs.models import Job
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db
TUESDAY = date(2027, 5, 11)


def new(desk, system, **told):
    """The form of a new visit, sent; `time` is the first free one if not told."""
    address = f"/visits/new?system={system.code}"
    shown = desk.get(address)
    first = shown.context["free"][0].word if shown.context["free"] else ""
    return desk.post(
        address, posted(shown, **{"time": first, "systems": [system.pk], "act": "hold"} | told)
    )


def test_three_good_times_are_sentences_with_the_driving_and_the_reason(yard, desk):
    answer = desk.get(f"/visits/new?system={yard.code}")

    free = answer.context["free"]
    halves = {(one.word[:10], one.word[11:13] < "12") for one in free}
    assert (len(free), len(halves)) == (3, 3)
    # No base is entered: the round begins in the middle of the one site there is.
    assert all("no more driving, the only visit of the round" in one.reason for one in free)
    words = page(answer)
    assert f"<strong>{free[0].words}</strong>: no more driving" in words
    assert "No home base is entered" in words


def test_more_times_and_later_dates_are_a_link_away(yard, desk):
    shown = desk.get(f"/visits/new?system={yard.code}")

    more = desk.get("/visits/new" + shown.context["more"])
    later = desk.get("/visits/new" + shown.context["later"])

    assert len(more.context["free"]) == 9
    # Twenty days from Monday 10 May are over on 29 May.
    assert min(one.word[:10] for one in later.context["free"]) >= "2027-05-30"


def test_no_time_falls_on_a_weekend_or_a_holiday(yard, desk):
    # Memorial Day 2027 is Monday 31 May (5 U.S.C. 6103: last Monday of May).
    shown = desk.get(f"/visits/new?system={yard.code}&from=2027-05-29&more=1")

    days = {date.fromisoformat(one.word[:10]) for one in shown.context["free"]}
    assert days
    assert all(day.weekday() < 5 and day != date(2027, 5, 31) for day in days)


def test_what_suits_them_is_looked_for_again_and_kept_with_the_visit(yard, desk):
    address = f"/visits/new?system={yard.code}"
    shown = desk.get(address)
    told = posted(shown, systems=[yard.pk], likes=["2", "afternoon"], act="again")

    again = desk.post(address, told)

    assert again.status_code == 200
    best = again.context["free"][0]
    assert date.fromisoformat(best.word[:10]).weekday() == 2
    assert best.word[11:13] >= "12"
    assert not Visit.objects.exists()
    desk.post(address, told | {"act": "hold", "time": best.word})
    assert Visit.objects.get().likes == ["2", "afternoon"]


def test_a_time_that_was_taken_meanwhile_is_said_and_others_are_shown(yard, desk, dispatcher):
    address = f"/visits/new?system={yard.code}"
    shown = desk.get(address)
    andrea = Account.objects.get(handle="andrea")
    for word in {one.word for one in shown.context["free"]}:
        day = date.fromisoformat(word[:10])
        for from_h, minutes in ((8, 240), (13, 290)):
            other = plan_visit(
                makers.make_site(f"{from_h} {word[8:10]} Reed Ln"),
                asker=dispatcher,
                purpose="mend",
                systems={},
                meant_for=None,
                minutes=minutes,
            )
            to = Window(day, time(from_h), time(from_h + 2))
            try:
                offer_visit(other, to=to, technician=andrea, asker=dispatcher)
            except NoTimeFree:
                continue

    answer = desk.post(
        address, posted(shown, time=shown.context["free"][0].word, systems=[yard.pk], act="hold")
    )

    assert answer.status_code == 422
    assert "Someone took that time a moment ago, so nothing was booked." in page(answer)
    taken = {one.word for one in shown.context["free"]}
    assert taken.isdisjoint(one.word for one in answer.context["free"])
    assert not Visit.objects.filter(state="held").exists()


def test_a_typed_time_outside_the_shift_names_the_rule(yard, desk):
    told = {"time": "typed", "from_": "09:00", "to": "11:00", "technician": "andrea"}
    sunday = new(desk, yard, **told, day="2027-05-16")
    evening = new(desk, yard, **told | {"from_": "19:00", "to": "21:00"}, day="2027-05-13")

    assert "No working hours on Sundays. Choose another day or another technician." in page(sunday)
    assert "Andrea works from 8 to 17 on Thursday 13 May" in page(evening)
    assert not Visit.objects.exists()


def test_a_hold_is_agreed_on_the_phone_even_after_it_ran_out(yard, desk, at_eight):
    new(desk, yard, act="hold")
    visit = Visit.objects.get()
    shown = desk.get(f"/visits/{visit.pk}")
    at_eight.shift(11 * 60)

    answer = desk.post(
        f"/visits/{visit.pk}", {"act": "agree", "kept": shown.context["kept"], "person": ""}
    )

    assert answer["Location"] == f"/visits/{visit.pk}?done=agreed"
    assert Visit.objects.get().state == "agreed"
    assert Job.objects.filter(kind="visit.agreed").exists()


def test_an_offer_is_booked_and_its_message_waits_half_a_minute(yard, desk):
    answer = new(desk, yard, act="offer")
    visit = Visit.objects.get()
    assert visit.state == "offered"
    assert answer["Location"].startswith(f"/visits/{visit.pk}?done=offered&act=")
    row = Job.objects.get(kind="visit.offered")
    assert row.due_at - makers.MONDAY == timedelta(seconds=30)


def test_an_offer_undone_in_time_leaves_nothing_behind(yard, desk):
    location = new(desk, yard, act="offer")["Location"]
    shown = desk.get(location)
    assert "Undo" in page(shown)
    desk.post(f"/undo/{shown.context['act']}", {"back": "/due"})
    assert not Visit.objects.standing().exists()
    assert not Job.objects.filter(kind="visit.offered").exists()


def test_what_is_a_minute_old_cannot_be_undone(yard, desk, at_eight):
    location = new(desk, yard, act="offer")["Location"]
    group = location.partition("act=")[2]
    at_eight.shift(60)
    assert "Undo" not in page(desk.get(location))
    answer = desk.post(f"/undo/{group}")
    assert answer.status_code == 409
    assert "more than half a minute ago" in page(answer)
    assert Visit.objects.get().state == "offered"


def test_nobody_undoes_what_another_did(yard, desk):
    group = new(desk, yard, act="offer")["Location"].partition("act=")[2]
    makers.make_account("dario", "dispatcher")
    assert sign_in("dario").post(f"/undo/{group}").status_code == 409


def test_undo_leads_to_no_other_site(yard, desk):
    group = new(desk, yard, act="offer")["Location"].partition("act=")[2]
    answer = desk.post(f"/undo/{group}", {"back": "//elsewhere.example.com"})
    assert answer["Location"] == "/?done=undone"


def test_a_hold_tells_nobody(yard, desk):
    new(desk, yard, act="hold")
    assert Visit.objects.get().state == "held"
    assert set(Job.objects.values_list("kind", flat=True)) & {"visit.offered"} == set()


def test_yes_on_the_phone_agrees_and_invites(yard, desk):
    person = yard.site.parts.first().person
    new(desk, yard, act="agree", person=person.pk)
    visit = Visit.objects.get()
    assert visit.state == "agreed"
    said = Answer.objects.get()
    assert (said.word, said.by, said.person) == ("yes", "telephone", person)
    assert said.written_by.handle == "dora"
    assert Job.objects.filter(kind="visit.agreed").exists()


def test_a_typed_time_is_taken(yard, desk):
    new(
        desk,
        yard,
        act="hold",
        time="typed",
        day="2027-05-13",
        from_="09:30",
        to="11:00",
        technician="andrea",
    )
    visit = Visit.objects.get()
    assert (visit.day, visit.window_from, visit.window_to) == (
        date(2027, 5, 13),
        time(9, 30),
        time(11),
    )


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"time": ""}, "Choose one of the times"),
        ({"time": "2027-05-11_9999_0000_andrea"}, "Choose one of the times"),
        ({"time": "2027-05-11_0800_1000_nobody"}, "Choose one of the times"),
        (
            {
                "time": "typed",
                "day": "2027-05-13",
                "from_": "11:00",
                "to": "09:00",
                "technician": "andrea",
            },
            "The window ends before it begins",
        ),
        (
            {
                "time": "typed",
                "day": "2027-05-03",
                "from_": "09:00",
                "to": "11:00",
                "technician": "andrea",
            },
            "That time is over",
        ),
        ({"minutes": "3"}, "greater than or equal to 5"),
    ],
)
def test_a_time_that_cannot_be_is_refused_with_a_sentence(yard, desk, told, sentence):
    answer = new(desk, yard, purpose="look at the noise", **told)
    assert answer.status_code == 422
    assert sentence in page(answer)
    assert "look at the noise" in page(answer)
    assert not Visit.objects.exists()


def test_a_form_sent_twice_books_one_visit(yard, desk):
    once = uuid4().hex
    new(desk, yard, once=once)
    again = new(desk, yard, once=once)
    assert again["Location"] == f"/sites/{yard.site_id}?done=before"
    assert Visit.objects.count() == 1


def test_two_systems_of_a_site_are_one_visit(yard, desk):
    second = makers.make_system(yard.site, place="by the rose bed")
    new(desk, yard, systems=[yard.pk, second.pk])
    assert set(Visit.objects.get().systems.all()) == {yard, second}


def test_digging_is_not_agreed_without_a_locate_ticket(yard, desk):
    answer = new(desk, yard, act="agree", is_digging="on")
    assert "no utility locate ticket is valid on that day" in page(answer)
    assert not Visit.objects.exists()


def test_another_day_is_written_down_and_waits_for_a_person(offered, desk):
    person = offered.site.parts.first().person
    told = {"act": "answer", "word": "another_day", "person": person.pk, "note": "Thursdays"}
    desk.post(f"/visits/{offered.pk}", told)
    words = page(desk.get("/answers"))
    assert "another day" in words
    assert "“Thursdays”" in words
    desk.post(f"/answers/{offered.pk}/settle")
    assert "No answer waits for you." in page(desk.get("/answers"))


def test_a_visit_is_moved_two_hours_later(offered, desk, dispatcher):
    agree_visit(offered, asker=dispatcher)
    desk.post(f"/visits/{offered.pk}", {"act": "later"})
    offered.refresh_from_db()
    assert (offered.window_from, offered.window_to, offered.sequence) == (time(10), time(12), 1)
    assert Job.objects.filter(kind="visit.moved").exists()


def test_a_move_is_undone_with_its_number(offered, desk, dispatcher):
    agree_visit(offered, asker=dispatcher)
    group = desk.post(f"/visits/{offered.pk}", {"act": "later"})["Location"].partition("act=")[2]
    desk.post(f"/undo/{group}", {"back": f"/visits/{offered.pk}"})
    offered.refresh_from_db()
    assert (offered.window_from, offered.sequence, offered.was_moved) == (time(8), 0, False)
    assert not Job.objects.filter(kind="visit.moved").exists()


def test_calling_off_says_by_whom_and_why(offered, desk):
    told = {"act": "call_off", "by": "the household", "because": "the weather", "more": ""}
    desk.post(f"/visits/{offered.pk}", told)
    words = page(desk.get(f"/visits/{offered.pk}"))
    assert "Called off by the household on 10 May. Because: the weather." in words


def test_a_visit_that_went_on_meanwhile_refuses_with_a_sentence(offered, desk):
    Visit.objects.filter(pk=offered.pk).update(state="made")
    answer = desk.post(f"/visits/{offered.pk}", {"act": "later"})
    assert answer.status_code == 409
    assert "This visit is made now" in page(answer)


def test_a_visit_is_not_moved_into_the_night(offered, desk):
    for _ in range(2):
        answer = desk.post(f"/visits/{offered.pk}", {"act": "earlier"})
    # 8 to 10 becomes 6 to 8, and 4 to 6 is night.
    assert answer.status_code == 409
    assert "That would be at night" in page(answer)


def test_a_technician_and_a_stranger_see_no_office_page_of_a_visit(offered, desk, client):
    assert sign_in("andrea").get(f"/visits/{offered.pk}").status_code == 403
    assert client.get(f"/visits/{offered.pk}")["Location"] == "/sign-in"
    assert desk.get("/visits/999999").status_code == 404


def test_looking_changes_nothing(offered, desk, changes):
    before = changes()
    desk.get(f"/visits/{offered.pk}")
    desk.get(f"/visits/new?system={offered.systems.get().code}")
    assert changes() == before


def test_what_cannot_wait_is_fitted_in_today(yard, desk):
    answer = new(desk, yard, act="today", time="", purpose="the patio is flooded", minutes="60")

    assert answer["Location"].partition("?")[0] == "/rounds/2027-05-10/repair"
    visit = Visit.objects.get()
    assert (visit.state, visit.is_urgent, visit.wanted_by) == ("planned", True, date(2027, 5, 10))
    said = page(desk.get(answer["Location"]))
    assert "One visit must be made and stands in no round yet: 114 Maple Ridge Rd." in said
    assert "It must be reached today; first aid says where it fits." in said
    # Andrea works until 17:00 and has nothing to do: first aid has room for it.
    shown = desk.get("/rounds/2027-05-10/repair")
    desk.post("/rounds/2027-05-10/repair", {"act": "adopt", "mark": shown.context["mark"]})
    visit.refresh_from_db()
    assert visit.technician == Account.objects.get(handle="andrea")
    assert visit.slot_starts_at.date() == date(2027, 5, 10)
    assert not Job.objects.filter(kind="visit.offered").exists()


def test_what_cannot_wait_is_entered_once_and_can_be_undone(yard, desk):
    address = f"/visits/new?system={yard.code}"
    told = posted(desk.get(address), systems=[yard.pk], act="today")
    first = desk.post(address, told)
    again = desk.post(address, told)
    assert "done=before" in again["Location"]
    group = first["Location"].partition("act=")[2]
    desk.post(f"/undo/{group}", {"back": "/"})
    assert not Visit.objects.standing().exists()


def test_a_visit_that_digs_says_on_which_days_it_can_be_agreed(yard, desk, dispatcher):
    address = f"/visits/new?system={yard.code}"
    told = posted(desk.get(address), systems=[yard.pk], is_digging="on", act="again")
    assert "no utility locate ticket is valid from today on" in page(desk.post(address, told))

    register.note_locate_ticket(
        yard.site,
        asker=dispatcher,
        number="2027-118",
        valid_from=date(2027, 5, 3),
        valid_until=date(2027, 5, 14),
    )
    # What lies before today, Monday 10 May, is not told.
    said = "agreed for the days of its locate ticket: Monday 10 May to Friday 14 May."
    assert said in page(desk.post(address, told))
    visit = plan_visit(
        yard.site, asker=dispatcher, purpose="mend", systems={}, meant_for=None, is_digging=True
    )
    assert said in page(desk.get(f"/visits/{visit.pk}"))
    assert "locate ticket" not in page(desk.get(address))
