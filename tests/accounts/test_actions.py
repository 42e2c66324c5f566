"""People, their channels, ways in, and stopping to ask."""

from datetime import timedelta

import pytest

from drainservice.accounts import actions, links
from drainservice.accounts.asker import CannotBeDone
from drainservice.accounts.models import Account, Change, Channel, Firm, OneTimeLink, Throttle
from drainservice.accounts.text import TextRefused
from tests import makers

pytestmark = pytest.mark.django_db


def token_of(address):
    return address.rpartition("/in/")[2]


def test_the_firm_is_one_row():
    makers.make_firm()

    with pytest.raises(CannotBeDone):
        actions.set_up_firm(asker=makers.clock(), name="A second one")
    assert Firm.objects.count() == 1


def test_a_person_without_a_name_that_can_be_kept_is_not_entered():
    with pytest.raises(TextRefused, match="cannot be stored"):
        actions.enter_person(asker=makers.clock(), name="Juno\0")
    assert Change.objects.count() == 0


@pytest.mark.parametrize(
    ("kind", "typed", "kept"),
    [
        ("mail", "Juno@EXAMPLE.com ", "Juno@example.com"),
        ("telephone", "(360) 555-0137 ext. 4", "3605550137 x4"),
    ],
)
def test_a_channel_is_kept_clean_and_once(kind, typed, kept):
    person = makers.make_person()

    first = actions.enter_channel(person, asker=makers.clock(), kind=kind, address=typed)
    again = actions.enter_channel(person, asker=makers.clock(), kind=kind, address=kept)

    assert first.address == kept
    assert again == first
    assert Channel.objects.count() == 1


def test_an_account_without_a_password_lets_nobody_in_by_one():
    account = makers.make_account()

    assert not account.has_usable_password()
    assert not account.check_password("")
    assert not account.check_password("!")


def test_a_password_is_kept_as_argon2id_with_the_chosen_cost():
    """RFC 9106 names Argon2id; m=19456, t=2, p=1 is OWASP's smallest advice, from memory."""
    account = makers.make_account(password="a long enough word")

    stored = Account.objects.get(pk=account.pk).password
    assert "$argon2id$v=19$m=19456,t=2,p=1$" in stored
    assert account.check_password("a long enough word")


def test_a_password_never_stands_in_the_history():
    makers.make_account(password="a long enough word")

    told = "".join(f"{c.before}{c.after}{c.private}" for c in Change.objects.all())

    assert "argon2" not in told
    assert "a long enough word" not in told


def test_looking_at_a_one_time_link_does_not_use_it_up():
    token = token_of(actions.let_in_link(makers.make_account(), at=makers.MONDAY))

    assert actions.look_at_link(token, at=makers.MONDAY)
    assert actions.look_at_link(token, at=makers.MONDAY)
    assert actions.use_link(token, at=makers.MONDAY)
    assert actions.look_at_link(token, at=makers.MONDAY) is None


def test_a_one_time_link_ends_after_half_an_hour():
    token = token_of(actions.let_in_link(makers.make_account(), at=makers.MONDAY))

    assert actions.look_at_link(token, at=makers.MONDAY + timedelta(minutes=29))
    assert actions.use_link(token, at=makers.MONDAY + timedelta(minutes=30)) is None


def test_the_token_itself_is_kept_nowhere():
    token = token_of(actions.let_in_link(makers.make_account(), at=makers.MONDAY))

    assert OneTimeLink.objects.get().token_hash == links.hash_of(token)
    assert not any(token in str(row) for row in OneTimeLink.objects.values())


def test_stopping_to_ask_says_since_when_and_why(home):
    household = actions.stop_asking(home[1], asker=makers.clock(), because="They moved.")

    assert household.asking_stopped_at == makers.MONDAY
    assert household.asking_stopped_because == "They moved."


def test_ending_the_links_makes_the_next_number(home):
    before = home[1].link_number

    assert actions.end_links(home[1], asker=makers.clock()).link_number == before + 1


def test_marks_of_tries_are_cleared_a_day_after_their_waiting():
    actions.slow_down("sign-in", "dora", at=makers.MONDAY, most=5, every_s=60)

    actions.forget_old_tries(at=makers.later(hours=23))
    assert Throttle.objects.count() == 1

    actions.forget_old_tries(at=makers.later(days=2))
    assert Throttle.objects.count() == 0
