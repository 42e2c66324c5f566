"""Due: whom to book next, worst first, each with its reason and its sum."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.plain import from_plain
from drainservice.engine.interval.pump_belief import believe_pump
from drainservice.inspections.actions import find_due
from drainservice.inspections.models import Due
from drainservice.web.dispatcher.due_sum import _share
from tests import makers
from tests.web.dispatcher.conftest import page, sign_in

pytestmark = pytest.mark.django_db


def test_the_first_sentence_says_whom_to_book(yard, desk):
    worst = Due.objects.current().order_by("rank_on", "pk").first()
    words = page(desk.get("/due"))
    assert "Book 114 Maple Ridge Rd first, by the driveway. Due since" in words
    assert worst.reason_text[:40].replace("'", "&#x27;") in words


def test_each_system_stands_once_with_all_its_looks(yard, desk):
    lines = desk.get("/due").context["lines"]
    assert [line.due.system_id for line in lines] == [yard.pk]
    assert 1 + len(lines[0].others) == Due.objects.current().count()


def test_the_worse_consequence_comes_first_of_two_alike(yard, desk):
    second = makers.make_system(
        makers.make_site("9 Alder Lane"), consequence="living_space", place="by the shed"
    )
    find_due(asker=makers.clock(), force=True)
    lines = desk.get("/due").context["lines"]
    assert [line.due.system_id for line in lines] == [second.pk, yard.pk]


def test_a_filter_leaves_out_the_rest_and_has_its_own_address(yard, desk):
    lines = desk.get("/due?kind=pump").context["lines"]
    assert {line.due.kind for line in lines} == {"pump"}
    assert not lines[0].others
    assert desk.get("/due?consequence=yard").context["lines"] == []
    assert "Nothing is due by this filter." in page(desk.get("/due?consequence=yard"))


@pytest.mark.parametrize("after", ["", "tomorrow", "2027-05-12_x", "9999-99-99_1"])
def test_a_page_turner_that_is_none_turns_no_page(yard, desk, after):
    assert desk.get(f"/due?after={after}").status_code == 200
    assert len(desk.get(f"/due?after={after}").context["lines"]) == 1


def test_an_open_visit_stands_in_place_of_an_offer(yard, desk, offered):
    words = page(desk.get("/due"))
    assert "Offered Tue 11 May, 8 to 10; waiting for the answer." in words
    assert "Offer a time" not in words


def test_more_systems_cost_no_more_statements(yard, desk):
    def statements():
        with CaptureQueriesContext(connection) as caught:
            desk.get("/due")
        return len(caught)

    one = statements()
    for number in range(4):
        makers.make_system(makers.make_site(f"{number} Ferry Ave"))
    find_due(asker=makers.clock(), force=True)
    assert statements() <= one


def test_the_sum_names_every_day_considered_and_draws_the_chance(yard, desk):
    due = Due.objects.current().get(kind="pump")
    answer = desk.get(f"/due/{due.pk}")
    words = page(answer)
    assert len(answer.context["candidates"]) == len(due.answer["candidates"])
    assert "Chance of a dead pump, and its tests" in words
    assert "The system was handed over by us on 1 June 2021." in words
    assert due.reckoning.model_version in words


def test_the_drawn_share_meets_the_target_where_the_interval_ends(yard, desk):
    # mean_dead_share(interval) = target defines the interval, so at its end both agree.
    due = Due.objects.current().get(kind="pump")
    facts = from_plain(SystemFacts, due.reckoning.inputs)
    known = believe_pump(facts, facts.pump, due.reckoning.today)
    interval = due.answer["posterior"]["interval_days"]
    assert _share(known, known.base_on + timedelta(days=interval)) == pytest.approx(
        known.target, rel=0.02
    )


def test_a_sum_that_is_not_there_is_not_found(yard, desk):
    assert desk.get("/due/999999").status_code == 404


def test_a_technician_may_not_read_the_list(yard, desk):
    assert sign_in("andrea").get("/due").status_code == 403


def test_looking_changes_nothing(yard, desk, changes):
    before = changes()
    desk.get("/due")
    assert changes() == before
    assert desk.post("/due").status_code == 405
