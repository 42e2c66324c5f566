"""A plan's page: how far it is, what would change and why; adopted, undone, put aside, stale."""

import json

import pytest

from drainservice.accounts.models import Account
from drainservice.engine.rounds.search.effort import Effort
from drainservice.visits import actions
from drainservice.visits.models import Plan, PlanState, Visit
from jobs.models import Job
from tests import makers
from tests.visits.busy_week import TUESDAY, booked, planned, site
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db
TELLING = ["visit.offered", "visit.agreed", "visit.moved", "visit.called_off"]
LITTLE = Effort(solver=50, looks=500, rebuilds=50)


@pytest.fixture
def tuesday(desk):
    """Andrea drives north and south for two promises; Basil has one in the south; one visit that
    nobody was told of waits in the south."""
    makers.make_account("basil")
    andrea, basil = Account.objects.get(handle="andrea"), Account.objects.get(handle="basil")
    return {
        "andrea": andrea,
        "basil": basil,
        "north": booked(site(1, north=0.05), andrea, TUESDAY, 8),
        "south": booked(site(2, north=-0.05), andrea, TUESDAY, 13),
        "own": booked(site(3, north=-0.04, east=0.01), basil, TUESDAY, 9),
        "loose": planned(site(4, north=-0.03)),
    }


def asked(what_if=None):
    return actions.ask_rounds([TUESDAY], asker=makers.clock(), effort=LITTLE, what_if=what_if)


def ready(what_if=None):
    plan = asked(what_if)
    clocks = actions.Clocks(lambda: makers.MONDAY, lambda: 0.0)
    actions.work_out(plan.pk, asker=makers.clock(), clocks=clocks)
    plan = Plan.objects.get(pk=plan.pk)
    assert plan.state == PlanState.READY, plan.failed_because
    return plan


def post(desk, plan, act):
    return desk.post(f"/plans/{plan.pk}", {"act": act}, follow=True)


def stand():
    return list(Visit.objects.order_by("pk").values("technician", "day", "slot_starts_at"))


def test_while_it_is_worked_out_the_page_asks_again_by_itself(tuesday, desk):
    plan = asked()

    answer = desk.get(f"/plans/{plan.pk}")

    assert answer.headers["Refresh"] == "2"
    assert "It is being worked out" in page(answer)
    assert "Stop, and keep the best so far" in page(answer)
    assert "Adopt this" not in page(answer)


def test_what_changes_stands_there_before_anything_does(tuesday, desk):
    before = stand()
    plan = ready()

    said = page(desk.get(f"/plans/{plan.pk}"))

    assert "It is ready to be looked at. Nothing has changed yet." in said
    assert tuesday["loose"].site.address in said
    assert "it stood in no round. Nobody is told." in said
    assert "Nobody is told." in said
    assert "as it would be" in said
    assert "Refresh" not in desk.get(f"/plans/{plan.pk}").headers
    assert stand() == before


def test_each_change_is_explained_from_the_rounds_themselves(tuesday, desk):
    plan = ready()

    said = page(desk.get(f"/plans/{plan.pk}", {"why": tuesday["loose"].pk}))

    # Its cost where it stands, and the next best, in minutes.
    assert "Next best" in said
    assert " min" in said


@pytest.mark.parametrize("why", ["x", "-1", "999999999999999999999", "²"])
def test_a_question_about_no_visit_is_passed_over(tuesday, desk, why):
    assert desk.get(f"/plans/{ready().pk}", {"why": why}).status_code == 200


def test_adopted_nobody_is_told_and_undone_all_is_as_it_was(tuesday, desk):
    before, told = stand(), Job.objects.filter(kind__in=TELLING).count()
    plan = ready()

    answer = post(desk, plan, "adopt")

    assert "Adopted." in page(answer)
    assert "the rounds stand as it says" in page(answer)
    loose = Visit.objects.get(pk=tuesday["loose"].pk)
    assert loose.technician is not None
    assert Job.objects.filter(kind__in=TELLING).count() == told

    desk.post(f"/undo/{answer.context['act']}", {"back": "/"})
    assert stand() == before


def test_put_aside_it_changes_nothing(tuesday, desk):
    before = stand()
    plan = ready()

    assert "It was put aside; nothing was changed." in page(post(desk, plan, "put_aside"))
    assert stand() == before


def test_rounds_that_changed_meanwhile_are_not_written_over(tuesday, desk):
    plan = ready()
    basil = tuesday["basil"]
    south = Visit.objects.get(pk=tuesday["south"].pk)
    actions.hand_on(south, technician=basil, asker=makers.clock())
    before = stand()

    answer = post(desk, plan, "adopt")

    assert answer.status_code == 409
    assert "Fit it to the rounds of now" in page(answer)
    assert stand() == before

    fitted = post(desk, plan, "rebase")
    assert "Fitted to the rounds of now" in page(fitted)
    assert Plan.objects.order_by("-pk").first().state == PlanState.READY


def test_a_what_if_says_so_and_cannot_be_adopted(tuesday, desk):
    plan = ready(actions.WhatIf(longer_min=30))

    said = page(desk.get(f"/plans/{plan.pk}"))
    assert "This is what if: with 30 min more a shift." in said
    assert "Adopt this" not in said

    assert post(desk, plan, "adopt").status_code == 409
    assert Plan.objects.get(pk=plan.pk).state == PlanState.READY


def test_stopped_it_says_that_it_stops(tuesday, desk):
    plan = asked()

    assert "It stops in a moment" in page(post(desk, plan, "stop"))


def test_its_inputs_go_home_as_the_file_that_is_replayed(tuesday, desk):
    plan = ready()

    answer = desk.get(f"/plans/{plan.pk}/inputs.json")

    assert answer.headers["Content-Type"] == "application/json"
    assert json.loads(answer.content)["stops"]


def test_what_nobody_offers_is_refused_in_a_sentence(tuesday, desk):
    answer = post(desk, ready(), "sell")

    assert answer.status_code == 409
    assert "Choose one of the buttons of this page." in page(answer)


def test_nobody_else_sees_a_plan(tuesday, desk, client):
    plan = ready()

    assert desk.get(f"/plans/{plan.pk + 1}").status_code == 404
    theirs = sign_in("andrea")
    assert theirs.get(f"/plans/{plan.pk}").status_code == 403
    assert theirs.get(f"/plans/{plan.pk}/inputs.json").status_code == 403
    assert client.get(f"/plans/{plan.pk}").headers["Location"].startswith("/sign-in")
