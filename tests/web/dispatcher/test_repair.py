"""Repair: what is broken, the first aid for it, and whom it would disturb; nothing by looking."""

import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.models import Plan, PlanState, State, Visit
from jobs.models import Job
from tests import makers
from tests.visits.busy_week import TUESDAY, booked, crew, site
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db
ADDRESS = "/rounds/2027-05-11/repair"


@pytest.fixture
def tuesday(desk):
    """Andrea: 8 to 10 in the north, 13 to 15 in the south; Basil: 9 to 11 in the south."""
    makers.make_account("basil")
    andrea, basil = Account.objects.get(handle="andrea"), Account.objects.get(handle="basil")
    crew("caro")
    return {
        "andrea": andrea,
        "basil": basil,
        "north": booked(site(1, north=0.05), andrea, TUESDAY, 8),
        "south": booked(site(2, north=-0.05), andrea, TUESDAY, 13),
        "own": booked(site(3, north=-0.04, east=0.01), basil, TUESDAY, 9),
    }


def ill(who, because="fever"):
    """Away all Tuesday."""
    midnight = makers.MONDAY + timedelta(hours=16)
    actions.enter_absence(
        who,
        asker=makers.clock(),
        from_at=midnight,
        until_at=midnight + timedelta(days=1),
        because=because,
    )


def post(desk, act, **told):
    shown = desk.get(ADDRESS)
    told = {"mark": shown.context.get("mark", "")} | told
    return desk.post(ADDRESS, {"act": act} | told)


def told_jobs():
    """Facts that a household hears of."""
    kinds = ["visit.offered", "visit.agreed", "visit.moved", "visit.called_off"]
    return list(Job.objects.filter(kind__in=kinds).values_list("kind", "details__visit_id"))


def test_a_day_on_which_nothing_is_wrong(tuesday, desk):
    answer = desk.get(ADDRESS)

    assert "Nothing is broken on Tuesday 11 May: nobody is away or late." in page(answer)
    assert "Adopt this" not in page(answer)


def test_who_is_away_and_the_first_aid(tuesday, desk):
    ill(tuesday["andrea"])

    said = page(desk.get(ADDRESS))

    assert "Andrea is away on Tuesday 11 May: fever. 2 visits stand in that round." in said
    assert "Keeps all 2 promises" in said
    assert "comes instead of Andrea, within the same window." in said
    assert "Adopting it tells no household." in said
    assert "As it stands." in said
    assert "Nothing is left of this round." in said


def test_a_closed_day_with_promises_is_broken(tuesday, desk):
    actions.close_days(
        asker=makers.clock(), first_on=TUESDAY, last_on=TUESDAY, name="Town fair", is_worked=False
    )

    said = page(desk.get(ADDRESS))

    assert "Town fair" in said
    assert "Keeps none of 3 promises" in said
    assert "3 households must be rung for another day. Nobody else is told." in said


def test_looking_writes_nothing(tuesday, desk, changes):
    ill(tuesday["andrea"])
    before, jobs = changes(), Job.objects.count()

    desk.get(ADDRESS)
    desk.get(f"{ADDRESS}?late=basil&free=10:30")

    assert (changes(), Job.objects.count()) == (before, jobs)
    assert not Plan.objects.exists()


def test_adopting_it_tells_only_those_who_must_be_told(tuesday, desk):
    ill(tuesday["andrea"])

    answer = post(desk, "adopt")

    assert answer.status_code == 302
    assert told_jobs() == []
    for name in ("north", "south"):
        visit = Visit.objects.get(pk=tuesday[name].pk)
        assert visit.technician != tuesday["andrea"]
        assert (visit.window_from, visit.state) == (tuesday[name].window_from, State.AGREED)


def test_adopting_it_tells_whoever_gets_another_time_once(tuesday, desk):
    # Nobody but Andrea was promised; she is ill, so each such household is asked by one message.
    Visit.objects.filter(pk=tuesday["north"].pk).update(is_named=True)
    ill(tuesday["andrea"])

    said = page(desk.get(ADDRESS))
    post(desk, "adopt")

    assert "Adopting it tells one household by message. Nobody else is told." in said
    assert told_jobs() == [("visit.moved", tuesday["north"].pk)]


