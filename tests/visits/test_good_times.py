"""Good times: each can be booked as it was told, from the shelf as from the rows."""

from datetime import date, datetime, time, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.models import (
    Area,
    HomeBase,
    Lock,
    PlanningTerms,
    Skill,
    State,
    Visit,
)
from drainservice.visits.queries import Window
from drainservice.visits.queries.offers import Wanted, good_times, wanted_of_visit
from drainservice.visits.queries.room import NoTimeFree, room_for
from drainservice.visits.queries.shelf import Shelf
from tests import makers

pytestmark = pytest.mark.django_db
MONDAY = makers.MONDAY.date()
TUESDAY = MONDAY + timedelta(days=1)


@pytest.fixture
def shelf():
    return Shelf()


@pytest.fixture
def andrea(technician):
    HomeBase.objects.create(name="the yard", latitude=47.20, longitude=-122.40)
    return Account.objects.get(pk=technician.account_id)


@pytest.fixture
def ben(andrea):
    return makers.make_account("ben")


def site_at(number, lat=47.25, lon=-122.44):
    return makers.make_site(f"{number} Reed Ln", latitude=lat, longitude=lon)


def promised(who, site, day=TUESDAY, from_h=10, to_h=12, minutes=45):
    visit = actions.plan_visit(
        site, asker=makers.clock(), purpose="look", systems={}, meant_for=None, minutes=minutes
    )
    to = Window(day, time(from_h), time(to_h))
    return actions.offer_visit(visit, to=to, technician=who, asker=makers.clock())


def fill_day(who, day=TUESDAY):
    """8:16 to 12:16, the break, and 13:00 to 17:30: home at 17:46, and no 45 minutes more."""
    first = promised(who, site_at(f"{who.pk}8"), day, 8, 9, minutes=240)
    promised(who, site_at(f"{who.pk}9"), day, 13, 15, minutes=270)
    return first


def fill(crew, days=4, a_day=4):
    """Rounds of several days, each with some promises at different places."""
    for number, who in enumerate(crew):
        for day in range(1, days + 1):
            for nth in range(a_day):
                lat = 47.20 + 0.013 * ((7 * day + 3 * nth + 5 * number) % 11)
                lon = -122.50 + 0.017 * ((5 * day + 2 * nth + 3 * number) % 9)
                promised(
                    who,
                    site_at(f"{number}{day}{nth}", lat, lon),
                    MONDAY + timedelta(days=day),
                    8 + 2 * nth,
                    10 + 2 * nth,
                )


def found(site, shelf, at=makers.MONDAY, minutes=45, **more):
    wanted = {k: more.pop(k) for k in list(more) if k in Wanted.__dataclass_fields__}
    return good_times(Wanted(site=site, minutes=minutes, **wanted), at=at, shelf=shelf, **more)


def test_an_empty_week_has_three_times_on_three_half_days(andrea, shelf):
    told = found(site_at(1), shelf)

    halves = {(t.window.day, t.window.from_.hour < 12) for t in told.times}
    assert (len(told.times), len(halves), told.why_fewer) == (3, 3, [])
    # Alone in a round: there and back, 951 s each way (test_gathered), 31.7 min.
    assert {t.added_drive_min for t in told.times} == {32}
    assert all(t.technician == andrea for t in told.times)
    assert "the only visit of the round" in told.times[0].reason


