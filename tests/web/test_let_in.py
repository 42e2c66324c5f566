"""Letting people in from the terminal: once, half an hour, and nobody by a guess."""

import re
from datetime import time, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.utils import timezone

from drainservice.accounts import actions as accounts
from drainservice.accounts.links import hash_of
from drainservice.accounts.models import Account, Change, Firm, OneTimeLink
from drainservice.accounts.queries import asker_by_link
from drainservice.visits import actions as visits
from drainservice.visits.queries import Window
from drainservice.web.anyone import demo
from tests import makers

pytestmark = pytest.mark.django_db
LINK = re.compile(r"/in/([\w-]{43})\b")


def let_in(*words):
    """What the command prints."""
    out = StringIO()
    call_command("let_in", *words, stdout=out)
    return out.getvalue()


def link_in(words):
    """The one-time link that was printed, found by its hash."""
    (token,) = LINK.findall(words)
    return OneTimeLink.objects.get(token_hash=hash_of(token))


def test_an_empty_database_gets_a_firm_and_its_owner():
    words = let_in()

    account = link_in(words).account
    assert Firm.objects.get().name == "Your firm"
    assert account.role == "owner"
    assert not account.has_usable_password()
    assert Change.objects.filter(subject="accounts.account", door="let_in").count() == 1


def test_the_link_works_once():
    words = let_in()
    token, made_at = LINK.findall(words)[0], link_in(words).made_at

    assert accounts.use_link(token, at=made_at) is not None
    assert accounts.use_link(token, at=made_at) is None


def test_the_link_ends_after_half_an_hour():
    words = let_in()
    token, made_at = LINK.findall(words)[0], link_in(words).made_at

    assert accounts.look_at_link(token, at=made_at + timedelta(minutes=29)) is not None
    assert accounts.look_at_link(token, at=made_at + timedelta(minutes=31)) is None


def test_asking_twice_sets_up_one_firm():
    let_in()
    let_in("everyone")

    assert Account.objects.count() == 1
    assert OneTimeLink.objects.count() == 2


def test_a_handle_and_a_role_name_an_account():
    makers.make_account("andrea", "technician")
    makers.make_account("dora", "dispatcher")

    assert link_in(let_in("andrea")).account.handle == "andrea"
    assert link_in(let_in("dispatcher")).account.handle == "dora"


def test_an_unknown_word_is_answered_with_those_that_are_known():
    makers.make_account("andrea", "technician")

    with pytest.raises(CommandError, match="Choose one of andrea, or a role"):
        let_in("nobody")

    assert not OneTimeLink.objects.exists()


def test_everyone_opens_a_demonstration_for_two_days():
    makers.make_firm(is_demo=True)
    makers.make_account("andrea", "technician")

    link = link_in(let_in("everyone"))

    assert link.purpose == "demo"
    assert link.account is None


def test_everyone_opens_no_working_firm():
    makers.make_account("dora", "owner", password="a long enough password")

    words = let_in("everyone")

    assert "/sign-in" in words
    assert not OneTimeLink.objects.exists()


def test_the_demonstration_shows_the_page_of_a_household_that_is_asked(home, technician):
    firm = Firm.objects.get()
    Firm.objects.filter(pk=firm.pk).update(is_demo=True)
    person, household, site, system = home
    visit = visits.plan_visit(
        site,
        asker=makers.clock(),
        purpose="yearly look",
        systems={system: ["pump"]},
        meant_for=None,
    )
    window = Window(makers.MONDAY.date() + timedelta(days=3), time(8), time(10))
    account = Account.objects.get(handle="andrea")
    visits.offer_visit(visit, to=window, technician=account, asker=makers.clock())
    answered(site, system, account, person)

    address = demo.household_address(at=makers.MONDAY)

    signed = re.fullmatch(r"/y/([^/]+)/", address)[1]
    asker, _ = asker_by_link(signed, at=timezone.now(), door="test")
    assert (asker.person_id, asker.household_id) == (person.pk, household.pk)


def answered(site, system, account, person):
    """An earlier visit to which this household said yes."""
    visit = visits.plan_visit(
        site,
        asker=makers.clock(),
        purpose="yearly look",
        systems={system: ["pump"]},
        meant_for=None,
    )
    window = Window(makers.MONDAY.date() + timedelta(days=1), time(8), time(10))
    visits.offer_visit(visit, to=window, technician=account, asker=makers.clock())
    visits.answer_visit(
        visit, asker=makers.clock(), word="yes", by="telephone", person=person, sequence=0
    )


def test_a_working_firm_has_no_demonstration_household(home):
    assert demo.household_address(at=makers.MONDAY) == ""


def test_the_page_of_the_demonstration_lets_in_each_audience(client):
    makers.make_firm(is_demo=True)
    makers.make_account("andrea", "technician")
    (token,) = LINK.findall(let_in("everyone"))

    page = client.get(f"/in/{token}")
    entered = client.post(f"/in/{token}", {"handle": "andrea"})

    assert "Come in as Andrea" in page.content.decode()
    assert entered.status_code == 302
    assert client.session["_auth_user_id"]
