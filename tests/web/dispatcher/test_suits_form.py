"""What suits them, on a visit's page: days, a promise by name, what a planner leaves."""

import pytest

from drainservice.accounts.models import Account
from drainservice.visits import actions
from drainservice.visits.actions import plan_visit
from drainservice.visits.models import Round, Visit
from tests.web.dispatcher.conftest import page
from tests.web.dispatcher.test_visit import new

pytestmark = pytest.mark.django_db


def keep(desk, visit, **told):
    at = Visit.objects.get(pk=visit.pk)
    told = {
        "act": "suits",
        "version": at.version,
        "lock": at.lock,
        "likes": at.likes,
        "minutes": at.minutes,
        "skills": at.skills_wanted,
    } | told
    return desk.post(f"/visits/{visit.pk}", told, follow=True)


def now():
    visit = Visit.objects.get()
    return visit.likes, visit.is_named, visit.lock


def test_likes_name_and_lock_are_kept_and_undone_as_one(offered, desk):
    answer = keep(desk, offered, likes=["2", "morning"], is_named="on", lock="day")

    # In the order in which the page lists them.
    assert now() == (["2", "morning"], True, "day")
    said = page(answer)
    assert "Andrea comes, as promised by name." in said
    assert "They were promised Andrea, and nobody else" in said
    desk.post(f"/undo/{answer.context['act']}", {"back": f"/visits/{offered.pk}"})
    assert now() == ([], False, "")


def test_what_did_not_change_is_not_written(offered, desk, changes):
    before = changes(), Round.objects.get().version
    keep(desk, offered)
    assert (changes(), Round.objects.get().version) == before


def test_a_visit_without_a_time_has_likes_alone(yard, desk, dispatcher):
    visit = plan_visit(yard.site, asker=dispatcher, purpose="look", systems={}, meant_for=None)
    said = page(desk.get(f"/visits/{visit.pk}"))
    assert "They like" in said
    assert "nobody else" not in said
    assert "A planner leaves" not in said
    keep(desk, visit, likes=["afternoon"], is_named="on", lock="day")
    assert now() == (["afternoon"], False, "")


@pytest.mark.parametrize("told", [{"likes": ["sometimes"]}, {"lock": "never"}, {"version": ""}])
def test_what_the_page_does_not_offer_is_refused(offered, desk, told):
    answer = keep(desk, offered, **told)
    assert answer.status_code == 409
    assert "something below must be mended" in page(answer)
    assert now() == ([], False, "")


def test_a_page_read_before_another_kept_something_is_refused_and_read_anew(offered, desk):
    stale = Visit.objects.get().version
    keep(desk, offered, likes=["morning"])
    answer = keep(desk, offered, likes=["afternoon"], version=stale)
    assert answer.status_code == 409
    assert now()[0] == ["morning"]
    # What the page shows now can be sent.
    assert answer.context["suits_form"]["version"].value() == Visit.objects.get().version


def test_whoever_comes_is_promised_by_name_in_the_act_that_books(yard, desk):
    new(desk, yard, act="agree", person="", is_named="on")
    visit = Visit.objects.get()
    assert (visit.state, visit.is_named) == ("agreed", True)


@pytest.mark.parametrize("act", ["offer", "hold"])
def test_so_is_an_offer_and_a_time_kept_free(yard, desk, act):
    new(desk, yard, act=act, is_named="on")
    assert Visit.objects.get().is_named


def test_what_a_visit_needs_is_changed_before_it_stands_in_a_round(yard, desk, dispatcher):
    andrea = Account.objects.get(handle="andrea")
    actions.give_skill(andrea, asker=dispatcher, word="electric")
    visit = plan_visit(yard.site, asker=dispatcher, purpose="look", systems={}, meant_for=None)
    said = page(keep(desk, visit, minutes=70, skills=["electric"]))
    assert "70 minutes on site. It needs somebody with electric." in said
    kept = Visit.objects.get()
    assert (kept.minutes, kept.skills_wanted) == (70, ["electric"])


def test_what_stands_in_a_round_keeps_its_minutes(offered, desk):
    assert "Minutes on site" not in page(desk.get(f"/visits/{offered.pk}"))
    keep(desk, offered, minutes=120)
    assert Visit.objects.get().minutes == offered.minutes
