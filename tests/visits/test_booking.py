"""A time is booked only where the whole round still holds, and the round slides to make it."""

import uuid
from datetime import date, datetime, time, timedelta

import pytest

from drainservice.accounts import history
from drainservice.accounts.models import Account, Change
from drainservice.visits import actions
from drainservice.visits.models import (
    Absence,
    HomeBase,
    Round,
    Skill,
    State,
    Visit,
)
from drainservice.visits.queries import Window
from jobs.models import Job
from tests import makers

pytestmark = pytest.mark.django_db
TUESDAY = makers.MONDAY.date() + timedelta(days=1)
THURSDAY = makers.MONDAY.date() + timedelta(days=3)


def at(day, hour, minute=0):
    """A moment by the wall clock of the firm, UTC-7 in May."""
    return datetime.combine(day, time(hour, minute), makers.MONDAY.tzinfo) + timedelta(hours=7)


def window(from_h, to_h, day=TUESDAY):
    return Window(day, time(from_h), time(to_h))


@pytest.fixture
def andrea(technician):
    # At the door of every site: nobody drives, unless a test puts a site elsewhere.
    HomeBase.objects.create(name="the yard", latitude=47.25, longitude=-122.44)
    return Account.objects.get(pk=technician.account_id)


@pytest.fixture
def ben(andrea):
    return makers.make_account("ben")


def meant(address="9 Islay Ct", minutes=45, lat=47.25, **values):
    visit = actions.plan_visit(
        makers.make_site(address, latitude=lat),
        asker=makers.clock(),
        purpose="yearly look",
        systems={},
        meant_for=None,
        minutes=minutes,
    )
    if values:
        Visit.objects.filter(pk=visit.pk).update(**values)
        visit.refresh_from_db()
    return visit


def offer(who, to, address="9 Islay Ct", asker=None, **values):
    visit = meant(address, **values)
    return actions.offer_visit(visit, to=to, technician=who, asker=asker or makers.clock())


def fresh(visit):
    return Visit.objects.get(pk=visit.pk)


def version(who, day=TUESDAY):
    row = Round.objects.filter(technician=who, day=day).first()
    return row.version if row else 0


def test_later_visits_slide_inside_their_windows_and_history_knows_it(andrea):
    # 10 to 12 is promised first and starts at 10:00; then 120 minutes from 8 to 10 make it later:
    # 9:30 + 120 min = 11:30 would be too late for the break (13:30)? No: it is free until 12:00.
    later = offer(andrea, window(10, 12))
    assert fresh(later).slot_starts_at == at(TUESDAY, 10)

    first = offer(andrea, window(9, 10), "3 Reed Ln", minutes=100)

    # From 9:00 for 100 minutes: 10:40.
    assert fresh(first).slot_starts_at == at(TUESDAY, 9)
    assert fresh(later).slot_starts_at == at(TUESDAY, 10, 40)
    assert fresh(later).window_starts_at == at(TUESDAY, 10)
    told = Change.objects.filter(subject="visits.visit", subject_id=str(later.pk)).last()
    assert set(told.after) == {"slot_starts_at", "slot_ends_at"}


def test_a_time_that_would_break_a_promise_is_refused_with_its_name_and_by_how_much(andrea):
    offer(andrea, window(10, 11), "114 Maple Ridge Rd")

    # 9:30 at the earliest is not asked: the window 9 to 9 h is one hour; 135 minutes from 9:00
    # end at 11:15, a quarter of an hour after the promise's last start.
    with pytest.raises(actions.NoTimeFree) as refused:
        offer(andrea, window(9, 10), "3 Reed Ln", minutes=135)

    assert str(refused.value) == (
        "Andrea's round of Tuesday 11 May would break '114 Maple Ridge Rd before 11' by 15 min; "
        "choose another time or another technician."
    )


def test_driving_counts_between_two_promises(andrea):
    # 0.9 deg of latitude north: 100 km and 130 by road, 360 + 1080 + 115 km at 60 = 6900 s, with
    # parking over two hours and a quarter.
    offer(andrea, window(8, 9), "1 Near St")

    with pytest.raises(actions.NoTimeFree, match="Andrea"):
        offer(andrea, window(9, 10), "2 Far Rd", lat=48.15)

    assert offer(andrea, window(13, 15), "2 Far Rd", lat=48.15).state == State.OFFERED


def test_a_day_without_a_shift_is_refused_with_the_reason(andrea):
    sunday = date(2027, 5, 16)

    with pytest.raises(actions.NoTimeFree, match="No working hours on Sundays"):
        offer(andrea, window(8, 10, sunday))
    # 31 May 2027 is the last Monday of May: Memorial Day (5 U.S.C. 6103).
    with pytest.raises(actions.NoTimeFree, match="Closed: Memorial Day"):
        offer(andrea, window(8, 10, date(2027, 5, 31)), "3 Reed Ln")


