"""Entering who can go when: what cannot be is refused in words, what it breaks is named."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.accounts import history
from drainservice.accounts.history import ChangedMeanwhile
from drainservice.accounts.models import Account, Change
from drainservice.accounts.text import TextRefused
from drainservice.visits import actions, queries
from drainservice.visits.actions.absences import AbsenceRefused
from drainservice.visits.actions.corners import PlaceRefused, read_corners
from drainservice.visits.actions.crew import CrewRefused
from drainservice.visits.actions.hours import DayHours, HoursRefused
from drainservice.visits.actions.terms import ClosedDayRefused, TermsRefused
from drainservice.visits.models import CrewMember, PlanningTerms, Round, WorkingHours
from drainservice.visits.queries import Window
from tests import makers

pytestmark = pytest.mark.django_db
# makers.MONDAY is 10 May 2027, 8:00 in the firm's zone.
TODAY, THURSDAY = date(2027, 5, 10), date(2027, 5, 13)
WORKDAYS = [DayHours(weekday, time(8), time(17)) for weekday in range(5)]


def pacific(day, hour, minute=0):
    """Summer time in America/Los_Angeles is UTC - 7 h."""
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC) + timedelta(hours=7)


@pytest.fixture
def andrea(technician):
    return Account.objects.get(pk=technician.account_id)


@pytest.fixture
def visit(home, dispatcher, andrea):
    """Offered for Thursday, 13 to 15: kept from 13:00 to 13:45."""
    _, _, site, system = home
    planned = actions.plan_visit(
        site,
        asker=dispatcher,
        purpose="yearly look",
        systems={system: ["pump"]},
        meant_for=None,
        minutes=45,
    )
    window = Window(THURSDAY, time(13), time(15))
    return actions.offer_visit(planned, to=window, technician=andrea, asker=dispatcher)


def a_round(andrea, day=THURSDAY):
    """Their round of a day, as of now in its first version."""
    Round.objects.update_or_create(technician=andrea, day=day, defaults={"version": 1})


def version_of(andrea, day=THURSDAY):
    return Round.objects.get(technician=andrea, day=day).version


def shifts(andrea, *days):
    return [s.day for s in queries.shifts_on(days, technicians=[andrea])]


# Working hours


def test_new_hours_begin_on_their_day_and_leave_the_days_before(andrea, dispatcher):
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=WORKDAYS)
    saturdays = [DayHours(5, time(9), time(13), break_minutes=0)]
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=THURSDAY, days=saturdays)
    week = [TODAY + timedelta(days=n) for n in range(7)]
    assert shifts(andrea, *week) == [*week[:3], week[5]]


def test_hours_of_the_same_day_replace_each_other_and_history_keeps_both(andrea, dispatcher):
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=WORKDAYS)
    friday = [DayHours(4, time(8), time(17))]
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=friday)
    assert WorkingHours.objects.standing().count() == 1
    assert WorkingHours.objects.count() == 6
    told = Change.objects.filter(subject="visits.workinghours")
    assert told.filter(action="entered").count() == 6
    assert told.filter(action="removed").count() == 5


def test_only_a_first_pattern_may_begin_before_today(andrea, dispatcher):
    before = TODAY - timedelta(days=30)
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=before, days=WORKDAYS)
    with pytest.raises(HoursRefused, match="begin on 2027-05-10 or later"):
        actions.set_working_hours(
            andrea, asker=dispatcher, valid_from=TODAY - timedelta(days=1), days=WORKDAYS
        )


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ([], "at least one weekday"),
        ([DayHours(0, time(17), time(8))], "On Mondays work would end before it begins"),
        ([DayHours(0, time(8), time(8))], "choose a later end"),
        ([DayHours(1, time(8), time(17))] * 2, "Tuesday stands there twice"),
        ([DayHours(7, time(8), time(17))], "seven days"),
        ([DayHours(0, time(8), time(17), overtime_minutes=241)], "overtime may be 0 to 240"),
        ([DayHours(0, time(8), time(17), break_minutes=-1)], "a break may take 0"),
        # A break that may begin at 13:30 for 30 min ends at 14:00.
        ([DayHours(0, time(8), time(13, 59))], "30 minutes before 13:59"),
        ([DayHours(0, time(12), time(17))], "start between 12:00 and"),
        (
            [DayHours(0, time(8), time(17), break_earliest=time(13), break_latest=time(12))],
            "swap them",
        ),
    ],
)
def test_hours_that_cannot_be_are_refused_in_words(andrea, dispatcher, days, words):
    with pytest.raises(HoursRefused, match=words):
        actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=days)
    assert not WorkingHours.objects.exists()


def test_a_short_day_without_a_break_is_taken(andrea, dispatcher):
    short = [DayHours(0, time(8), time(12), break_minutes=0), DayHours(1, time(8), time(14))]
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=short)
    assert WorkingHours.objects.count() == 2


def test_new_hours_name_the_promises_they_break(andrea, dispatcher, visit):
    mornings = [DayHours(weekday, time(7), time(13, 30), break_minutes=0, overtime_minutes=14)
                for weekday in range(5)]  # fmt: skip
    a_round(andrea)
    # The visit ends at 13:45; 13:30 and 14 minutes of overtime are a minute too little.
    found = actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=mornings)
    assert found.promises == [visit]
    assert version_of(andrea) == 2


def test_hours_that_still_hold_a_visit_touch_nothing(andrea, dispatcher, visit):
    found = actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=WORKDAYS)
    assert found.visits == []


def test_a_pattern_ahead_can_be_taken_back_and_one_that_began_cannot(andrea, dispatcher):
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=TODAY, days=WORKDAYS)
    friday = [DayHours(4, time(8), time(17))]
    actions.set_working_hours(andrea, asker=dispatcher, valid_from=THURSDAY, days=friday)
    assert shifts(andrea, THURSDAY) == []
    actions.take_back_hours(andrea, asker=dispatcher, valid_from=THURSDAY)
    assert shifts(andrea, THURSDAY) == [THURSDAY]
    with pytest.raises(HoursRefused, match="have begun"):
        actions.take_back_hours(andrea, asker=dispatcher, valid_from=TODAY)


# Absences


def test_an_absence_answers_the_promises_it_touches_and_raises_the_rounds(
    andrea, dispatcher, visit
):
    bo = makers.make_account("bo")
    for who, day in ((andrea, THURSDAY), (andrea, TODAY), (bo, THURSDAY)):
        a_round(who, day)
    # Until midnight before Friday: Friday's round is left alone.
    a_round(andrea, THURSDAY + timedelta(days=1))
    found = actions.enter_absence(
        andrea,
        asker=dispatcher,
        from_at=pacific(THURSDAY, 0),
        until_at=pacific(THURSDAY, 24 - 1) + timedelta(hours=1),
        because="fever",
    )
    assert found.promises == [visit]
    assert version_of(andrea) == 2
    assert version_of(andrea, TODAY) == version_of(bo) == 1
    assert version_of(andrea, THURSDAY + timedelta(days=1)) == 1


def test_an_absence_from_the_middle_touches_what_lies_in_the_lost_piece(andrea, dispatcher, visit):
    # 8 to 17 less 11 to 11:30 leaves 8 to 11 (3 h) or 11:30 to 17 (5.5 h): the visit stays.
    found = actions.enter_absence(
        andrea,
        asker=dispatcher,
        from_at=pacific(THURSDAY, 11),
        until_at=pacific(THURSDAY, 11, 30),
    )
    assert found.visits == []
    # Less 14 to 14:30 it is 11:30 to 14 (2.5 h), 14:30 to 17 (2.5 h), 8 to 11 (3 h).
    found = actions.enter_absence(
        andrea,
        asker=dispatcher,
        from_at=pacific(THURSDAY, 14),
        until_at=pacific(THURSDAY, 14, 30),
    )
    assert found.visits == [visit]


def test_what_is_over_or_only_meant_is_no_promise(andrea, dispatcher, visit, home):
    late = makers.as_account(Account.objects.get(pk=dispatcher.account_id), makers.later(days=4))
    found = actions.enter_absence(
        andrea, asker=late, from_at=pacific(THURSDAY, 0), until_at=pacific(THURSDAY, 20)
    )
    assert found.visits == []


def test_a_changed_absence_frees_what_it_leaves_and_takes_what_it_reaches(
    andrea, dispatcher, visit
):
    tuesday = date(2027, 5, 11)
    row = actions.enter_absence(
        andrea, asker=dispatcher, from_at=pacific(tuesday, 0), until_at=pacific(tuesday, 20)
    ).row
    a_round(andrea, tuesday), a_round(andrea)
    found = actions.change_absence(
        row,
        asker=dispatcher,
        from_at=pacific(THURSDAY, 0),
        until_at=pacific(THURSDAY, 20),
        because="fever",
    )
    assert found.promises == [visit]
    assert (version_of(andrea, tuesday), version_of(andrea)) == (2, 2)
    assert shifts(andrea, tuesday, THURSDAY) == [tuesday]
    actions.remove_absence(row, asker=dispatcher)
    assert shifts(andrea, tuesday, THURSDAY) == [tuesday, THURSDAY]
    assert version_of(andrea) == 3


def test_an_absence_that_cannot_be_is_refused_in_words(andrea, dispatcher):
    at = pacific(THURSDAY, 8)
    with pytest.raises(AbsenceRefused, match="choose a later end"):
        actions.enter_absence(andrea, asker=dispatcher, from_at=at, until_at=at)
    with pytest.raises(AbsenceRefused, match="three years"):
        actions.enter_absence(
            andrea, asker=dispatcher, from_at=at, until_at=at + timedelta(days=1101)
        )


def test_the_reason_of_an_absence_is_kept_apart_in_history(andrea, dispatcher):
    actions.enter_absence(
        andrea,
        asker=dispatcher,
        from_at=pacific(THURSDAY, 8),
        until_at=pacific(THURSDAY, 9),
        because="fever",
    )
    change = Change.objects.get(subject="visits.absence")
    assert "because" not in change.after
    assert change.private["after"] == {"because": "fever"}


def test_an_undone_absence_raises_the_rounds_again(andrea, dispatcher, visit):
    acting = dispatcher.acting(group="a1")
    actions.enter_absence(
        andrea, asker=acting, from_at=pacific(THURSDAY, 0), until_at=pacific(THURSDAY, 20)
    )
    a_round(andrea)
    history.undo("a1", asker=dispatcher)
    actions.say_crew_put_back("a1", asker=dispatcher)
    assert version_of(andrea) == 2
    assert shifts(andrea, THURSDAY) == [THURSDAY]
    # Another act leaves them alone.
    actions.say_crew_put_back("", asker=dispatcher)
    actions.say_crew_put_back("b2", asker=dispatcher)
    assert version_of(andrea) == 2


# Skills, vans, bases, areas


def test_a_visit_that_needs_a_skill_is_touched_when_it_ends(andrea, dispatcher, visit):
    row = actions.give_skill(andrea, asker=dispatcher, word=" Electric ")
    history.keep(visit, asker=dispatcher, skills_wanted=["electric"])
    assert row.word == "electric"
    before = actions.change_skill(row, asker=dispatcher, valid_until=date(2027, 5, 12))
    assert before.promises == [visit]
    again = actions.change_skill(row, asker=dispatcher, valid_until=THURSDAY)
    assert again.visits == []
    assert actions.take_skill(row, asker=dispatcher).promises == [visit]


def test_a_skill_is_one_word_and_held_once(andrea, dispatcher):
    actions.give_skill(andrea, asker=dispatcher, word="camera")
    with pytest.raises(CrewRefused, match="stands there already"):
        actions.give_skill(andrea, asker=dispatcher, word="Camera")
    with pytest.raises(CrewRefused, match="Give the skill a word"):
        actions.give_skill(andrea, asker=dispatcher, word=" ")
    with pytest.raises(TextRefused, match="at most 40"):
        actions.give_skill(andrea, asker=dispatcher, word="x" * 41)


def test_a_van_out_touches_whose_it_is(andrea, dispatcher, visit):
    bo = makers.make_account("bo")
    van = actions.enter_van(asker=dispatcher, name="The blue van", carries=["Camera", "camera", ""])
    assert van.carries == ["camera"]
    actions.set_member(andrea, asker=dispatcher, base=None, van=van)
    a_round(andrea), a_round(bo)
    out = actions.enter_van_out(
        van,
        asker=dispatcher,
        from_at=pacific(THURSDAY, 0),
        until_at=pacific(THURSDAY, 20),
        because="the clutch",
    )
    assert out.promises == [visit]
    assert (version_of(andrea), version_of(bo)) == (2, 1)
    earlier = actions.change_van_out(out.row, asker=dispatcher, until_at=pacific(THURSDAY, 12))
    assert earlier.visits == []
    actions.remove_van_out(out.row, asker=dispatcher)
    assert version_of(andrea) == 4
    with pytest.raises(AbsenceRefused, match="Say why"):
        actions.enter_van_out(
            van,
            asker=dispatcher,
            from_at=pacific(THURSDAY, 0),
            until_at=pacific(THURSDAY, 20),
            because="",
        )


def test_vans_are_told_apart_by_name_and_not_taken_from_under_somebody(andrea, dispatcher):
    van = actions.enter_van(asker=dispatcher, name="The blue van")
    with pytest.raises(CrewRefused, match="already"):
        actions.enter_van(asker=dispatcher, name="The  blue van")
    actions.change_van(van, asker=dispatcher, name="The blue van", carries=["ladder"])
    actions.set_member(andrea, asker=dispatcher, base=None, van=van)
    with pytest.raises(CrewRefused, match="Andrea drive it; give them another van or none"):
        actions.take_van_off(van, asker=dispatcher)
    actions.set_member(andrea, asker=dispatcher, base=None, van=None)
    assert actions.take_van_off(van, asker=dispatcher).removed_at is not None


def test_a_base_is_checked_against_where_the_sites_lie(home, dispatcher):
    # The site lies at 47.25 N, 122.44 W.
    base = actions.enter_base(
        asker=dispatcher, name="Yard", address="9 Dock Rd", latitude=47.2, longitude=-122.4
    )
    with pytest.raises(PlaceRefused, match="were the two swapped"):
        actions.change_base(base, asker=dispatcher, latitude=-122.4, longitude=47.2)
    with pytest.raises(
        PlaceRefused,
        match=r"km from the middle of your sites, but with the other sign of the longitude",
    ):
        actions.enter_base(asker=dispatcher, name="Yard", latitude=47.2, longitude=122.4)
    with pytest.raises(PlaceRefused, match="open sea"):
        actions.enter_base(asker=dispatcher, name="Yard", latitude=0, longitude=0)
    assert queries.home_base_of(makers.make_account("bo")) == base


def test_a_base_without_any_site_is_taken_where_it_is(dispatcher):
    assert actions.enter_base(asker=dispatcher, name="Yard", latitude=47.2, longitude=122.4).pk


def test_a_base_where_somebody_begins_stays(andrea, dispatcher):
    base = actions.enter_base(asker=dispatcher, name="Yard", latitude=47.2, longitude=-122.4)
    actions.set_member(andrea, asker=dispatcher, base=base, van=None)
    with pytest.raises(CrewRefused, match="begin there; give them another base"):
        actions.take_base_off(base, asker=dispatcher)


def test_whose_van_and_base_were_changed_meanwhile_are_left(andrea, dispatcher):
    actions.set_member(andrea, asker=dispatcher, base=None, van=None, version=0)
    van = actions.enter_van(asker=dispatcher, name="The blue van")
    with pytest.raises(ChangedMeanwhile):
        actions.set_member(andrea, asker=dispatcher, base=None, van=van, version=0)


def test_an_undone_first_entry_can_be_entered_again(andrea, dispatcher):
    acting = dispatcher.acting(group="a1")
    van = actions.enter_van(asker=dispatcher, name="The blue van")
    actions.set_member(andrea, asker=acting, base=None, van=van)
    actions.set_planning_terms(asker=acting, country="US", reserve_percent=20)
    history.undo("a1", asker=dispatcher)
    assert queries.the_terms().reserve_percent == 15
    actions.set_member(andrea, asker=dispatcher, base=None, van=van)
    actions.set_planning_terms(asker=dispatcher, reserve_percent=25)
    assert CrewMember.objects.standing().get().van == van
    assert queries.the_terms().reserve_percent == 25


def test_an_area_has_three_corners_in_order_of_latitude_and_longitude(andrea, dispatcher, home):
    text = "47.0, -122.5\n\n 47.5 ; -122.5 \r\n47.5 -122.0\n"
    row = actions.draw_area(andrea, asker=dispatcher, name="Along the ridge", corners=text)
    assert row.corners == [[47.0, -122.5], [47.5, -122.5], [47.5, -122.0]]
    actions.change_area(row, asker=dispatcher, name="The ridge", corners=text + "47.0, -122.0")
    assert len(row.corners) == 4
    actions.take_area(row, asker=dispatcher)
    assert queries.shifts_on([TODAY])[0].areas == ()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "at least 3"),
        ("47.0, -122.5\n47.5, -122.5", "at least 3"),
        ("47.0, -122.5\n47.0, -122.5\n47.5, -122.5", "at least 3 different"),
        ("47.0, -122.5\nnorth\n47.5, -122.5", "Line 2, “north”, is no corner"),
        ("47.0, -122.5\n-122.5, 47.5\n47.5, -122.5", "line 2 has latitude -122.5.*swapped"),
        ("47.0, -122.5\n47.5, 122.5\n47.5, -122.5", "line 2 lies .*other sign of the longitude"),
        ("47.0, -122.5\n47.5, -200\n47.5, -122.5", "longitude -200"),
        ("nan, inf\n1,2\n3,4", "Line 1"),
        ("\n".join(f"47.{n:04d}, -122.5" for n in range(201)), "at most 200"),
    ],
)
def test_corners_that_cannot_be_are_refused_in_words(home, text, words):
    with pytest.raises(PlaceRefused, match=words):
        read_corners(text)


@given(st.text(max_size=60))
def test_any_text_is_corners_or_a_sentence(text):
    said = "."
    try:
        assert len(read_corners(text)) >= 3
    except PlaceRefused as refusal:
        said = str(refusal)
    assert said.endswith((".", "?"))


# Closed days and terms


def test_a_closed_day_names_the_promises_of_everybody(andrea, dispatcher, visit):
    a_round(andrea)
    found = actions.close_days(
        asker=dispatcher, first_on=THURSDAY, last_on=THURSDAY, name="Stock taking"
    )
    assert found.promises == [visit]
    assert version_of(andrea) == 2
    assert queries.why_closed(THURSDAY) == "Closed: Stock taking."
    moved = actions.change_closed_days(
        found.row, asker=dispatcher, first_on=THURSDAY + timedelta(days=1),
        last_on=THURSDAY + timedelta(days=1),
    )  # fmt: skip
    assert moved.visits == []
    actions.take_closed_days_off(found.row, asker=dispatcher)
    assert queries.closed_days_between(THURSDAY, THURSDAY + timedelta(days=1)) == {}


def test_a_holiday_that_is_worked_closes_again_when_that_is_taken_off(dispatcher):
    day = date(2027, 11, 25)
    found = actions.close_days(
        asker=dispatcher, first_on=day, last_on=day, name="We work", is_worked=True
    )
    assert queries.why_closed(day) == ""
    actions.take_closed_days_off(found.row, asker=dispatcher)
    assert queries.why_closed(day) == "Closed: Thanksgiving Day."


def test_closed_days_that_cannot_be_are_refused_in_words(dispatcher):
    with pytest.raises(ClosedDayRefused, match="swap them"):
        actions.close_days(asker=dispatcher, first_on=THURSDAY, last_on=TODAY, name="Stock taking")
    with pytest.raises(ClosedDayRefused, match="more than a year"):
        actions.close_days(
            asker=dispatcher, first_on=TODAY, last_on=date(2029, 1, 1), name="Stock taking"
        )
    with pytest.raises(ClosedDayRefused, match="Give the days a name"):
        actions.close_days(asker=dispatcher, first_on=TODAY, last_on=TODAY, name=" ")


def test_terms_are_made_when_first_set_and_take_codes_in_small_letters(dispatcher):
    found = actions.set_planning_terms(asker=dispatcher, country="us", subdivision="wa")
    assert (found.row.country, found.row.subdivision) == ("US", "WA")
    actions.set_planning_terms(asker=dispatcher, reserve_percent=20, version=found.row.version)
    assert PlanningTerms.objects.get().reserve_percent == 20
    with pytest.raises(ChangedMeanwhile):
        actions.set_planning_terms(asker=dispatcher, reserve_percent=30, version=1)


@pytest.mark.parametrize(
    ("country", "subdivision", "words"),
    [("XX", "", "known for XX"), ("US", "ZZ", "known for US, ZZ"), ("", "WA", "two letters")],
)
def test_codes_that_no_calendar_knows_are_refused(dispatcher, country, subdivision, words):
    with pytest.raises(TermsRefused, match=words):
        actions.set_planning_terms(asker=dispatcher, country=country, subdivision=subdivision)
    assert not PlanningTerms.objects.exists()
