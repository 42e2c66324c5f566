"""Every change is kept, nothing overwrites unseen, history stands, an act can be undone."""

from datetime import date

import pytest
from django.db import DatabaseError, transaction

from drainservice.accounts import actions as accounts
from drainservice.accounts import history
from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Account, Change, Person
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import Agreement, Pit, Site, System
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


def test_a_refused_change_leaves_the_row_in_memory_as_it_was(dispatcher):
    site = makers.make_site()

    with pytest.raises(history.RuleBroken):
        history.keep(site, asker=dispatcher, latitude=91.0, note="far north")

    assert (site.latitude, site.note, site.version) == (47.25, "", 1)


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_refused_in_words(dispatcher, wrong):
    site = makers.make_site()
    changes = Change.objects.count()

    with pytest.raises(history.DoesNotFit, match="mend it and save again"):
        history.keep(site, asker=dispatcher, latitude=wrong)
    with pytest.raises(history.DoesNotFit):
        history.keep(site.jurisdiction, asker=dispatcher, rule_months={"pump": wrong})
    with pytest.raises(history.DoesNotFit):
        makers.make_site("9 Islay Ct", latitude=wrong)

    assert Change.objects.count() == changes


@pytest.mark.parametrize("new", [{"city": "x" * 81}, {"note": "x" * 5001}])
def test_what_is_too_long_is_refused_in_words_on_either_database(dispatcher, new):
    site = makers.make_site()

    with pytest.raises(CannotBeDone, match="save again"):
        history.keep(site, asker=dispatcher, **new)


def test_a_number_too_large_for_the_database_is_refused_in_words(dispatcher):
    with pytest.raises(CannotBeDone, match="save again"):
        history.keep(makers.make_household(), asker=dispatcher, link_number=2**70)


def test_private_words_that_stayed_are_not_told_again(dispatcher):
    site = makers.make_site(access_note="key under the pot")

    history.keep(site, asker=dispatcher, access_note="key under the pot", note="blue gate")

    assert Change.objects.latest("pk").private is None


def test_that_a_password_was_set_is_told_and_what_it_was_never(dispatcher):
    account = Account.objects.get(pk=dispatcher.account_id)
    account.set_password("a long enough pass phrase")

    history.keep(account, asker=dispatcher.acting(group="new"), password=account.password)

    assert Change.objects.latest("pk").private["after"] == {"password": "(set)"}
    with pytest.raises(history.CannotBeUndone, match="set it anew"):
        history.undo("new", asker=dispatcher)


def test_a_new_row_that_was_built_upon_is_not_undone(dispatcher):
    person = accounts.enter_person(asker=dispatcher.acting(group="act"), name="Juno")
    history.keep(person, asker=dispatcher, note="rings twice")

    with pytest.raises(history.CannotBeUndone, match="changed this since"):
        history.undo("act", asker=dispatcher)

    assert Person.objects.get(pk=person.pk).removed_at is None


def test_rows_with_relations_are_undone_and_only_once(home, dispatcher):
    acting = dispatcher.acting(group="act")
    agreement = register.enter_agreement(
        home[1], asker=acting, systems=[home[3]], starts_on=date(2027, 1, 1)
    )

    history.undo("act", asker=dispatcher)

    assert System.objects.get(pk=home[3].pk).agreement is None
    assert not Agreement.objects.standing().filter(pk=agreement.pk).exists()
    with pytest.raises(history.CannotBeUndone):
        history.undo("act", asker=dispatcher)


def test_the_sites_over_a_main_are_told_in_history_and_can_be_undone(dispatcher):
    site = makers.make_site()
    main = register.enter_main(asker=dispatcher, sites=[], name="Maple Ridge main")

    history.add_to(main, "sites", [site], asker=dispatcher.acting(group="a2"))

    change = Change.objects.latest("pk")
    assert (change.before, change.after) == ({"sites": []}, {"sites": [str(site.pk)]})
    history.undo("a2", asker=dispatcher)
    assert not main.sites.exists()