def test_adopting_it_can_be_undone_for_half_a_minute(tuesday, desk, at_eight):
    ill(tuesday["andrea"])
    before = list(Visit.objects.order_by("pk").values("pk", "technician", "slot_starts_at"))
    answer = post(desk, "adopt")
    group = answer.url.partition("act=")[2]

    at_eight.shift(timedelta(seconds=29))
    assert "Undo" in page(desk.get(answer.url))
    undone = desk.post(f"/undo/{group}", {"back": ADDRESS})

    assert undone.status_code == 302, page(undone)
    assert list(Visit.objects.order_by("pk").values("pk", "technician", "slot_starts_at")) == before


def test_after_half_a_minute_it_stays(tuesday, desk, at_eight):
    ill(tuesday["andrea"])
    answer = post(desk, "adopt")
    group = answer.url.partition("act=")[2]

    at_eight.shift(timedelta(seconds=31))

    assert desk.post(f"/undo/{group}", {"back": ADDRESS}).status_code == 409


def test_what_has_changed_since_it_was_shown_is_not_adopted(tuesday, desk):
    ill(tuesday["andrea"])
    mark = desk.get(ADDRESS).context["mark"]
    booked(site(9, north=-0.03), tuesday["basil"], TUESDAY, 13)
    ill(tuesday["basil"])

    answer = desk.post(ADDRESS, {"act": "adopt", "mark": mark})

    assert answer.status_code == 409
    assert "nothing was done" in page(answer)
    assert Visit.objects.get(pk=tuesday["north"].pk).technician == tuesday["andrea"]


def test_who_is_late_is_reckoned_with(tuesday, desk):
    said = page(desk.get(f"{ADDRESS}?late=basil&free=11:30"))

    assert "Basil will be free at 11:30: “3 Alder Rd before 11” breaks by" in said
    assert "Adopt this" in said


def test_a_time_nobody_can_read_is_said(tuesday, desk):
    said = page(desk.get(f"{ADDRESS}?late=basil&free=soon"))

    assert "Choose who is late, and a time such as 10:30." in said


def test_a_better_one_is_looked_for(tuesday, desk):
    ill(tuesday["andrea"])

    post(desk, "better")
    waiting = desk.get(ADDRESS)

    plan = Plan.objects.get()
    assert (plan.kind, plan.state) == ("repair", PlanState.THINKING)
    assert waiting["Refresh"] == "2"
    assert "A better one is being looked for." in page(waiting)
    post(desk, "better")
    assert Plan.objects.count() == 1


def ready(desk):
    """A better one, found."""
    post(desk, "better")
    plan = Plan.objects.get()
    from drainservice.visits.actions import Clocks, work_out

    clocks = Clocks(lambda: makers.MONDAY, lambda: 0.0)
    return work_out(plan.pk, asker=makers.clock(), clocks=clocks)


def test_the_better_one_is_shown_and_adopted(tuesday, desk):
    ill(tuesday["andrea"])
    plan = ready(desk)
    assert plan.state == PlanState.READY

    shown = desk.get(ADDRESS)
    assert "Adopt the better one" in page(shown)
    assert "Refresh" not in shown
    answer = post(desk, "adopt_better", plan=plan.pk)

    assert answer.status_code == 302
    assert Plan.objects.get().state == PlanState.ADOPTED
    assert told_jobs() == []
    assert Visit.objects.get(pk=tuesday["north"].pk).technician != tuesday["andrea"]


def test_the_better_one_is_put_aside(tuesday, desk):
    ill(tuesday["andrea"])
    plan = ready(desk)

    post(desk, "put_aside", plan=plan.pk)

    assert Plan.objects.get().state == PlanState.REFUSED
    assert "A better one" not in page(desk.get(ADDRESS))


