"""Lid codes tell a mistyped sign; gate codes lie encrypted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.accounts import codes

CODES = st.text(alphabet=codes.SIGNS, min_size=5, max_size=5).map(
    lambda body: body + codes.check_sign(body)
)


def test_leaves_out_the_signs_that_are_mistaken_for_one_another():
    assert not set("01OIL") & set(codes.SIGNS)
    assert len(set(codes.SIGNS)) == 31  # a prime: what the check rests on


def test_a_new_code_is_a_right_one():
    for _ in range(50):
        code = codes.new_lid_code()
        assert codes.read_lid_code(code) == code


@given(CODES, st.integers(0, 5), st.sampled_from(codes.SIGNS))
def test_one_wrong_sign_is_seen(code, place, sign):
    """Each place has its own weight from 2 to 6, none a multiple of 31, so a change shows."""
    changed = code[:place] + sign + code[place + 1 :]

    assert codes.read_lid_code(changed) == (code if sign == code[place] else None)


@given(CODES, st.integers(0, 4))
def test_two_neighbours_swapped_are_seen(code, place):
    """Neighbouring weights differ by 1 (6 and the check's 1 by 5), so a swap shows, too."""
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]

    assert codes.read_lid_code(swapped) == (code if swapped == code else None)


@given(CODES)
def test_is_read_however_it_is_typed(code):
    typed = f" {code[:3].lower()}-{code[3:].lower()} "

    assert codes.read_lid_code(typed) == code


NO_CODES = ["", "K7Q", "K7Q4MDX", "K7Q4M0", "ÄÖÜ123", "\0\0\0\0\0\0", "१२३४५६"]


@pytest.mark.parametrize("text", NO_CODES)
def test_what_cannot_be_a_code_is_none(text):
    assert codes.read_lid_code(text) is None


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"]), min_size=1, max_size=200))
def test_a_sealed_code_opens_again_and_shows_nothing(text):
    sealed = codes.seal(text)

    assert codes.unseal(sealed) == text
    assert text not in sealed or len(text) < 4


def test_the_same_code_is_never_sealed_alike():
    assert codes.seal("4711") != codes.seal("4711")


def test_nothing_stays_nothing():
    assert codes.seal("") == ""
    assert codes.unseal("") == ""


def test_an_older_key_still_opens_and_a_newer_one_seals(settings):
    old = codes.seal("4711")
    settings.KEYS = settings.KEYS | {"field": settings.KEYS["field"] | {2: b"k" * 32}}

    assert codes.unseal(old) == "4711"
    settings.KEYS = settings.KEYS | {"field": {2: b"k" * 32}}
    assert codes.unseal(codes.seal("0815")) == "0815"


def test_a_code_whose_key_is_gone_or_that_was_changed_is_empty(settings):
    sealed = codes.seal("4711")

    assert codes.unseal(sealed[:-4] + "AAA=") == ""
    settings.KEYS = settings.KEYS | {"field": {9: b"x" * 32}}
    assert codes.unseal(sealed) == ""