def test_who_is_away_is_not_booked(andrea):
    Absence.objects.create(
        account=andrea, from_at=at(THURSDAY, 0), until_at=at(THURSDAY, 23), because="fever"
    )

    with pytest.raises(actions.NoTimeFree, match="Andrea is away on Thursday 13 May: fever"):
        offer(andrea, window(8, 10, THURSDAY))


def test_a_window_in_the_evening_names_the_hours_of_the_shift(andrea):
    with pytest.raises(
        actions.NoTimeFree,
        match="Andrea works from 8 to 17 on Tuesday 11 May, and the window is 19 to 21",
    ):
        offer(andrea, window(19, 21))


def test_work_that_would_end_after_the_latest_return_is_refused(andrea):
    # 16:00 + 150 min = 18:30, half an hour after 17 and an hour over.
    with pytest.raises(actions.NoTimeFree, match="home 30 min after 18, the latest on Tuesday"):
        offer(andrea, window(16, 17), minutes=150)


def test_a_break_that_could_not_begin_in_time_is_named(andrea):
    # The break begins by 13:30. 300 minutes from 9:00 end at 14:00, half an hour too late; before
    # 9:00 it may not begin either, since it begins at 11:30 at the earliest.
    with pytest.raises(actions.NoTimeFree, match="break on Tuesday 11 May would begin 30 min"):
        offer(andrea, window(9, 10), minutes=300)


def test_who_lacks_the_licence_is_not_booked_and_who_has_it_is(andrea, ben):
    Skill.objects.create(account=ben, word="electric", valid_until=TUESDAY)
    with pytest.raises(actions.NoTimeFree, match="Andrea may not do what this visit needs"):
        offer(andrea, window(8, 10), skills_wanted=["electric"])

    assert offer(ben, window(8, 10), "3 Reed Ln", skills_wanted=["electric"]).technician == ben
    # On Thursday it has run out.
    with pytest.raises(actions.NoTimeFree, match="electric"):
        offer(ben, window(8, 10, THURSDAY), "4 Reed Ln", skills_wanted=["electric"])


def test_every_change_of_a_round_raises_its_version(andrea, ben):
    visit = offer(andrea, window(8, 10))
    booked = version(andrea)
    actions.agree_visit(visit, asker=makers.clock())
    agreed = version(andrea)
    actions.move_visit(visit, to=window(8, 10), technician=ben, asker=makers.clock())
    handed = version(andrea)
    taken = version(ben)
    actions.call_off_visit(visit, asker=makers.clock(), by="us", because="ill")

    assert 0 < booked < agreed < handed
    assert 0 < taken < version(ben)


def test_the_day_itself_raises_the_version_too(andrea, technician):
    visit = offer(andrea, window(9, 11, makers.MONDAY.date()))
    actions.agree_visit(visit, asker=makers.clock())
    seen = [version(andrea, makers.MONDAY.date())]
    for act in (actions.set_out, actions.arrive, actions.make_visit):
        act(visit, asker=technician)
        seen.append(version(andrea, makers.MONDAY.date()))

    assert seen == sorted(set(seen))


def rows():
    """All visits as they stand, less what counts changes."""
    return list(
        Visit.objects.order_by("pk").values(
            "state",
            "technician",
            "day",
            "window_from",
            "window_to",
            "window_starts_at",
            "window_ends_at",
            "slot_starts_at",
            "slot_ends_at",
            "held_until",
            "held_token",
        )
    )


def test_held_then_let_go_is_as_if_never_held(andrea):
    offer(andrea, window(10, 12), "1 Near St")
    offer(andrea, window(10, 13), "2 Near St", minutes=30)
    caller = meant("3 Reed Ln", minutes=110)
    before = rows()

    actions.hold_visit(
        caller, to=window(9, 10), technician=andrea, asker=makers.clock(), token=uuid.uuid4()
    )
    between = rows()
    actions.let_hold_go(fresh(caller), asker=makers.clock(makers.later(minutes=10)))

    # It pushed the first: from 9:00 for 110 minutes to 10:50.
    assert between[0]["slot_starts_at"] == at(TUESDAY, 10, 50)
    assert rows() == before


