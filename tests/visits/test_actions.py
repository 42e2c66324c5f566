"""A visit from meant to made: offers, holds, moves, answers, and never two at once."""

import uuid
from datetime import date, time, timedelta

import pytest

from drainservice.accounts.asker import CannotBeDone, NotFound
from drainservice.accounts.history import ChangedMeanwhile
from drainservice.accounts.models import Account
from drainservice.inspections import actions as inspections
from drainservice.inspections.models import Due, Look
from drainservice.inspections.models.record import InspectionRecord, LookRecord
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
    # In any order the third would start at 8:00 + 45 min + 76 min = 10:01 or later.
    filling, late = (
        actions.plan_visit(
            site, asker=dispatcher, purpose="mend", systems={}, meant_for=None, minutes=76
        )
        for _ in range(2)
    )
    actions.offer_visit(filling, to=TUESDAY, technician=andrea, asker=dispatcher)

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


def answered(visit, asker, person, word="yes", by="link", sequence=0, **more):
    answer = actions.answer_visit(
        visit, asker=asker, word=word, by=by, person=person, sequence=sequence, **more
    )
    visit.refresh_from_db()
    return answer


def test_a_time_that_was_held_and_agreed_opens_the_site(visit, andrea, dispatcher, technician):
    actions.hold_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)
    with pytest.raises(NotFound):
        register_queries.site_for(technician, visit.site_id)

    actions.agree_visit(visit, asker=dispatcher)

    assert register_queries.site_for(technician, visit.site_id) == visit.site
    assert visit.held_until is None


def test_a_hold_that_runs_out_while_it_is_answered_stays_agreed(visit, andrea, dispatcher):
    actions.hold_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)
    seen_before = queries.visit_for(dispatcher, visit.pk)
    actions.agree_visit(visit, asker=dispatcher)

    with pytest.raises(ChangedMeanwhile):
        actions.let_hold_go(seen_before, asker=makers.clock(makers.later(minutes=10)))

    assert queries.visit_for(dispatcher, visit.pk).state == State.AGREED


def test_an_answer_to_an_offer_counts_no_more_once_the_offer_has_moved(
    offered, homeowner, home, dispatcher
):
    answered(offered, homeowner, home[0], "another_day")

    actions.move_visit(offered, to=THURSDAY, asker=dispatcher)

    assert (offered.state, offered.sequence) == (State.OFFERED, 1)
    assert offered.needs_person_since is None
    assert queries.latest_answers(offered) == []
    answered(offered, homeowner, home[0], sequence=1)
    assert offered.state == State.AGREED


def test_a_yes_to_a_time_that_is_over_awaits_a_person(offered, homeowner, home):
    late = makers.as_household(home[0], home[1], makers.later(days=2))

    answered(offered, late, home[0])

    assert offered.state == State.OFFERED
    assert offered.needs_person_since == makers.later(days=2)
    with pytest.raises(actions.WindowInThePast):
        actions.agree_visit(offered, asker=late)


def test_a_yes_to_a_dig_without_its_ticket_is_kept_and_awaits_a_person(
    home, andrea, dispatcher, homeowner
):
    visit = actions.plan_visit(
        home[2],
        asker=dispatcher,
        purpose="dig up the valve",
        systems={home[3]: []},
        meant_for=None,
        is_digging=True,
    )
    actions.offer_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)

    answered(visit, homeowner, home[0])

    assert (visit.state, Answer.objects.count()) == (State.OFFERED, 1)
    assert visit.needs_person_since is not None


def test_an_answer_by_telephone_names_who_wrote_it_down(offered, dispatcher, home):
    answer = answered(offered, dispatcher, home[0], by="telephone", note=" rings back\t")

    assert answer.written_by_id == dispatcher.account_id
    assert answer.note == " rings back"
    assert offered.state == State.AGREED


def test_an_agreed_visit_waits_for_nobody_once_the_household_comes_back_to_yes(
    agreed, homeowner, home
):
    answered(agreed, homeowner, home[0], "another_day")
    assert agreed.needs_person_since is not None

    answered(agreed, homeowner, home[0], "yes")

    assert (agreed.state, agreed.needs_person_since) == (State.AGREED, None)


def test_the_same_wish_after_it_was_dealt_with_is_a_new_one(agreed, homeowner, home, dispatcher):
    answered(agreed, homeowner, home[0], "another_day")
    actions.settle_answers(agreed, asker=dispatcher)

    answered(agreed, homeowner, home[0], "another_day")

    assert agreed.needs_person_since is not None


def test_not_my_house_stops_only_the_household_that_said_so(offered, homeowner, home):
    own = makers.make_household(home[0], name="Greenlaw senior")

    answered(offered, homeowner, home[0], "not_my_house")

    own.refresh_from_db()
    home[1].refresh_from_db()
    assert own.asking_stopped_at is None
    assert home[1].asking_stopped_at is not None


def test_who_had_set_out_sets_out_anew_to_the_new_time(agreed, technician, dispatcher):
    actions.set_out(agreed, asker=technician)

    actions.move_visit(agreed, to=THURSDAY, asker=dispatcher)
    actions.set_out(agreed, asker=technician)

    assert [key for kind, key in kinds() if kind == "visit.set_out"] == [
        f"{agreed.pk}:0",
        f"{agreed.pk}:1",
    ]


