"""Who comes in by a link, for how long, and how those who try too often are slowed down."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.auth import authenticate

from drainservice.accounts import actions, history, links, queries
from drainservice.accounts.models import Account, Membership, Throttle
from tests import makers

pytestmark = pytest.mark.django_db


def link_of(person, household):
    return links.write_link(
        links.HouseholdLink(
            person_id=person.pk,
            household_id=household.pk,
            purpose="yard",
            link_number=household.link_number,
        )
    )


def come_in(signed, at=makers.MONDAY):
    return queries.asker_by_link(signed, at=at, door="yard")[0]


def test_a_link_says_which_person_of_which_household_comes(home):
    asker = come_in(link_of(home[0], home[1]))

    assert (asker.person_id, asker.household_id) == (home[0].pk, home[1].pk)


def test_a_link_ends_with_the_persons_own_membership_though_others_stay(home):
    signed = link_of(home[0], home[1])
    other = makers.make_person("Cosmo Greenlaw")
    actions.join_household(other, home[1], asker=makers.clock(), starts_on=date(2021, 1, 1))
    mine = Membership.objects.get(person=home[0], household=home[1])

    history.keep(mine, asker=makers.clock(), ends_on=date(2027, 5, 9))

    with pytest.raises(links.LinkTooOld):
        come_in(signed)
    assert list(queries.members_on(home[1], date(2027, 5, 10))) == [other]


def test_a_membership_ends_with_the_day_of_the_firm_not_of_utc(home):
    signed = link_of(home[0], home[1])
    mine = Membership.objects.get(person=home[0])
    history.keep(mine, asker=makers.clock(), ends_on=date(2027, 5, 10))

    # 22:00 in America/Los_Angeles on 10 May is 05:00 UTC on the 11th.
    assert come_in(signed, datetime(2027, 5, 11, 5, tzinfo=UTC))
    with pytest.raises(links.LinkTooOld):
        come_in(signed, datetime(2027, 5, 11, 8, tzinfo=UTC))


def test_a_link_ends_with_the_households_number_and_with_a_person_taken_out(home, neighbour):
    signed = link_of(home[0], home[1])
    actions.end_links(home[1], asker=makers.clock())
    with pytest.raises(links.LinkTooOld):
        come_in(signed)

    fresh = link_of(home[0], home[1])
    history.remove(home[0], asker=makers.clock())

    with pytest.raises(links.LinkTooOld):
        come_in(fresh)


def test_a_person_of_another_household_does_not_come_in_by_a_link_for_this_one(home, neighbour):
    theirs = queries.person_for(neighbour, neighbour.person_id)

    with pytest.raises(links.LinkTooOld):
        come_in(link_of(theirs, home[1]))


def test_so_many_tries_pass_at_once_and_then_one_each_so_often(db):
    def attempt(at):
        actions.slow_down("sign in", "dora", at=at, most=5, every_s=60)

    for _ in range(5):
        attempt(makers.MONDAY)
    with pytest.raises(actions.TooManyTries) as refused:
        attempt(makers.later(minutes=0.5))
    # 5 tries at 0 s fill the allowance; the sixth passes at 60 s, 30 s after second 30.
    assert refused.value.wait_s == 30
    attempt(makers.later(minutes=1))
    with pytest.raises(actions.TooManyTries):
        attempt(makers.later(minutes=1))


def test_the_wait_that_is_told_is_long_enough(db):
    actions.slow_down("reset", "dora", at=makers.MONDAY, most=1, every_s=10.3)
    with pytest.raises(actions.TooManyTries) as refused:
        actions.slow_down("reset", "dora", at=makers.MONDAY, most=1, every_s=10.3)

    then = makers.MONDAY + timedelta(seconds=refused.value.wait_s)
    actions.slow_down("reset", "dora", at=then, most=1, every_s=10.3)


def test_a_stranger_slows_nobody_else_down_and_leaves_no_name(db):
    for who in ("dora", "andrea"):
        actions.slow_down("sign in", who, at=makers.MONDAY, most=1, every_s=60)

    assert not Throttle.objects.filter(key__icontains="dora").exists()


def test_a_one_time_link_ends_with_its_account(dispatcher):
    account = Account.objects.get(pk=dispatcher.account_id)
    token = actions.let_in_link(account, at=makers.MONDAY).rpartition("/")[2]
    history.keep(account, asker=dispatcher, is_active=False)

    assert actions.use_link(token, at=makers.MONDAY) is None


def test_a_one_time_link_works_once(dispatcher):
    account = Account.objects.get(pk=dispatcher.account_id)
    token = actions.let_in_link(account, at=makers.MONDAY).rpartition("/")[2]

    assert actions.use_link(token, at=makers.later(minutes=29)).account == account
    assert actions.use_link(token, at=makers.later(minutes=29)) is None


def test_a_firm_or_a_site_in_no_zone_is_refused_in_words(home, dispatcher):
    firm = queries.the_firm()

    with pytest.raises(actions.ZoneRefused, match="America/Chicago"):
        actions.change_firm(firm, asker=dispatcher, zone="Mars/Olympus")


def test_an_account_taken_away_lets_nobody_in_and_its_name_is_free(client, dispatcher):
    old = Account.objects.get(pk=dispatcher.account_id)
    client.force_login(old)
    assert client.get("/due").status_code == 200

    history.remove(old, asker=makers.clock())
    new = makers.make_account("dora", "dispatcher", password="a long enough pass phrase")

    assert client.get("/due").status_code == 302
    assert Account.objects.get_by_natural_key("dora") == new
    assert authenticate(username="dora", password="a long enough pass phrase") == new
    history.remove(new, asker=makers.clock())
    assert authenticate(username="dora", password="a long enough pass phrase") is None


@pytest.mark.parametrize("word", ["", "a\0b", "\ud800", "x" * 41, "%", "\xe9"])
def test_a_word_that_is_no_act_was_never_done_on_either_database(dispatcher, word):
    within = timedelta(seconds=30)

    assert queries.was_done_before(dispatcher, word) is False
    assert queries.may_still_undo(dispatcher, word, within=within) is False


def test_an_act_is_known_and_may_be_undone_for_a_while_by_who_did_it(dispatcher, technician):
    acting = dispatcher.acting(group="abc123")
    actions.enter_person(asker=acting, name="Juno")

    def may(asker, seconds):
        return queries.may_still_undo(asker, "abc123", within=timedelta(seconds=seconds))

    assert queries.was_done_before(dispatcher, "abc123")
    assert may(dispatcher, 30)
    assert not may(technician, 30)
    assert not may(replace(dispatcher, at=makers.later(minutes=1)), 30)
