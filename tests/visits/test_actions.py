"""A visit from meant to made: offers, holds, moves, answers, and never two at once."""

from datetime import date, time, timedelta

import pytest

from drainservice.accounts.asker import NotFound
from drainservice.accounts.models import Account
from drainservice.register import actions as register
from drainservice.register import queries as register_queries
from drainservice.register.models import Access
from drainservice.visits import actions, queries
from drainservice.visits.models import Answer, State
from drainservice.visits.queries import Window
from jobs.models import Job
from tests import makers

pytestmark = pytest.mark.django_db
TUESDAY = Window(date(2027, 5, 11), time(8), time(10))
THURSDAY = Window(date(2027, 5, 13), time(13), time(15))


@pytest.fixture
def andrea(technician):
    return Account.objects.get(pk=technician.account_id)


@pytest.fixture
def visit(home, dispatcher):
    _, _, site, system = home
    return actions.plan_visit(
        site,
        asker=dispatcher,
        purpose="yearly look",
        systems={system: ["pump", "sediment"]},
        meant_for=date(2027, 5, 10),
    )


@pytest.fixture
def offered(visit, andrea, dispatcher):
    return actions.offer_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)


@pytest.fixture
def agreed(offered, dispatcher):
    return actions.agree_visit(offered, asker=dispatcher)


def kinds():
    return list(Job.objects.filter(kind__startswith="visit.").values_list("kind", "key"))


def test_an_offer_keeps_the_time_and_announces_itself(offered):
    assert offered.state == State.OFFERED
    # 8:00 in America/Los_Angeles in May is 15:00 UTC.
    assert offered.window_starts_at.isoformat() == "2027-05-11T15:00:00+00:00"
    assert offered.slot_ends_at - offered.slot_starts_at == timedelta(minutes=45)
    assert ("visit.offered", f"{offered.pk}:0") in kinds()


def test_the_second_visit_of_a_window_gets_the_time_after_the_first(offered, andrea, dispatcher):
    site = makers.make_site("9 Islay Ct")
    second = actions.plan_visit(
        site, asker=dispatcher, purpose="yearly look", systems={}, meant_for=None
    )

    actions.offer_visit(second, to=TUESDAY, technician=andrea, asker=dispatcher)

    assert second.slot_starts_at == offered.slot_ends_at


def test_a_full_window_is_refused_in_words(offered, andrea, dispatcher):
    site = makers.make_site("9 Islay Ct")
    # 8:00 to 8:45 is taken; 75 minutes more begin at 8:45 and fill the window to 10:00.
    filling = actions.plan_visit(
        site, asker=dispatcher, purpose="mend", systems={}, meant_for=None, minutes=75
    )
    actions.offer_visit(filling, to=TUESDAY, technician=andrea, asker=dispatcher)
    late = actions.plan_visit(site, asker=dispatcher, purpose="mend", systems={}, meant_for=None)

    with pytest.raises(actions.NoTimeFree, match="choose another time"):
        actions.offer_visit(late, to=TUESDAY, technician=andrea, asker=dispatcher)


def test_a_hold_runs_out_after_ten_minutes_and_frees_its_time(visit, andrea, dispatcher):
    actions.hold_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)
    assert visit.held_until == makers.later(minutes=10)

    actions.let_hold_go(visit, asker=makers.clock(makers.later(minutes=10)))

    assert visit.state == State.PLANNED
    assert visit.slot_starts_at is None


def test_a_move_raises_the_sequence_and_stays_agreed(agreed, dispatcher):
    uid = agreed.calendar_uid

    actions.move_visit(agreed, to=THURSDAY, asker=dispatcher)

    assert (agreed.state, agreed.sequence, agreed.calendar_uid) == (State.AGREED, 1, uid)
    assert agreed.moved_from_day == TUESDAY.day
    assert ("visit.moved", f"{agreed.pk}:1") in kinds()


def test_a_move_to_the_same_time_tells_nobody(agreed, dispatcher):
    actions.move_visit(agreed, to=TUESDAY, asker=dispatcher)

    assert agreed.sequence == 0
    assert not [kind for kind, _ in kinds() if kind == "visit.moved"]