def test_a_hold_that_ran_out_is_free_for_the_next_before_it_is_swept(andrea):
    first, second = meant(minutes=121), meant("3 Reed Ln", minutes=121)
    actions.hold_visit(first, to=window(8, 10), technician=andrea, asker=makers.clock())
    late = makers.clock(makers.later(minutes=10))
    with pytest.raises(actions.NoTimeFree):
        actions.hold_visit(second, to=window(8, 10), technician=andrea, asker=makers.clock())

    actions.hold_visit(second, to=window(8, 10), technician=andrea, asker=late)

    assert (fresh(first).state, fresh(first).slot_starts_at) == (State.PLANNED, None)
    assert fresh(second).slot_starts_at == at(TUESDAY, 8)


def test_the_same_press_twice_finds_its_own_hold(andrea):
    visit, again = meant(), meant("3 Reed Ln")
    token = uuid.uuid4()
    actions.hold_visit(
        visit, to=window(8, 10), technician=andrea, asker=makers.clock(), token=token
    )

    found = actions.hold_visit(
        again, to=window(8, 10), technician=andrea, asker=makers.clock(), token=token
    )

    assert found == visit
    assert fresh(again).state == State.PLANNED


def test_a_hold_that_ran_out_is_agreed_at_the_same_place_where_it_is_still_free(andrea):
    visit = meant()
    actions.hold_visit(visit, to=window(8, 10), technician=andrea, asker=makers.clock())
    late = makers.clock(makers.later(minutes=11))

    actions.agree_visit(fresh(visit), asker=late)

    assert (fresh(visit).state, fresh(visit).slot_starts_at) == (State.AGREED, at(TUESDAY, 8))


def test_a_hold_that_was_swept_is_agreed_where_the_page_showed_it(andrea):
    visit = meant()
    actions.hold_visit(visit, to=window(8, 10), technician=andrea, asker=makers.clock())
    late = makers.clock(makers.later(minutes=11))
    actions.let_hold_go(visit, asker=late)

    actions.agree_visit(fresh(visit), asker=late, kept=(window(8, 10), andrea))

    assert (fresh(visit).state, fresh(visit).window_from) == (State.AGREED, time(8))


def test_a_hold_that_ran_out_and_is_taken_is_never_agreed_in_silence(andrea):
    visit, other = meant(minutes=121), meant("3 Reed Ln", minutes=121)
    actions.hold_visit(visit, to=window(8, 10), technician=andrea, asker=makers.clock())
    late = makers.clock(makers.later(minutes=11))
    actions.offer_visit(other, to=window(8, 10), technician=andrea, asker=late)

    with pytest.raises(actions.NoTimeFree):
        actions.agree_visit(fresh(visit), asker=late, kept=(window(8, 10), andrea))

    assert fresh(visit).state == State.PLANNED


def test_what_one_act_slid_is_undone_with_it(andrea, dispatcher):
    later = offer(andrea, window(10, 12))
    before = rows()
    asker = dispatcher.acting(group="a" * 32)
    caller = meant("3 Reed Ln", minutes=100)
    planned = rows()
    actions.offer_visit(caller, to=window(9, 10), technician=andrea, asker=asker)
    assert fresh(later).slot_starts_at == at(TUESDAY, 10, 40)
    seen = version(andrea)

    history.undo("a" * 32, asker=dispatcher)
    actions.mind_undone("a" * 32)

    assert rows() == planned
    assert rows()[:1] == before
    assert version(andrea) > seen


def test_moving_within_one_round_counts_its_own_time_as_free(andrea):
    visit = offer(andrea, window(8, 10), minutes=300)

    actions.move_visit(visit, to=window(13, 14), asker=makers.clock())

    # 13:00 after the break (11:30 to 12:00), for 300 minutes: 18:00, the very end.
    assert fresh(visit).slot_starts_at == at(TUESDAY, 13)


def test_a_visit_that_is_called_off_lets_the_others_move_up(andrea):
    first = offer(andrea, window(9, 10), minutes=100)
    later = offer(andrea, window(10, 12), "3 Reed Ln")
    assert fresh(later).slot_starts_at == at(TUESDAY, 10, 40)

    actions.call_off_visit(first, asker=makers.clock(), by="us", because="ill")

    assert fresh(later).slot_starts_at == at(TUESDAY, 10)


@pytest.mark.parametrize(("is_named", "told"), [(True, 1), (False, 0)])
def test_another_technician_in_the_same_window_is_told_where_one_was_promised_by_name(
    andrea, ben, is_named, told
):
    visit = actions.agree_visit(offer(andrea, window(10, 12)), asker=makers.clock())
    Visit.objects.filter(pk=visit.pk).update(is_named=is_named)

    actions.move_visit(fresh(visit), to=window(10, 12), technician=ben, asker=makers.clock())

    moved = fresh(visit)
    assert (moved.technician, moved.sequence, moved.was_moved) == (ben, told, False)
    assert Job.objects.filter(kind="visit.moved", details__visit_id=visit.pk).count() == told