def test_every_time_that_is_told_can_be_booked_as_it_was_told(andrea, ben, shelf):
    fill([andrea, ben])
    told = found(site_at(1), shelf, most=9)
    assert len(told.times) == 9

    for good in told.times:
        visit = actions.plan_visit(
            site_at(f"7{good.window.day.day}{good.window.from_.hour}"),
            asker=makers.clock(),
            purpose="look",
            systems={},
            meant_for=None,
        )
        room = room_for(visit, good.window, good.technician, at=makers.MONDAY)

        # The exact place costs no more driving than was told: it may lie elsewhere in the round.
        assert -(-room.added_drive_s // 60) <= good.added_drive_min
        assert good.window.starts_at(makers.ZONE) <= room.starts_at
        assert room.starts_at <= good.window.ends_at(makers.ZONE)


def test_from_the_shelf_it_is_the_same_as_from_the_rows(andrea, ben, shelf):
    fill([andrea, ben])
    asked = site_at(1)
    first = found(asked, shelf, most=60)
    promised(ben, site_at(2, 47.31, -122.40), TUESDAY, 13, 16)
    actions.call_off_visit(
        Visit.objects.filter(technician=andrea).first(),
        asker=makers.clock(),
        by="us",
        because="ill",
    )

    warm, fresh = found(asked, shelf, most=60), found(asked, Shelf(), most=60)

    assert warm == fresh
    assert warm != first


def test_a_warm_shelf_reads_no_visit_and_as_many_statements_however_many_rounds(andrea, ben, shelf):
    def count(at):
        with CaptureQueriesContext(connection) as seen:
            found(asked, shelf, at=at)
        visits = [q for q in seen.captured_queries if '"slot_starts_at" >=' in q["sql"]]
        return len(seen), len(visits)

    asked = site_at(1)
    fill([andrea], days=1)
    cold, read = count(makers.MONDAY)
    warm, not_read = count(makers.later(minutes=0.5))
    fill([ben], days=4)
    more, _ = count(makers.later(minutes=0.6))

    # The first also reads what drives are reckoned by. Rounds without a row have no version, so
    # that whether they are empty still is asked each time, of all in one statement.
    assert warm == more <= cold <= 25
    assert (read, not_read) == (1, 1)


def test_a_hold_counts_until_it_runs_out_though_no_version_says_so(andrea, shelf):
    held = fill_day(andrea)
    until = makers.later(minutes=10)
    Visit.objects.filter(pk=held.pk).update(state=State.HELD, held_until=until)

    during = found(site_at(1), shelf, at=makers.later(minutes=5), from_day=TUESDAY, days=1)
    after = found(site_at(1), shelf, at=until, from_day=TUESDAY, days=1)

    assert TUESDAY not in {t.window.day for t in during.times}
    assert TUESDAY in {t.window.day for t in after.times}


def test_nobody_is_offered_a_time_that_begins_in_less_than_an_hour(andrea, shelf):
    told = found(site_at(1), shelf, days=1, most=9)

    # It is 8:00: windows open at 9 or later, and today's last opens at 15 (shift until 17).
    assert {t.window.from_.hour for t in told.times} == {9, 10, 11, 12, 13, 14, 15}


def test_why_there_are_fewer_is_said_with_the_rule(andrea, ben, shelf):
    Skill.objects.create(account=ben, word="electric")
    fill_day(ben)

    told = found(site_at(1), shelf, skills=frozenset({"electric"}), from_day=TUESDAY, days=1)

    assert told.times == []
    said = " ".join(told.why_fewer)
    assert "No time is free" in said
    assert "1 technician lacks" in said
    assert "electric" in said
    assert "1 round is full" in said


def test_what_nobody_can_do_on_any_day_is_said_with_what_to_change(andrea, shelf):
    lacking = found(site_at(1), shelf, skills=frozenset({"camera"}))
    too_long = found(site_at(1), shelf, minutes=700)
    closed = found(site_at(1), shelf, from_day=date(2027, 5, 15), days=2)

    assert "camera" in lacking.why_fewer[0]
    assert "part it in two visits" in too_long.why_fewer[0]
    # A Saturday and a Sunday.
    assert "no technician has a shift" in closed.why_fewer[0]
    assert all(told.why_fewer[0].startswith("This visit") for told in (lacking, too_long, closed))


def test_a_household_gets_windows_and_nothing_of_other_peoples(andrea, shelf):
    fill([andrea])
    site = makers.make_site("7 Nowhere Rd", latitude=None, longitude=None)

    told = found(site, shelf, most=6, for_household=True)

    assert len(told.times) == 6
    assert {t.reason for t in told.times} == {""}
    assert (told.why_fewer, told.notes) == ([], [])


def test_a_site_without_coordinates_is_offered_with_twenty_minutes_each_way(andrea, shelf):
    site = makers.make_site("7 Nowhere Rd", latitude=None, longitude=None)

    told = found(site, shelf)

    assert {t.added_drive_min for t in told.times} == {40}
    assert any("7 Nowhere Rd" in note for note in told.notes)


def test_a_time_near_what_stands_is_better_than_a_day_of_its_own(andrea, shelf):
    promised(andrea, site_at(2), MONDAY + timedelta(days=9), 10, 12)

    told = found(site_at(1), shelf)

    best = told.times[0]
    assert best.window.day == MONDAY + timedelta(days=9)
    # The same coordinates: nothing is added.
    assert best.added_drive_min == 0
    assert "no more driving" in best.reason


def test_the_usual_technician_comes_first_and_another_area_last(andrea, ben, shelf):
    site = site_at(1)
    left = makers.later(days=-300)
    Visit.objects.create(
        site=site,
        purpose="look",
        state=State.MADE,
        technician=ben,
        left_at=left,
        slot_starts_at=left - timedelta(hours=1),
        slot_ends_at=left,
    )
    assert {t.technician for t in found(site, shelf).times} == {ben}

    Area.objects.create(
        account=ben, name="north", corners=[[48.0, -123.0], [48.0, -122.0], [49.0, -122.5]]
    )
    shelf.clear()
    # 15 units for not being the usual one are less than 30 for another area.
    assert {t.technician for t in found(site, shelf).times} == {andrea}


def test_what_is_liked_is_among_the_three(andrea, shelf):
    told = found(site_at(1), shelf, likes=("3", "afternoon"))

    assert any(t.window.day.weekday() == 3 and t.window.from_.hour >= 12 for t in told.times)


def test_a_visit_that_is_moved_does_not_stand_in_its_own_way(andrea, shelf):
    visit = fill_day(andrea)

    told = good_times(
        wanted_of_visit(visit), at=makers.MONDAY, shelf=shelf, from_day=TUESDAY, days=1
    )

    assert TUESDAY in {t.window.day for t in told.times}
    # Nor is its round kept without it: the next question finds it full.
    assert found(site_at(3), shelf, from_day=TUESDAY, days=1).times == []


def test_a_named_or_locked_visit_is_left_to_its_technician_and_day(andrea, ben, shelf):
    visit = promised(andrea, site_at(1))
    Visit.objects.filter(pk=visit.pk).update(is_named=True)
    visit.refresh_from_db()
    named = good_times(wanted_of_visit(visit), at=makers.MONDAY, shelf=shelf)
    Visit.objects.filter(pk=visit.pk).update(lock=Lock.DAY)
    visit.refresh_from_db()
    locked = good_times(wanted_of_visit(visit), at=makers.MONDAY, shelf=shelf)

    assert {t.technician for t in named.times} == {andrea}
    assert {t.window.day for t in locked.times} == {TUESDAY}


def test_windows_are_as_long_as_the_firm_has_set(andrea, shelf):
    PlanningTerms.objects.create(pk=1, window_minutes=180, grid_minutes=90)

    told = found(site_at(1), shelf, most=9)

    for good in told.times:
        opens, closes = (datetime.combine(MONDAY, t) for t in (good.window.from_, good.window.to))
        assert closes - opens == timedelta(minutes=180)


def test_the_window_is_on_the_sites_own_clock(andrea, shelf):
    # Denver is an hour ahead of Los Angeles (UTC-6 and UTC-7 in May).
    site = makers.make_site("1 Far St", zone="America/Denver")

    good = found(site, shelf).times[0]

    assert good.window.starts_at("America/Denver") <= good.starts_at
    hours = {t.window.from_.hour for t in found(site, shelf, most=9).times}
    # Shifts begin at 8 in the firm's zone: 9 on this clock.
    assert min(hours) >= 9


def test_an_old_promise_that_cannot_be_kept_shuts_its_round_and_is_no_error(andrea, shelf):
    far = promised(andrea, site_at(1))
    # Somebody entered other coordinates: 300 km away, no drive gets there in time.
    type(far.site).objects.filter(pk=far.site_id).update(latitude=49.9)

    told = found(site_at(2), shelf, from_day=TUESDAY, days=1)

    assert told.times == []
    visit = actions.plan_visit(
        site_at(3), asker=makers.clock(), purpose="look", systems={}, meant_for=None
    )
    with pytest.raises(NoTimeFree, match="cannot be kept as it stands"):
        room_for(visit, Window(TUESDAY, time(13), time(15)), andrea, at=makers.MONDAY)


@pytest.mark.parametrize("day", [date(9999, 12, 31), date(2031, 1, 1)])
def test_a_day_that_is_too_far_ahead_is_read_as_the_farthest(andrea, shelf, day):
    told = found(site_at(1), shelf, from_day=day, days=20)
    # From 10 May 2027 to 10 May 2030 are 1096 days, 29 February 2028 among them; the farthest day
    # lies 3 x 366 = 1098 days ahead. Twenty days end 19 days after the first.
    assert told.last_day == date(2030, 5, 12) + timedelta(days=19)