def test_calling_off_raises_the_sequence_and_closes_the_site(agreed, technician, dispatcher):
    actions.call_off_visit(agreed, asker=dispatcher, by="the household", because="away")

    assert (agreed.state, agreed.sequence) == (State.CALLED_OFF, 1)
    assert not Access.objects.standing().exists()
    with pytest.raises(NotFound):
        queries.visit_for(technician, agreed.pk)


def test_yes_by_the_link_agrees(offered, homeowner, home):
    actions.answer_visit(
        offered, asker=homeowner, word="yes", by="link", person=home[0], sequence=0
    )

    offered.refresh_from_db()
    assert offered.state == State.AGREED


def test_the_same_answer_twice_is_one_answer(offered, homeowner, home):
    for _ in range(2):
        actions.answer_visit(
            offered, asker=homeowner, word="another_day", by="link", person=home[0], sequence=0
        )

    assert Answer.objects.count() == 1


def test_two_answers_that_differ_await_a_person(offered, homeowner, home):
    other = makers.make_person("Cosmo Greenlaw", mail="cosmo@example.com")
    actions.answer_visit(
        offered, asker=homeowner, word="another_day", by="link", person=other, sequence=0
    )

    actions.answer_visit(
        offered, asker=homeowner, word="yes", by="link", person=home[0], sequence=0
    )

    offered.refresh_from_db()
    assert offered.state == State.OFFERED
    assert offered.needs_person_since is not None


def test_an_answer_to_an_old_time_awaits_a_person(agreed, homeowner, home, dispatcher):
    actions.move_visit(agreed, to=THURSDAY, asker=dispatcher)

    actions.answer_visit(agreed, asker=homeowner, word="yes", by="link", person=home[0], sequence=0)

    agreed.refresh_from_db()
    assert agreed.needs_person_since is not None


def test_not_my_house_stops_asking_and_leaves_the_system(offered, homeowner, home):
    actions.answer_visit(
        offered, asker=homeowner, word="not_my_house", by="link", person=home[0], sequence=0
    )

    home[1].refresh_from_db()
    assert home[1].asking_stopped_at is not None
    assert home[3].status == "in_use"


def test_a_visit_opens_the_site_to_its_technician_from_two_days_before(agreed, technician, home):
    # Monday is one day before: open; a week and a day after the visit: closed.
    assert register_queries.site_for(technician, home[2].pk) == home[2]
    assert register_queries.may_see_contacts(technician, home[2]) is False
    evening = makers.as_account(
        Account.objects.get(pk=technician.account_id), makers.later(hours=10.5)
    )
    assert register_queries.may_see_contacts(evening, home[2]) is True
    later = makers.as_account(Account.objects.get(pk=technician.account_id), makers.later(days=9))
    with pytest.raises(NotFound):
        register_queries.site_for(later, home[2].pk)


def test_digging_waits_for_its_locate_ticket(home, andrea, dispatcher):
    visit = actions.plan_visit(
        home[2],
        asker=dispatcher,
        purpose="dig up the valve",
        systems={home[3]: []},
        meant_for=None,
        is_digging=True,
    )
    actions.offer_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)
    with pytest.raises(actions.GroundNotLocated, match="private lines"):
        actions.agree_visit(visit, asker=dispatcher)

    register.note_locate_ticket(
        home[2],
        asker=dispatcher,
        number="T-1",
        valid_from=date(2027, 5, 11),
        valid_until=date(2027, 5, 20),
    )

    assert actions.agree_visit(visit, asker=dispatcher).state == State.AGREED


def test_a_visit_that_was_made_is_not_moved(agreed, dispatcher, technician):
    actions.arrive(agreed, asker=technician)
    actions.make_visit(agreed, asker=technician)

    with pytest.raises(actions.NotInThisState, match="made"):
        actions.move_visit(agreed, to=THURSDAY, asker=dispatcher)


def test_a_time_that_is_over_is_not_offered(visit, andrea, dispatcher):
    with pytest.raises(actions.WindowInThePast):
        actions.offer_visit(
            visit,
            to=Window(date(2027, 5, 7), time(8), time(10)),
            technician=andrea,
            asker=dispatcher,
        )


def test_a_neighbour_sees_no_visit_of_ours(agreed, neighbour):
    with pytest.raises(NotFound):
        queries.visit_for(neighbour, agreed.pk)
