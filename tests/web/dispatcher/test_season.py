"""The season's page: does it fit, what a search would change, adopted, undone; nobody is told."""

from datetime import date

import pytest

from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.inspections.actions import find_due
from drainservice.register.models import WetSeason
from drainservice.visits import actions, queries
from drainservice.visits.models import Plan, PlanState, Visit
from jobs.models import Job
from tests import makers
from tests.visits import busy_week
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db
SHORT = SeasonEffort(first_steps=50, rebuilds=300, last_steps=50)
TELLING = ["visit.offered", "visit.agreed", "visit.moved", "visit.called_off"]


@pytest.fixture
def town(desk):
    """Six systems that nobody ever looked at, all past due; Andrea goes out."""
    systems = [
        makers.make_system(busy_week.site(n, north=0.01 * n, east=0.01)) for n in range(1, 7)
    ]
    find_due(asker=makers.clock())
    return systems


def work_out(plan):
    clocks = actions.Clocks(lambda: makers.MONDAY, lambda: 0.0)
    actions.work_out(plan.pk, asker=makers.clock(), clocks=clocks)
    plan = Plan.objects.get(pk=plan.pk)
    assert plan.state == PlanState.READY, plan.failed_because
    return plan


def ready(what_if=None):
    season = queries.next_season(makers.MONDAY)
    return work_out(actions.ask_season(season, asker=makers.clock(), effort=SHORT, what_if=what_if))


def post(desk, act, plan=None, **told):
    number = {} if plan is None else {"plan": plan.pk}
    return desk.post("/season", {"act": act} | number | told, follow=True)


def stand():
    return list(Visit.objects.order_by("pk").values("site", "state", "meant_for", "minutes"))


def test_before_any_search_it_says_that_nothing_is_planned(town, desk):
    said = page(desk.get("/season"))

    assert "The wet season begins on Friday 15 October, and nothing is planned" in said
    assert "Hours due against crew hours, week by week" in said
    # 16 weeks before 15 October 2027 lies in the week of 21 June; the last is that of 11 October.
    assert "Mon 21 Jun: 0 h planned and 0 h promised" in said
    assert "Mon 11 Oct: 0 h planned" in said


def test_looking_writes_nothing(town, desk):
    before = stand()

    desk.get("/season")

    assert (stand(), Plan.objects.count()) == (before, 0)


def test_asked_it_says_how_far_it_is_and_asks_again_by_itself(town, desk):
    answer = post(desk, "ask")

    assert "It is being looked for" in page(answer)
    assert "The season is being worked out" in page(answer)
    assert answer.headers["Refresh"] == "2"
    assert Plan.objects.get().state == PlanState.THINKING


def test_a_proposal_says_whether_it_fits_and_how_good_it_is(town, desk):
    ready()

    said = page(desk.get("/season"))

    # Six looks of an hour in sixteen weeks of a technician: they fit.
    assert "Every visit has a week." in said
    assert "any plan could be" in said or "No plan could be better" in said
    assert "Adopt these weeks" in said
    assert stand() == []


def test_adopted_the_visits_have_their_weeks_and_nobody_is_told(town, desk):
    plan = ready()

    answer = post(desk, "adopt", plan)

    made = list(Visit.objects.all())
    assert len(made) == 6
    assert {visit.state for visit in made} == {"planned"}
    assert all(date(2027, 6, 21) <= visit.meant_for <= date(2027, 10, 11) for visit in made)
    assert not Job.objects.filter(kind__in=TELLING).exists()
    assert "No household has been told." in page(answer)

    desk.post(f"/undo/{answer.context['act']}", {"back": "/season"})
    assert Visit.objects.standing().count() == 0


def test_a_what_if_is_shown_and_cannot_be_adopted(town, desk):
    answer = post(desk, "what_if", hours="40", first="2027-07-05", last="2027-07-26")
    assert "is being worked out" in page(answer)
    plan = work_out(Plan.objects.get())

    said = page(desk.get("/season"))
    assert "What if: with 40 h more a week from 5 Jul to 26 Jul" in said
    assert "Adopt these weeks" not in said

    assert post(desk, "adopt", plan).status_code == 409
    assert Visit.objects.count() == 0


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"hours": "0", "first": "2027-07-05", "last": "2027-07-26"}, "changes nothing"),
        ({"hours": "x", "first": "2027-07-05", "last": "2027-07-26"}, "Enter a number"),
        ({"hours": "nan", "first": "2027-07-05", "last": "2027-07-26"}, "Enter a number"),
        ({"hours": "8", "first": "2027-08-05", "last": "2027-07-26"}, "comes before the first"),
        ({"hours": "8", "first": "", "last": ""}, "This field is required"),
    ],
)
def test_what_cannot_be_tried_is_said_beside_its_field(town, desk, told, words):
    answer = post(desk, "what_if", **told)

    assert answer.status_code == 409
    assert words in page(answer)
    assert Plan.objects.count() == 0


@pytest.mark.parametrize("act", ["", "sell", "adopt", "put_aside"])
def test_an_act_on_no_proposal_is_refused(town, desk, act):
    assert post(desk, act).status_code in {404, 409}
    assert Visit.objects.count() == 0


def test_put_aside_it_is_not_shown_again(town, desk):
    plan = ready()

    post(desk, "put_aside", plan)

    assert "Adopt these weeks" not in page(desk.get("/season"))


def test_what_is_meant_for_this_week_is_to_be_booked_this_morning(town, desk):
    visit = busy_week.planned(town[0].site)

    said = page(desk.get("/season"))

    assert "To book this morning" in said
    assert f'href="/visits/{visit.pk}"' in said
    assert "Meant for the week of Mon 10 May" in said


def test_without_a_wet_season_on_record_it_says_where_to_enter_one(town, desk):
    WetSeason.objects.all().delete()

    said = page(desk.get("/season"))

    assert "No wet season is on record" in said
    assert 'href="/settings"' in said


def test_a_technician_and_a_stranger_do_not_see_it(town, client):
    assert sign_in("andrea").get("/season").status_code == 403
    assert sign_in("andrea").post("/season", {"act": "ask"}).status_code == 403
    assert client.get("/season").headers["Location"].startswith("/sign-in")
    assert Plan.objects.count() == 0
