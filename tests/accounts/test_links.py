"""Links say one thing to one household; whatever was changed in them says nothing."""

import re

import pytest
import time_machine
from django.core import signing
from hypothesis import given
from hypothesis import strategies as st

from drainservice.accounts import links
from tests import makers

ONE = links.HouseholdLink(3, 5, purpose="answer", link_number=2, visit_id=7, sequence=1)
NUMBERS = st.integers(min_value=1, max_value=2**62)


@pytest.fixture(autouse=True)
def _monday():
    with time_machine.travel(makers.MONDAY, tick=False):
        yield


@given(
    st.builds(
        links.HouseholdLink,
        NUMBERS,
        NUMBERS,
        purpose=st.sampled_from(["answer", "yard"]),
        link_number=NUMBERS,
        visit_id=st.none() | NUMBERS,
        sequence=st.none() | st.integers(min_value=0, max_value=10**6),
    )
)
def test_what_is_read_is_what_was_written(link):
    assert links.read_link(links.write_link(link)) == link


def test_is_short_and_fits_a_path():
    text = links.write_link(ONE)

    assert len(text) <= 75
    assert re.fullmatch(r"[A-Za-z0-9_.~-]+", text)  # unreserved in RFC 3986, 2.3


def test_any_sign_changed_breaks_it():
    text = links.write_link(ONE)

    for place in range(len(text)):
        other = "A" if text[place] != "A" else "B"
        changed = text[:place] + other + text[place + 1 :]
        # The last sign of base64 carries bits that say nothing; all others count.
        if place < len(text) - 1:
            with pytest.raises(links.LinkBroken):
                links.read_link(changed)


@given(st.text(max_size=400))
def test_no_text_is_a_link_by_chance(text):
    with pytest.raises(links.LinkBroken):
        links.read_link(text)


def test_a_link_of_one_purpose_is_none_of_another():
    """The first sign names the purpose, but each purpose signs with a salt of its own."""
    text = links.write_link(ONE)

    with pytest.raises(links.LinkBroken):
        links.read_link("y" + text[1:])


def test_a_link_signed_for_another_use_of_the_secret_is_none():
    signer = signing.TimestampSigner(salt="something.else", sep="~")

    with pytest.raises(links.LinkBroken):
        links.read_link("a" + signer.sign("3.5.2.7.1"))


def test_grows_too_old_after_400_days():
    text = links.write_link(ONE)

    with time_machine.travel(makers.later(days=399), tick=False):
        assert links.read_link(text) == ONE
    with time_machine.travel(makers.later(days=401), tick=False), pytest.raises(links.LinkTooOld):
        links.read_link(text)


def test_outlives_a_renewed_secret_while_the_old_one_is_kept(settings):
    text, old = links.write_link(ONE), settings.SECRET_KEY
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "n" * 50, [old]

    assert links.read_link(text) == ONE
    settings.SECRET_KEY_FALLBACKS = []
    with pytest.raises(links.LinkBroken):
        links.read_link(text)


def test_an_address_for_answers_can_be_computed_again_and_fits_a_mail_box():
    told = {"visit_id": 7, "person_id": 3, "key_number": 1}
    word = links.organizer_token(**told)

    assert word == links.organizer_token(**told)
    assert re.fullmatch(r"[a-z2-7]{26}", word)  # base32 of RFC 4648, 130 bits
    assert len(f"visits+{word}") <= 64  # RFC 5321, 4.5.3.1.1: the local part
    assert word != links.organizer_token(visit_id=8, person_id=3, key_number=1)
    assert word != links.organizer_token(visit_id=7, person_id=4, key_number=1)


def test_words_of_different_uses_differ():
    words = {
        links.organizer_token(visit_id=7, person_id=3, key_number=1),
        links.bounce_token("7:3"),
        links.unsubscribe_token(channel_id=7).partition("-")[2],
    }

    assert len(words) == 3


def test_the_stop_word_names_its_channel_and_no_other():
    mine, other = links.unsubscribe_token(channel_id=7), links.unsubscribe_token(channel_id=8)

    assert links.is_unsubscribe_token(mine) == 7
    assert links.is_unsubscribe_token("8" + mine[1:]) is None
    assert links.is_unsubscribe_token("7" + other[1:]) is None


@pytest.mark.parametrize("text", ["", "-", "7-", "7", "-abc", "१-x", "9" * 40 + "-x", "7-é", "\0"])
def test_no_other_word_stops_anything(text):
    assert links.is_unsubscribe_token(text) is None


def test_a_one_time_token_is_32_random_bytes_of_which_only_the_hash_is_kept():
    token, kept = links.one_time_token()

    assert len(token) == 43  # 32 bytes in base64 without padding
    assert kept == links.hash_of(token)
    assert token not in kept
    assert links.one_time_token()[0] != token


def test_an_address_is_known_again_by_its_hash_whatever_its_case():
    known = links.address_hash("Juno@Example.com")

    assert known == links.address_hash("juno@example.COM")
    assert known != links.address_hash("otis@example.com")
    assert "juno" not in known
