"""A broken day: first aid at once, a better one searched, and both adopted as any plan."""

from datetime import timedelta

import pytest

from drainservice.engine.rounds.check import assert_sound
from drainservice.engine.rounds.repair.stored import read_repair, write_repair
from drainservice.engine.rounds.stored import InputsCannotBeRead
from drainservice.visits import actions, queries
from drainservice.visits.models import Plan, PlanState, State, Visit
from drainservice.visits.queries.proposals import proposal_of
from jobs.models import Job
from tests import makers
from tests.visits import busy_week
from tests.visits.busy_week import TUESDAY
from tests.visits.test_adopting import messages, rows
from tests.visits.test_plans import work_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def broken(dispatcher):
    """Andrea, who has two promises on Tuesday, is away that day."""
    week = busy_week.week()
    midnight = makers.MONDAY + timedelta(hours=16)
    actions.enter_absence(
        week["andrea"],
        asker=dispatcher,
        from_at=midnight,
        until_at=midnight + timedelta(days=1),
        because="fever",
    )
    return week


def test_first_aid_is_ready_at_once_and_says_whom_it_disturbs(broken, dispatcher):
    plan = actions.propose_first_aid(TUESDAY, asker=dispatcher, because="Andrea has fever")

    assert (plan.kind, plan.state, plan.because) == ("repair", "ready", "Andrea has fever")
    assert_sound(*proposal_of(plan))
    assert plan.proposal["words"].startswith("Keeps all 2 promises")
    assert all(one["words"] for one in plan.proposal["disturbed"])
    assert messages() == []


def test_first_aid_adopted_hands_the_promises_on_and_tells_nobody(broken, dispatcher):
    shown = queries.first_aid_for(TUESDAY, at=dispatcher.at)

    actions.adopt_first_aid(TUESDAY, asker=dispatcher, mark=shown.mark)

    hers = Visit.objects.filter(pk__in=[v.pk for v in broken["agreed"][:2]])
    assert set(hers.values_list("technician", "state", "day")) == {
        (broken["basil"].pk, State.AGREED, TUESDAY)
    }
    assert all(v.window_starts_at <= v.slot_starts_at <= v.window_ends_at for v in hers)
    assert messages() == []


def test_first_aid_that_would_be_another_by_now_is_not_done(broken, dispatcher):
    before = rows()

    with pytest.raises(actions.ProposalChanged, match="nothing was done"):
        actions.adopt_first_aid(TUESDAY, asker=dispatcher, mark="0" * 32)

    assert rows() == before
    assert not Plan.objects.exists()


def test_a_better_repair_is_searched_in_the_long_lane_and_adopted(broken, dispatcher):
    plan = actions.ask_repair(TUESDAY, asker=dispatcher)
    assert actions.ask_repair(TUESDAY, asker=dispatcher).pk == plan.pk
    assert Job.objects.get(kind="plan.wanted").lane == "long"

    found = work_out(plan)
    assert_sound(*proposal_of(found))
    adopted = actions.adopt_plan(found, asker=dispatcher)

    assert adopted.state == PlanState.ADOPTED
    hers = Visit.objects.filter(pk__in=[v.pk for v in broken["agreed"][:2]])
    assert set(hers.values_list("technician", flat=True)) == {broken["basil"].pk}


def test_a_repair_asked_again_from_its_stored_question_is_the_same(broken, dispatcher):
    found = work_out(actions.ask_repair(TUESDAY, asker=dispatcher))
    question = read_repair(found.inputs)

    assert write_repair(question) == found.inputs
    again = actions.solving.propose_better(
        question.inputs, question.broken, question.facts, seed=found.seed
    )
    assert proposal_of(found) == (again.inputs, again.plan)


def test_a_repair_is_fitted_to_a_round_that_changed(broken, dispatcher):
    plan = actions.propose_first_aid(TUESDAY, asker=dispatcher)
    busy_week.booked(busy_week.site(50, north=-0.05), broken["basil"], TUESDAY, 15)
    actions.rounds.raise_versions([(broken["basil"].pk, TUESDAY)])
    with pytest.raises(actions.PlanIsStale):
        actions.adopt_plan(plan, asker=dispatcher)

    fitted = actions.rebase_plan(Plan.objects.get(pk=plan.pk), asker=dispatcher)

    assert_sound(*proposal_of(fitted))
    assert actions.adopt_plan(fitted, asker=dispatcher).state == PlanState.ADOPTED


def test_a_day_without_crew_is_told_in_a_sentence(dispatcher):
    andrea, _ = busy_week.crew()
    busy_week.booked(busy_week.site(1), andrea, TUESDAY, 8)
    for who in busy_week.crew_accounts():
        actions.enter_absence(
            who,
            asker=dispatcher,
            from_at=makers.MONDAY,
            until_at=makers.later(days=3),
            because="snow",
        )

    with pytest.raises(actions.NothingToPlan, match="Nobody works on these days"):
        actions.ask_repair(TUESDAY, asker=dispatcher)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "This is no JSON"),
        ("[]", "This is no repair"),
        ('{"form":1,"kind":"season"}', "This is no repair"),
        ('{"form":1,"kind":"repair"}', "'inputs' is missing"),
    ],
)
def test_a_text_that_is_no_repair_is_refused_in_words(text, says):
    with pytest.raises(InputsCannotBeRead, match=says):
        read_repair(text)
