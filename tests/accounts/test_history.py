"""Every change is kept, nothing overwrites unseen, history stands, an act can be undone."""

import pytest
from django.db import DatabaseError, transaction

from drainservice.accounts import history
from drainservice.accounts.models import Change
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import Pit, Site
from tests import makers

pytestmark = pytest.mark.django_db


def test_a_change_says_who_when_before_and_after(dispatcher):
    site = makers.make_site()

    history.keep(site, asker=dispatcher, note="gate on the left")

    change = Change.objects.filter(subject="register.site").latest("pk")
    assert (change.before, change.after) == ({"note": ""}, {"note": "gate on the left"})
    assert change.asker == f"account:{dispatcher.account_id}"
    assert change.at == dispatcher.at
    assert change.site == site.pk


def test_private_words_stand_apart_and_can_be_emptied(dispatcher):
    site = makers.make_site()
    history.keep(site, asker=dispatcher, access_note="key under the pot")
    change = Change.objects.latest("pk")
    assert "key" not in str(change.after)
    assert change.private["after"] == {"access_note": "key under the pot"}

    Change.objects.filter(pk=change.pk).update(private=None)

    assert Change.objects.get(pk=change.pk).private is None


@pytest.mark.parametrize(
    "harm",
    [
        lambda: Change.objects.all().delete(),
        lambda: Change.objects.update(asker="nobody"),
        lambda: Change.objects.update(after={}),
    ],
)
def test_history_is_not_changed_or_deleted(dispatcher, harm):
    makers.make_site()

    with pytest.raises(DatabaseError, match="history is not"), transaction.atomic():
        harm()


def test_a_lost_edit_is_refused_and_nothing_is_written(dispatcher):
    site = makers.make_site()
    hers, his = Site.objects.get(pk=site.pk), Site.objects.get(pk=site.pk)
    history.keep(hers, asker=dispatcher, note="hers")

    with pytest.raises(history.ChangedMeanwhile):
        history.keep(his, asker=dispatcher, note="his")

    assert Site.objects.get(pk=site.pk).note == "hers"


def test_a_rule_of_the_database_speaks_in_words(home):
    pit = Pit.objects.get()

    with pytest.raises(history.RuleBroken, match="pit depth m lies in range") as broken:
        register.change_part(pit, asker=makers.clock(), **known("told", depth_m=400.0))

    assert "mend the value" in str(broken.value)
    assert Pit.objects.get().depth_m == pytest.approx(1.2192)


def test_an_unknown_value_with_a_source_is_refused_by_the_database(home):
    pit = Pit.objects.get()

    with pytest.raises(history.RuleBroken, match="unknown when empty"):
        register.change_part(pit, asker=makers.clock(), depth_m=None)


def test_an_act_is_undone_as_one(dispatcher):
    site = makers.make_site()
    act = dispatcher.acting(group="a1")
    history.keep(site, asker=act, note="wrong")
    history.keep(site, asker=act, dog_note="wrong too")

    history.undo("a1", asker=dispatcher)

    site.refresh_from_db()
    assert (site.note, site.dog_note) == ("", "")


def test_an_act_that_was_built_upon_is_not_undone(dispatcher):
    site = makers.make_site()
    history.keep(site, asker=dispatcher.acting(group="a1"), note="first")
    history.keep(site, asker=dispatcher, note="second")

    with pytest.raises(history.CannotBeUndone, match="since"):
        history.undo("a1", asker=dispatcher)

    site.refresh_from_db()
    assert site.note == "second"
