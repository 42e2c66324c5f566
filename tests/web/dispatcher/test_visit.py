"""Visits: three free times, the answer on the phone, moving, calling off, and taking it back."""

from datetime import date, time, timedelta
from uuid import uuid4

import pytest

from drainservice.accounts.models import Account
from drainservice.visits.actions import agree_visit
from drainservice.visits.models import Answer, Visit
from drainservice.visits.queries import free_times
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
    first = shown.context["free"][0][0] if shown.context["free"] else ""
    return desk.post(
        address, posted(shown, **{"time": first, "systems": [system.pk], "act": "hold"} | told)
    )


def test_the_three_earliest_windows_are_offered(yard, desk):
    # Monday 8:00: the window from 8 has begun, so 10 to 12, 13 to 15 and 15 to 17 are next.
    free = desk.get(f"/visits/new?system={yard.code}").context["free"]
    assert [words for _, words in free] == [
        "Mon 10 May, 10 to 12, by Andrea",
        "Mon 10 May, 13 to 15, by Andrea",
        "Mon 10 May, 15 to 17, by Andrea",
    ]


def test_no_free_time_falls_on_a_weekend(yard, desk):
    crew = Account.objects.filter(handle="andrea")
    found = free_times(crew, makers.ZONE, minutes=45, at=makers.MONDAY, most=60, days=14)
    days = {free.window.day.weekday() for free in found}
    assert days == {0, 1, 2, 3, 4}
    # Two weeks of five days with four windows, less the one of Monday that has begun.
    assert len(found) == 2 * 5 * 4 - 1


def test_work_starts_where_the_visit_before_ends(yard, desk, offered):
    # Andrea is taken on Tuesday 8:00 to 8:45; the next 45 minutes of that window start at 8:45.
    crew = Account.objects.filter(handle="andrea")
    at = makers.later(hours=10)  # Monday 18:00
    first = free_times(crew, makers.ZONE, minutes=45, at=at, most=1)[0]
    assert (first.window.day, first.window.from_) == (TUESDAY, time(8))
    assert first.starts_at == offered.slot_ends_at


def test_the_technician_who_can_start_first_is_offered(yard, desk, offered):
    makers.make_account("bruno")
    at = makers.later(hours=10)
    crew = Account.objects.filter(role="technician").order_by("handle")
    first = free_times(crew, makers.ZONE, minutes=45, at=at, most=1)[0]
    assert first.technician.handle == "bruno"  # Andrea is taken until 8:45


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
