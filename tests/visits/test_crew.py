"""Who can go when: patterns, absences, licences, vans, closed days, by the clock on the wall."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts import history
from drainservice.accounts.models import Account
from drainservice.visits.models import (
    Absence,
    Area,
    ClosedDay,
    CrewMember,
    HomeBase,
    PlanningTerms,
    Skill,
    Van,
    VanOut,
    WorkingHours,
)
from drainservice.visits.queries import crew
from tests import makers

pytestmark = pytest.mark.django_db
MONDAY, THURSDAY, SUNDAY = date(2027, 5, 10), date(2027, 5, 13), date(2027, 5, 16)
WEEK = [MONDAY + timedelta(days=n) for n in range(7)]


@pytest.fixture
def andrea(technician):
    return Account.objects.get(pk=technician.account_id)


def enter(row):
    return history.enter(row, asker=makers.clock())


def pattern(account, from_, *weekdays, starts=time(7), ends=time(15), **more):
    for weekday in weekdays:
        row = WorkingHours(
            account=account, valid_from=from_, weekday=weekday, starts=starts, ends=ends, **more
        )
        enter(row)


def pacific(day, hour, minute=0, *, ahead=7):
    """A wall time in the firm's zone: UTC is 7 h ahead in summer, 8 h in winter (RFC 5545's and
    tzdata's America/Los_Angeles)."""
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC) + timedelta(hours=ahead)


def away(account, from_at, until_at, because="fever"):
    return enter(Absence(account=account, from_at=from_at, until_at=until_at, because=because))


def only(day, account):
    (shift,) = crew.shifts_on([day], technicians=[account])
    return shift


def test_without_hours_a_technician_is_assumed_to_work_monday_to_friday_8_to_17(andrea):
    shifts = crew.shifts_on(WEEK)
    assert [s.day.weekday() for s in shifts] == [0, 1, 2, 3, 4]
    assert all(s.is_assumed and s.overtime_minutes == 60 for s in shifts)
    assert shifts[0].starts_at == pacific(MONDAY, 8)
    assert shifts[0].ends_at == pacific(MONDAY, 17)
    assert shifts[0].pause == (pacific(MONDAY, 11, 30), pacific(MONDAY, 13, 30), 30)


def test_a_pattern_that_begins_in_mid_week_holds_whole_from_that_day_on(andrea):
    pattern(andrea, date(2027, 1, 4), 0, 1, 2, 3, 4)
    # From Wednesday on Tuesdays, Thursdays and Saturdays only: Friday has no row and is off.
    pattern(andrea, date(2027, 5, 12), 1, 3, 5, starts=time(9), ends=time(18))
    days = [(s.day.weekday(), s.starts_at) for s in crew.shifts_on(WEEK)]
    assert days == [
        (0, pacific(MONDAY, 7)),
        (1, pacific(date(2027, 5, 11), 7)),
        (3, pacific(THURSDAY, 9)),
        (5, pacific(date(2027, 5, 15), 9)),
    ]


def test_a_first_pattern_changes_no_day_before_it(andrea):
    pattern(andrea, date(2027, 5, 12), 5)
    shifts = crew.shifts_on(WEEK)
    assert [(s.day.weekday(), s.is_assumed) for s in shifts] == [(0, True), (1, True), (5, False)]


def test_a_shift_keeps_its_wall_time_where_the_clock_changes(andrea):
    # Clocks go forward on the second Sunday of March at 2:00 (15 U.S.C. 260a): 14 March 2027.
    change = date(2027, 3, 14)
    pattern(andrea, date(2027, 1, 4), 5, 6, starts=time(1), ends=time(9), break_minutes=0)
    saturday, sunday = crew.shifts_on([date(2027, 3, 13), change])
    assert saturday.ends_at - saturday.starts_at == timedelta(hours=8)
    # From 1:00 to 9:00 on the wall, of which the hour from 2:00 to 3:00 never comes.
    assert sunday.ends_at - sunday.starts_at == timedelta(hours=7)
    assert sunday.ends_at == pacific(change, 9, ahead=7)
    assert sunday.starts_at == pacific(change, 1, ahead=8)


@pytest.mark.parametrize(
    ("from_", "until", "left", "overtime"),
    [
        ((6, 0), (10, 0), ((10, 0), (17, 0)), 60),
        ((14, 0), (20, 0), ((8, 0), (14, 0)), 0),
        # From the middle the longer piece stands: 8 to 10 is 2 h, 11 to 17 is 6 h.
        ((10, 0), (11, 0), ((11, 0), (17, 0)), 60),
        ((13, 0), (15, 0), ((8, 0), (13, 0)), 0),
        # Equal pieces of 4 h: the earlier.
        ((12, 0), (13, 0), ((8, 0), (12, 0)), 0),
        # Away after the end of the shift: a quarter of an hour of overtime is left.
        ((17, 15), (23, 0), ((8, 0), (17, 0)), 15),
        ((18, 0), (23, 0), ((8, 0), (17, 0)), 60),
        ((5, 0), (8, 0), ((8, 0), (17, 0)), 60),
    ],
)
def test_an_absence_cuts_the_shift(andrea, from_, until, left, overtime):
    away(andrea, pacific(THURSDAY, *from_), pacific(THURSDAY, *until))
    shift = only(THURSDAY, andrea)
    assert (shift.starts_at, shift.ends_at) == tuple(pacific(THURSDAY, *at) for at in left)
    assert shift.overtime_minutes == overtime


