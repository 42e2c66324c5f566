"""Crew: who can go this week and who cannot; hours, absences, skills, vans, closed days, terms."""

import re
from datetime import date, time, timedelta

import pytest

from drainservice.accounts.models import Account
from drainservice.visits import actions, queries
from drainservice.visits.models import (
    Absence,
    Area,
    ClosedDay,
    CrewMember,
    HomeBase,
    LookMinutes,
    PlanningTerms,
    Skill,
    Van,
    VanOut,
    WorkingHours,
)
from drainservice.web.dispatcher.crew_words import join, say_hours
from tests import makers
from tests.doors.forms import values_of
from tests.web.dispatcher.conftest import page, sign_in
from tests.web.dispatcher.test_statements import add_house, statements
from tests.web.dispatcher.test_system import posted

pytestmark = pytest.mark.django_db
THURSDAY = date(2027, 5, 13)


@pytest.fixture
def andrea(desk):
    return Account.objects.get(handle="andrea")


def words(answer):
    """What is read on a page, without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", page(answer)).split())


def shown(answer):
    """The longest form of a page as a browser would send it."""
    return values_of(answer.content.decode())


def away(desk, path="/crew/andrea", **told):
    told = {"from_on": "2027-05-13", "because": "fever"} | told
    return desk.post(path, posted(desk.get(path), **told), follow=True)


def test_the_first_sentence_says_that_everybody_can_go(desk):
    makers.make_account("bo")
    assert "In the seven days from Monday 10 May everybody can go: Andrea and Bo." in page(
        desk.get("/crew")
    )


def test_who_cannot_is_named_with_days_and_reason(desk):
    makers.make_account("bo")
    away(desk, until_on="2027-05-14")
    said = words(desk.get("/crew"))
    assert "from Monday 10 May Bo can go on all their days." in said
    assert "Andrea cannot go on Thu 13 May and Fri 14 May: fever." in said
    said = words(desk.get("/crew/andrea"))
    assert "Andrea can go, but not always. Not on Thu 13 May and Fri 14 May: fever." in said


def test_who_cannot_on_some_hours_and_a_closed_day_are_told_after_it(desk):
    away(desk, from_time="14:00")
    told = {"first_on": "2027-05-12", "name": "Stock taking"}
    desk.post("/crew/add/closed", posted(desk.get("/crew/add/closed"), **told))
    said = words(desk.get("/crew"))
    assert (
        "Andrea can go, but not always. Andrea is away on Thursday 13 May from 14: fever." in said
    )
    assert "Wednesday 12 May is closed: Stock taking." in said


def test_nobody_can_go_and_nobody_is_there(desk, andrea):
    away(desk, from_on="2027-05-10", until_on="2027-06-10")
    assert "In the seven days from Monday 10 May nobody can go." in words(desk.get("/crew"))
    andrea.is_active = False
    andrea.save()
    assert "Nobody goes out yet" in words(desk.get("/crew"))


def test_assumed_hours_are_told_to_be_assumed(desk):
    for path in ("/crew", "/crew/andrea"):
        said = words(desk.get(path))
        assert (
            "Monday to Friday 8 to 17, break 30 min between 11:30 and 13:30, at most 60 min over. "
            "That is assumed" in said
        )


def test_hours_read_as_a_sentence():
    def row(weekday, starts=8, ends=17, **more):
        told = {"overtime_minutes": 0, "break_minutes": 0} | more
        return WorkingHours(weekday=weekday, starts=time(starts), ends=time(ends, 30), **told)

    def said(*rows):
        return say_hours(rows)

    assert said(row(0), row(2)) == "Monday and Wednesday 8 to 17:30, no break, never over"
    assert said(row(0), row(1)).startswith("Monday and Tuesday 8")
    assert said(row(0), row(1), row(2), row(5)).startswith("Monday to Wednesday and Saturday 8")
    assert said(row(0), row(5, ends=12)) == (
        "Monday 8 to 17:30, no break, never over; Saturday 8 to 12:30, no break, never over"
    )
    assert join(["A", "B", "C"]) == "A, B and C"


# Absences


def test_an_absence_says_which_promises_it_touches_and_where_they_are_put_right(
    desk, offered, dispatcher
):
    # Offered for Tuesday 11 May, 8 to 10.
    answer = away(desk, from_on="2027-05-11", until_on="2027-05-12")
    assert answer.redirect_chain[0][0].startswith("/crew/andrea?done=entered&act=")
    said = words(answer)
    assert "1 promise does not fit when they can go. Put right Tue 11 May" in said
    assert "Tue 11 May to Wed 12 May : fever." in said.replace("May: fever", "May : fever")
    assert re.search(r'href="/rounds/2027-05-11/\w+">Tue 11 May', page(answer))
    assert "1 promise does not fit who can go" in words(desk.get("/crew"))


def test_an_absence_can_be_undone_at_once(desk):
    answer = away(desk)
    group = re.search(r'action="/undo/(\w+)"', page(answer))[1]
    desk.post(f"/undo/{group}")
    assert not Absence.objects.standing().exists()
    assert "Andrea can go on all their days." in words(desk.get("/crew"))


def test_an_absence_of_somebody_is_entered_on_the_page_of_all(desk):
    answer = away(desk, "/crew", who="andrea", from_time="07:30", until_time="09:15")
    assert answer.redirect_chain[0][0].startswith("/crew/andrea")
    row = Absence.objects.get()
    # 7:30 and 9:15 in America/Los_Angeles in May are 14:30 and 16:15 UTC.
    assert row.from_at.isoformat() == "2027-05-13T14:30:00+00:00"
    assert row.until_at.isoformat() == "2027-05-13T16:15:00+00:00"


def test_whoever_is_ill_this_morning_is_entered_by_name_alone(desk):
    desk.post("/crew", posted(desk.get("/crew"), who="andrea"))
    row = Absence.objects.get()
    # All of Monday by the firm's clock, 7 h behind UTC.
    assert row.from_at.isoformat() == "2027-05-10T07:00:00+00:00"
    assert row.until_at - row.from_at == timedelta(days=1)


def test_a_form_sent_twice_enters_one_absence(desk):
    told = posted(desk.get("/crew/andrea"), from_on="2027-05-13")
    desk.post("/crew/andrea", told)
    answer = desk.post("/crew/andrea", told, follow=True)
    assert "That was sent once already" in page(answer)
    assert Absence.objects.count() == 1


def test_an_absence_is_shown_as_it_was_typed_and_changed_where_it_was_read(desk):
    away(desk, from_time="07:30", until_on="2027-05-14")
    row = Absence.objects.get()
    path = f"/crew/change/absence/{row.pk}"
    told = shown(desk.get(path))
    typed = {k: told[k] for k in ("from_on", "from_time", "until_on", "because")}
    assert typed == {
        "from_on": "2027-05-13",
        "from_time": "07:30",
        "until_on": "2027-05-14",
        "because": "fever",
    }
    assert not told.get("until_time")
    desk.post(path, told | {"until_on": "2027-05-15"})
    row.refresh_from_db()
    # The end of Saturday is Sunday's midnight, 7:00 UTC.
    assert row.until_at.isoformat() == "2027-05-16T07:00:00+00:00"
    assert "Someone changed this" in page(desk.post(path, told | {"until_on": "2027-05-20"}))
    answer = desk.post(path, {"act": "off"}, follow=True)
    assert "Taken off the record" in page(answer)
    assert not Absence.objects.standing().exists()


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"from_on": "2027-05-13", "until_on": "2027-05-12"}, "choose a later end"),
        ({"from_on": "2027-05-13", "from_time": "9:00", "until_time": "9:00"}, "choose a later"),
        ({"from_on": "0001-01-01"}, "a day of this century"),
        ({"from_on": "9999-12-31"}, "a day of this century"),
        ({"from_on": "soon"}, "Enter a valid date"),
        ({"from_on": "2027-05-13", "until_on": "2031-05-13"}, "three years"),
        ({"from_on": "2027-05-13", "because": "a\x00b"}, "Null characters are not allowed"),
    ],
)
def test_an_absence_that_cannot_be_is_refused_and_kept_on_the_page(desk, told, said):
    answer = away(desk, **told)
    assert answer.status_code == 422
    assert said in page(answer)
    assert not Absence.objects.exists()


# Hours


def test_hours_are_entered_a_weekday_a_row_and_hold_from_their_day(desk, andrea):
    form = shown(desk.get("/crew/andrea/hours"))
    # What is assumed stands there to be mended.
    assert (form["starts_0"], form["ends_4"], form["break_minutes_2"]) == ("08:00", "17:00", "30")
    assert "starts_5" in form
    assert not form["starts_5"]
    told = {
        "starts_0": "07:00",
        "ends_0": "15:30",
        "starts_1": "",
        "ends_1": "",
        "starts_5": "09:00",
        "ends_5": "13:00",
        "valid_from": "2027-05-13",
    }
    answer = desk.post("/crew/andrea/hours", form | told, follow=True)
    said = words(answer)
    assert "From Thursday 13 May 2027: Monday 7 to 15:30" in said
    assert "Saturday 9 to 13, no break, never over" in said
    days = [THURSDAY + timedelta(days=n) for n in range(7)]
    assert [s.day.weekday() for s in queries.shifts_on(days)] == [3, 4, 5, 0, 2]
    told = {"act": "take_back", "valid_from": "2027-05-13"}
    desk.post("/crew/andrea/hours", told)
    assert not WorkingHours.objects.standing().exists()


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"starts_0": ""}, "Say when it begins, or empty both for a day off."),
        ({"ends_0": "07:00"}, "On Mondays work would end before it begins"),
        ({"ends_0": "noonish"}, "Enter a valid time"),
        ({"break_latest_0": "17:00"}, "On Mondays the break would not lie within working hours"),
        (
            {f"{end}_{n}": "" for end in ("starts", "ends") for n in range(7)},
            "at least one weekday",
        ),
    ],
)
def test_hours_that_cannot_be_are_refused_and_kept_on_the_page(desk, told, said):
    answer = desk.post("/crew/andrea/hours", posted(desk.get("/crew/andrea/hours"), **told))
    assert answer.status_code == 422
    assert said in page(answer)
    assert not WorkingHours.objects.exists()


def test_hours_of_a_day_that_is_over_are_refused(desk):
    desk.post("/crew/andrea/hours", posted(desk.get("/crew/andrea/hours")))
    form = posted(desk.get("/crew/andrea/hours"), valid_from="2027-05-09")
    assert "begin on 2027-05-10 or later" in page(desk.post("/crew/andrea/hours", form))
    answer = desk.post("/crew/andrea/hours", {"act": "take_back", "valid_from": "2027-05-10"})
    assert answer.status_code == 409
    answer = desk.post("/crew/andrea/hours", {"act": "take_back", "valid_from": "never"})
    assert answer.status_code == 404


# Skills, areas, base and van


def test_a_licence_is_entered_with_its_last_day_and_told_when_it_has_ended(desk):
    path = "/crew/andrea/add/skill"
    desk.post(path, posted(desk.get(path), word="Electric", valid_until="2027-05-09"))
    assert "electric, ended on 9 May 2027" in words(desk.get("/crew/andrea"))
    assert "Can do" not in words(desk.get("/crew")).replace("Can do</h2>", "")
    row = Skill.objects.get()
    path = f"/crew/change/skill/{row.pk}"
    desk.post(path, posted(desk.get(path), word="camera", valid_until="2028-05-09"))
    row.refresh_from_db()
    assert (row.word, row.valid_until) == ("electric", date(2028, 5, 9))
    assert "Can do electric." in words(desk.get("/crew"))
    again = posted(desk.get("/crew/andrea/add/skill"), word="electric")
    assert "stands there already" in page(desk.post("/crew/andrea/add/skill", again))


def test_an_area_is_drawn_by_its_corners(desk):
    path = "/crew/andrea/add/area"
    told = {"name": "Along the ridge", "corners": "47.0, -122.5\n47.5, -122.5\nnorth"}
    answer = desk.post(path, posted(desk.get(path), **told))
    assert answer.status_code == 422
    assert "Line 3, “north”, is no corner" in page(answer)
    told["corners"] = "47.0, -122.5\n47.5, -122.5\n47.5, -122.0"
    desk.post(path, posted(desk.get(path), **told))
    assert "Usually goes to Along the ridge, 3 corners." in words(desk.get("/crew/andrea"))
    row = Area.objects.get()
    path = f"/crew/change/area/{row.pk}"
    assert posted(desk.get(path))["corners"].split() == told["corners"].split()


def test_a_base_and_a_van_are_entered_and_given_to_somebody(desk, andrea):
    told = {"name": "Yard", "latitude": "47.2", "longitude": "-122.4"}
    desk.post("/crew/add/base", posted(desk.get("/crew/add/base"), **told))
    told = {"name": "The blue van", "carries": "camera, Ladder"}
    desk.post("/crew/add/van", posted(desk.get("/crew/add/van"), **told))
    base, van = HomeBase.objects.get(), Van.objects.get()
    path = "/crew/andrea/start"
    desk.post(path, posted(desk.get(path), base=str(base.pk), van=str(van.pk)))
    said = words(desk.get("/crew/andrea"))
    assert "Begins at Yard; drives The blue van." in said
    assert "What The blue van carries: camera, ladder." in said
    assert "Andrea drives it; it carries camera, ladder." in words(desk.get("/crew"))
    answer = desk.post(f"/crew/change/van/{van.pk}", {"act": "off"})
    assert answer.status_code == 422
    assert "give them another van or none first" in page(answer)
    # Whoever read the page before somebody else saved does not write over theirs.
    stale = posted(desk.get(path), base="")
    member = CrewMember.objects.get()
    actions.set_member(andrea, asker=makers.clock(), base=base, van=None)
    assert "Someone changed this" in page(desk.post(path, stale))
    assert member.base == base


def test_a_van_that_is_out_keeps_whoever_drives_it(desk, andrea):
    van = actions.enter_van(asker=makers.clock(), name="The blue van")
    actions.set_member(andrea, asker=makers.clock(), base=None, van=van)
    path = f"/crew/add/out?of={van.pk}"
    told = posted(desk.get(path), from_on="2027-05-13", because="")
    assert desk.post(path, told).status_code == 422
    desk.post(path, told | {"because": "the clutch"})
    said = words(desk.get("/crew"))
    assert "Not on Thu 13 May: The blue van is out: the clutch." in said
    assert "Out Thu 13 May: the clutch." in said
    row = VanOut.objects.get()
    desk.post(f"/crew/change/out/{row.pk}", {"act": "off"})
    assert not VanOut.objects.standing().exists()


@pytest.mark.parametrize("of", ["", "x", "0", "99999999999999999999", "²"])
def test_a_van_that_is_not_there_is_not_found(desk, of):
    assert desk.get("/crew/add/out", {"of": of}).status_code == 404


# Closed days and terms


def test_closed_days_are_told_with_the_holidays_of_the_year(desk):
    told = {"first_on": "2027-12-24", "last_on": "2027-12-31", "name": "Between the years"}
    desk.post("/crew/add/closed", posted(desk.get("/crew/add/closed"), **told))
    said = words(desk.get("/crew"))
    assert "Public holidays are those of US." in said
    assert "Fri 24 Dec to Fri 31 Dec: Between the years." in said
    # 5 U.S.C. 6103(a): the fourth Thursday in November.
    assert "Thursday 25 November 2027: Thanksgiving Day." in said
    row = ClosedDay.objects.get()
    path = f"/crew/change/closed/{row.pk}"
    desk.post(path, posted(desk.get(path), last_on="2027-12-23"))
    assert ClosedDay.objects.get().last_on == date(2027, 12, 31)
    desk.post(path, posted(desk.get(path), first_on="2027-11-25", last_on="", is_worked="on"))
    said = words(desk.get("/crew"))
    assert "we work then, though it is a public holiday" in said
    assert "2027: Thanksgiving Day" not in said


def test_a_public_holiday_is_worked_by_one_link_and_one_press(desk):
    # 5 U.S.C. 6103(a): Columbus Day is the second Monday in October, 11 October 2027.
    assert "Monday 11 October 2027: Columbus Day. We work then" in words(desk.get("/crew"))
    path = "/crew/add/closed?works=2027-10-11"
    desk.post(path, posted(desk.get(path)))
    row = ClosedDay.objects.get()
    assert (row.name, row.is_worked, row.last_on) == (
        "We work on Columbus Day",
        True,
        date(2027, 10, 11),
    )
    assert "October 2027: Columbus Day" not in words(desk.get("/crew"))
    assert desk.get("/crew/add/closed?works=soon").status_code == 404


def test_the_terms_are_ours_until_they_are_set(desk):
    form = shown(desk.get("/terms"))
    assert (form["window_minutes"], form["country"], form["version"]) == ("120", "US", "0")
    desk.post("/terms", form | {"subdivision": "wa", "reserve_percent": "20"})
    assert PlanningTerms.objects.get().reserve_percent == 20
    assert "Public holidays are those of US, WA." in words(desk.get("/crew"))
    # Whoever read ours before they were set does not write over what was set.
    assert "Someone changed this" in page(desk.post("/terms", form))


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"country": "XX"}, "No calendar of public holidays is known for XX."),
        ({"subdivision": "ZZ"}, "is known for US, ZZ"),
        ({"country": "", "subdivision": "WA"}, "give its two letters"),
        ({"reserve_percent": "61"}, "Write a number from 0 to 60."),
        ({"window_minutes": "29"}, "Write a number from 30 to 600."),
        ({"detour": "nan"}, "Enter a number."),
        ({"detour": "0.9"}, "Write a number from 1 to 3."),
    ],
)
def test_terms_that_cannot_be_are_refused_in_words(desk, told, said):
    answer = desk.post("/terms", posted(desk.get("/terms"), **told))
    assert answer.status_code == 422
    assert said in page(answer)
    assert not PlanningTerms.objects.exists()


def test_how_long_looks_take_is_ours_until_the_visits_have_taught_it(desk):
    assert "Proof test: 15 min, by our judgement." in words(desk.get("/crew"))
    LookMinutes.objects.create(
        kind="pump", middle_s=1081, high_s=1500, records=31, counted_at=makers.MONDAY
    )
    # A begun minute counts whole: 1081 s are 19 min.
    assert "Proof test: 19 min in the middle of 31 of your own, four of five within 25." in words(
        desk.get("/crew")
    )


# Who may, and at what price


PATHS = [
    "/crew",
    "/crew/andrea",
    "/crew/andrea/hours",
    "/crew/andrea/start",
    "/crew/andrea/add/absence",
    "/crew/andrea/add/skill",
    "/crew/add/van",
    "/terms",
]


@pytest.mark.parametrize("path", PATHS)
def test_the_crew_is_for_the_office_alone(desk, path, client):
    makers.make_account("olga", "owner")
    assert sign_in("olga").get(path).status_code == 200
    assert sign_in("andrea").get(path).status_code == 403
    assert client.get(path).status_code == 302


@pytest.mark.parametrize("path", PATHS)
def test_looking_writes_nothing(desk, changes, path):
    before = changes()
    assert desk.get(path).status_code == 200
    assert changes() == before


@pytest.mark.parametrize(
    "path",
    [
        "/crew/dora",
        "/crew/nobody",
        "/crew/nobody/hours",
        "/crew/andrea/add/van",
        "/crew/andrea/add/nothing",
        "/crew/add/skill",
        "/crew/add/nothing",
        "/crew/change/van/1",
        "/crew/change/nothing/1",
        "/crew/change/van/99999999999999999999999",
    ],
)
def test_what_is_not_there_is_not_found(desk, path):
    assert desk.get(path).status_code == 404


@pytest.mark.parametrize("path", ["/crew", "/crew/andrea"])
def test_a_larger_crew_takes_as_many_statements(desk, dispatcher, andrea, path):
    def grow(number):
        account = makers.make_account(f"tech{number}")
        van = actions.enter_van(asker=dispatcher, name=f"Van {number}", carries=["camera"])
        actions.set_member(account, asker=dispatcher, base=None, van=van)
        actions.give_skill(account, asker=dispatcher, word="pump")
        add_house(number, dispatcher)
        day = makers.later(days=number)
        for who in (account, andrea):
            actions.enter_absence(
                who, asker=dispatcher, from_at=day, until_at=day + timedelta(hours=6)
            )

    grow(1)
    few = statements(desk, path)
    for number in (2, 3, 4):
        grow(number)
    assert "4 promises do not fit" in words(desk.get(path))
    assert statements(desk, path) == few <= 42