def test_a_search_is_stopped(tuesday, desk):
    ill(tuesday["andrea"])
    post(desk, "better")

    post(desk, "stop", plan=Plan.objects.get().pk)

    assert Plan.objects.get().cancel_wanted_at == makers.MONDAY


def test_a_proposal_that_is_not_the_newest_is_refused(tuesday, desk):
    answer = post(desk, "adopt_better", plan=99)

    assert answer.status_code == 409
    assert "not the newest any more" in page(answer)


def test_a_list_before_a_storm_becomes_urgent_visits(yard, desk):
    # Nobody has ever seen this pump run, and its test is past its day.
    crew("caro")
    shown = desk.get(ADDRESS)
    assert [system for system, _ in shown.context["listed"]] == [yard]
    assert "Its pump test was due on" in page(shown)

    post(desk, "storm", systems=[yard.pk])

    visit = Visit.objects.get()
    assert (visit.is_urgent, visit.wanted_by, visit.state) == (True, TUESDAY, State.PLANNED)
    said = page(desk.get(ADDRESS))
    assert "One visit must be made and stands in no round yet" in said
    assert re.search(r"114 Maple Ridge Rd is reached by \w+ at about 8[:\d]*; agree", said)
    post(desk, "adopt")
    placed = Visit.objects.get()
    assert (placed.state, placed.day) == (State.PLANNED, TUESDAY)
    assert placed.technician is not None
    assert told_jobs() == []


def test_a_list_of_nothing_is_refused(yard, desk):
    answer = post(desk, "storm")

    assert answer.status_code == 409
    assert "choose others" in page(answer)


def test_the_whole_day_is_called_off_and_listed_to_be_booked_again(tuesday, desk):
    once = desk.get(ADDRESS).context["off_form"]["once"].value()

    answer = post(desk, "call_off", because="the weather", more="", once=once)

    assert sorted(told_jobs()) == sorted(
        ("visit.called_off", tuesday[name].pk) for name in ("north", "south", "own")
    )
    said = page(desk.get(answer.url.partition("#")[0]))
    assert "3 visits of this day were called off and wait for another day." in said
    assert "Undo" in said
    again = post(desk, "call_off", because="the weather", more="", once=once)
    assert "before" in again.url
    assert len(told_jobs()) == 3


def test_an_act_nobody_knows_is_refused(tuesday, desk):
    assert post(desk, "explode").status_code == 409


def test_a_day_that_is_over_says_so(tuesday, desk):
    answer = desk.get("/rounds/2027-05-09/repair")

    assert answer.status_code == 409
    assert "That day is over" in page(answer)


def test_a_day_that_is_none_is_not_there(desk):
    assert desk.get("/rounds/today/repair").status_code == 404


def test_a_technician_is_refused(tuesday):
    assert sign_in("andrea").get(ADDRESS).status_code == 403


def test_nobody_is_let_in_without_signing_in(tuesday, client):
    answer = client.get(ADDRESS)

    assert "3 Alder Rd" not in page(answer)
    assert answer.status_code in {302, 401}


def test_more_visits_take_no_more_statements(tuesday, desk):
    ill(tuesday["andrea"])
    desk.get(ADDRESS)

    def statements():
        # How drives are reckoned is read for each drawn round, and of these there are six at most.
        each_round = ("visits_barrier", "visits_planningterms", "visits_drive")
        with CaptureQueriesContext(connection) as asked:
            assert desk.get(ADDRESS).status_code == 200
        told = [one["sql"] for one in asked.captured_queries]
        return len([sql for sql in told if not any(table in sql for table in each_round)])

    few = statements()
    for hour in (11, 15):
        booked(site(hour, east=0.01), tuesday["andrea"], TUESDAY, hour)
        booked(site(20 + hour, east=0.01), tuesday["basil"], TUESDAY, hour)
    assert statements() == few


def test_a_far_day_is_a_day_like_others(tuesday, desk):
    assert desk.get(f"/rounds/{date(2027, 12, 24)}/repair").status_code == 200