def test_two_absences_leave_the_longest_piece_between_them(andrea):
    away(andrea, pacific(THURSDAY, 7), pacific(THURSDAY, 9))
    away(andrea, pacific(THURSDAY, 8), pacific(THURSDAY, 10))
    away(andrea, pacific(THURSDAY, 16), pacific(THURSDAY, 18))
    shift = only(THURSDAY, andrea)
    assert (shift.starts_at, shift.ends_at) == (pacific(THURSDAY, 10), pacific(THURSDAY, 16))


def test_the_break_fits_into_what_an_absence_leaves(andrea):
    absence = away(andrea, pacific(THURSDAY, 13), pacific(THURSDAY, 20))
    # 30 min that end by 13:00 begin by 12:30.
    pause = only(THURSDAY, andrea).pause
    assert pause == (pacific(THURSDAY, 11, 30), pacific(THURSDAY, 12, 30), 30)
    history.keep(absence, asker=makers.clock(), from_at=pacific(THURSDAY, 12))
    # A break from 11:30 to the end of work at 12:00 would be no break.
    assert only(THURSDAY, andrea).pause is None
    history.keep(
        absence,
        asker=makers.clock(),
        from_at=pacific(THURSDAY, 6),
        until_at=pacific(THURSDAY, 12),
    )
    pause = only(THURSDAY, andrea).pause
    assert pause == (pacific(THURSDAY, 12), pacific(THURSDAY, 13, 30), 30)


def test_an_absence_of_the_whole_day_says_why(andrea):
    away(andrea, pacific(THURSDAY, 0), pacific(date(2027, 5, 14), 0))
    assert crew.shifts_on([THURSDAY]) == []
    assert crew.why_no_shift(andrea, THURSDAY) == "Andrea is away on Thursday 13 May: fever."
    assert crew.why_no_shift(andrea, MONDAY) == ""
    assert crew.why_no_shift(andrea, SUNDAY) == "No working hours on Sundays."


def test_a_shift_cut_short_says_from_when(andrea):
    away(andrea, pacific(THURSDAY, 14, 30), pacific(date(2027, 5, 20), 0), "the dentist")
    (day,) = crew.crew_on([THURSDAY])
    assert day.shift is not None
    assert day.why == "Andrea is away on Thursday 13 May from 14:30: the dentist."
    assert crew.why_no_shift(andrea, THURSDAY) == ""


def test_a_licence_counts_until_its_last_day(andrea):
    enter(Skill(account=andrea, word="electric", valid_until=THURSDAY))
    enter(Skill(account=andrea, word="pump"))
    assert only(THURSDAY, andrea).skills == {"electric", "pump"}
    assert only(date(2027, 5, 14), andrea).skills == {"pump"}


def test_a_van_brings_what_it_carries_and_takes_the_shift_when_it_is_out(andrea):
    van = enter(Van(name="The blue van", carries=["camera"]))
    enter(CrewMember(account=andrea, van=van))
    assert only(MONDAY, andrea).skills == {"camera"}
    enter(
        VanOut(
            van=van,
            from_at=pacific(THURSDAY, 0),
            until_at=pacific(date(2027, 5, 14), 0),
            because="the clutch",
        )
    )
    assert crew.shifts_on([THURSDAY]) == []
    said = "The blue van is out on Thursday 13 May: the clutch."
    assert crew.why_no_shift(andrea, THURSDAY) == said


def test_who_has_no_van_goes_all_the_same_and_a_van_taken_off_carries_nothing(andrea):
    van = enter(Van(name="The blue van", carries=["camera"]))
    assert only(MONDAY, andrea).skills == frozenset()
    enter(CrewMember(account=andrea, van=van))
    history.remove(van, asker=makers.clock())
    assert only(MONDAY, andrea).skills == frozenset()


def test_a_round_begins_at_their_own_base_else_at_the_first(andrea):
    assert crew.home_base_of(andrea) is None
    first = enter(HomeBase(name="Yard", latitude=47.2, longitude=-122.4))
    other = enter(HomeBase(name="North yard", latitude=47.6, longitude=-122.3))
    assert crew.home_base_of(andrea) == first == only(MONDAY, andrea).base
    enter(CrewMember(account=andrea, base=other))
    assert crew.home_base_of(andrea) == other == only(MONDAY, andrea).base
    history.remove(other, asker=makers.clock())
    assert crew.home_base_of(andrea) == first == only(MONDAY, andrea).base


def test_areas_come_along_as_polygons(andrea):
    corners = [[47.0, -122.5], [47.5, -122.5], [47.5, -122.0]]
    enter(Area(account=andrea, name="Along the ridge", corners=corners))
    assert only(MONDAY, andrea).areas == (((47.0, -122.5), (47.5, -122.5), (47.5, -122.0)),)