@pytest.mark.parametrize("state", ["at_pit", "made", "not_reached", "called_off"])
def test_a_visit_is_called_off_from_any_state_before_at_pit(agreed, technician, dispatcher, state):
    go = {
        "at_pit": lambda: actions.arrive(agreed, asker=technician),
        "made": lambda: actions.make_visit(agreed, asker=technician),
        "not_reached": lambda: actions.miss_visit(agreed, asker=technician, because="dog"),
        "called_off": lambda: actions.call_off_visit(agreed, asker=dispatcher, by="us", because=""),
    }
    go[state]()

    with pytest.raises(actions.NotInThisState):
        actions.call_off_visit(agreed, asker=dispatcher, by="us", because="ill")


def test_a_planned_or_held_visit_is_called_off_and_nobody_hears_of_it(visit, andrea, dispatcher):
    actions.hold_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)

    actions.call_off_visit(visit, asker=dispatcher, by="us", because="not needed")

    assert (visit.state, visit.sequence) == (State.CALLED_OFF, 0)
    assert kinds() == []


def test_a_lid_under_new_pavers_keeps_the_dates_and_makes_reaching_it_due(agreed, technician, home):
    judge = makers.clock()
    inspections.refresh_due(asker=judge, system_id=home[3].pk)
    before = Due.objects.current().get(system=home[3], kind="pump").due_on

    actions.miss_visit(
        agreed, asker=technician, because="pavers lie on the lid", why_not="lid_covered"
    )
    inspections.refresh_due(asker=judge, system_id=home[3].pk)

    looks = Look.objects.filter(inspection__visit_system__visit=agreed)
    assert {(k.kind, k.outcome, k.why_not) for k in looks} == {
        ("pump", "not_done", "lid_covered"),
        ("sediment", "not_done", "lid_covered"),
    }
    current = Due.objects.current().filter(system=home[3])
    assert current.filter(kind="access").exists()
    assert current.get(kind="pump").due_on == before


def test_a_visit_to_two_systems_is_made_when_both_have_their_inspection(
    home, andrea, dispatcher, technician
):
    systems = [home[3], makers.make_system(home[2], place="behind the garage")]
    visit = actions.plan_visit(
        home[2],
        asker=dispatcher,
        purpose="yearly look",
        systems={system: ["lid"] for system in systems},
        meant_for=None,
    )
    actions.hold_visit(visit, to=TUESDAY, technician=andrea, asker=dispatcher)
    actions.agree_visit(visit, asker=dispatcher)
    actions.arrive(visit, asker=technician)

    states = []
    for system in systems:
        record = InspectionRecord(
            id=uuid.uuid4(), on=makers.MONDAY.date(), looks=(LookRecord("lid"),)
        )
        actions.record_at_visit(system, asker=technician, record=record, visit=visit)
        states.append(visit.state)

    assert states == [State.AT_PIT, State.MADE]


def test_a_window_that_has_begun_gives_no_start_in_the_past(visit, andrea, dispatcher):
    at_nine = makers.as_account(
        Account.objects.get(pk=dispatcher.account_id), makers.later(days=1, hours=1)
    )

    actions.hold_visit(visit, to=TUESDAY, technician=andrea, asker=at_nine)

    assert visit.slot_starts_at == at_nine.at


def test_a_look_nobody_knows_is_not_planned(home, dispatcher):
    with pytest.raises(CannotBeDone, match="page's looks"):
        actions.plan_visit(
            home[2], asker=dispatcher, purpose="x", systems={home[3]: ["roof"]}, meant_for=None
        )


def test_a_household_sees_no_visit_that_was_agreed_before_its_time(agreed, homeowner, home):
    assert queries.visit_for(homeowner, agreed.pk) == agreed

    for part in home[0].parts.all():
        register.end_part(part, asker=makers.clock(), ends_on=date(2027, 5, 9))
    other = makers.make_person("Otis Dellwood")
    household = makers.make_household(other, name="Dellwood")
    register.give_part(
        other, home[2], asker=makers.clock(), part="lives", starts_on=date(2027, 5, 12)
    )
    theirs = makers.as_household(other, household, makers.later(days=3))

    with pytest.raises(NotFound):
        queries.visit_for(theirs, agreed.pk)
    assert not queries.visits_of_site(theirs, home[2]).exists()


def test_an_offer_nobody_answered_in_time_awaits_a_person_once(offered):
    before, after = makers.later(days=1), makers.later(days=2)
    assert actions.pass_on_overdue(asker=makers.clock(before)) == 0

    # Offered until 10:00 on Tuesday; Wednesday at 8:00 that is over.
    assert actions.pass_on_overdue(asker=makers.clock(after)) == 1
    assert actions.pass_on_overdue(asker=makers.clock(after)) == 0

    offered.refresh_from_db()
    assert (offered.state, offered.needs_person_since) == (State.OFFERED, after)
    assert queries.answers_to_deal_with(makers.clock(after)) == [offered]


def test_a_promise_of_which_nobody_says_that_it_was_kept_awaits_a_person(agreed):
    assert actions.pass_on_overdue(asker=makers.clock(makers.later(days=2))) == 0

    assert actions.pass_on_overdue(asker=makers.clock(makers.later(days=3))) == 1


def test_a_visit_that_was_made_or_called_off_awaits_nobody(agreed, technician):
    actions.make_visit(agreed, asker=technician)

    assert actions.pass_on_overdue(asker=makers.clock(makers.later(days=30))) == 0