def test_public_holidays_are_those_of_the_law(andrea):
    # 5 U.S.C. 6103(a): New Year's Day 1 January, Memorial Day the last Monday in May, Independence
    # Day 4 July, Labor Day the first Monday in September, Thanksgiving Day the fourth Thursday in
    # November, Christmas Day 25 December.
    closed = crew.closed_days_between(date(2027, 1, 1), date(2027, 12, 31))
    law = [(1, 1), (5, 31), (7, 4), (9, 6), (11, 25), (12, 25)]
    assert [date(2027, *day) in closed for day in law] == [True] * 6
    assert crew.why_closed(date(2027, 11, 25)) == "Closed: Thanksgiving Day."
    assert crew.why_closed(date(2027, 11, 24)) == ""
    assert crew.shifts_on([date(2027, 11, 25)]) == []
    assert crew.why_no_shift(andrea, date(2027, 11, 25)) == "Closed: Thanksgiving Day."


def test_all_of_them_are_those_of_the_library_for_the_state_that_is_set(andrea):
    from holidays import country_holidays

    enter(PlanningTerms(pk=1, country="US", subdivision="WA"))
    for year in (2026, 2027, 2028):
        closed = crew.closed_days_between(date(year, 1, 1), date(year, 12, 31))
        assert closed == dict(country_holidays("US", subdiv="WA", years=[year]))
    # The day after Thanksgiving is a state holiday there (RCW 1.16.050, from memory).
    assert crew.why_closed(date(2027, 11, 26)) == "Closed: Native American Heritage Day."


def test_a_span_over_new_year_has_the_holidays_of_both_years(db):
    closed = crew.closed_days_between(date(2026, 12, 20), date(2027, 1, 5))
    assert list(closed) == [date(2026, 12, 25), date(2027, 1, 1)]


def test_a_public_holiday_on_which_we_work_is_no_closed_day_but_a_day_of_our_own_is(andrea):
    thanksgiving = date(2027, 11, 25)
    enter(ClosedDay(first_on=thanksgiving, last_on=thanksgiving, name="We work", is_worked=True))
    assert crew.why_closed(thanksgiving) == ""
    enter(ClosedDay(first_on=date(2027, 11, 20), last_on=thanksgiving, name="Stock taking"))
    assert crew.why_closed(thanksgiving) == "Closed: Stock taking."
    assert len(crew.closed_days_between(date(2027, 11, 20), date(2027, 11, 30))) == 6


def test_without_a_country_only_days_of_our_own_close(andrea):
    enter(PlanningTerms(pk=1, country=""))
    assert crew.closed_days_between(date(2027, 1, 1), date(2027, 12, 31)) == {}


def test_codes_that_no_calendar_knows_close_nothing_and_are_told_apart(andrea):
    from drainservice.visits.queries import closed

    terms = enter(PlanningTerms(pk=1, country="XX", subdivision="ZZ"))
    assert crew.closed_days_between(date(2027, 1, 1), date(2027, 12, 31)) == {}
    assert not closed.knows_holidays(terms, 2027)
    with pytest.raises(closed.CalendarIsUnknown, match="known for US, ZZ"):
        closed.public_holidays("US", "ZZ", 2027)


def test_the_terms_are_ours_until_they_are_set_and_reading_writes_nothing(db):
    assert crew.the_terms().window_minutes == 120
    assert not PlanningTerms.objects.exists()


def test_who_is_switched_off_has_no_shift(andrea):
    history.keep(andrea, asker=makers.clock(), is_active=False)
    assert crew.shifts_on(WEEK, technicians=[andrea]) == []
    assert "does not go out any more" in crew.why_no_shift(andrea, MONDAY)


def test_many_days_and_technicians_take_as_many_statements_as_one(andrea):
    pattern(andrea, date(2027, 1, 4), 0, 1, 2)
    with CaptureQueriesContext(
        connection,
    ) as one:
        crew.shifts_on([MONDAY])
    for number in range(5):
        account = makers.make_account(f"tech{number}")
        pattern(account, date(2027, 1, 4), 0, 1, 2, 3, 4)
        van = enter(Van(name=f"Van {number}", carries=["camera"]))
        enter(CrewMember(account=account, van=van))
        enter(Skill(account=account, word="pump"))
        away(account, pacific(THURSDAY, 8), pacific(THURSDAY, 9))
    with CaptureQueriesContext(connection) as many:
        shifts = crew.shifts_on([MONDAY + timedelta(days=n) for n in range(60)])
    assert len(shifts) > 200
    assert len(many) == len(one) <= 12


def test_shifts_come_in_order_of_day_and_handle(andrea):
    makers.make_account("aaron")
    shifts = crew.shifts_on([THURSDAY, MONDAY, MONDAY])
    assert [(s.day, s.technician.handle) for s in shifts] == [
        (MONDAY, "aaron"),
        (MONDAY, "andrea"),
        (THURSDAY, "aaron"),
        (THURSDAY, "andrea"),
    ]
