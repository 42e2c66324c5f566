"""One cleaner for all doors: what comes out can be stored, mailed and printed."""

import sqlite3
import unicodedata
from email.message import EmailMessage
from email.policy import SMTP

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.accounts.text import (
    TextRefused,
    clean_email,
    clean_line,
    clean_name,
    clean_phone,
    clean_text,
)

anything = st.text(st.characters(codec=None, exclude_categories=()), max_size=300)


def test_composes_accents_and_makes_runs_of_blanks_one():
    # e + combining acute (U+0301) is the one letter U+00E9 in NFC (Unicode, UAX 15).
    assert clean_line("  Rue\u00a0\t du  Cafe\u0301 ", most=20, what="The street") == (
        "Rue du Caf\u00e9"
    )


@pytest.mark.parametrize("mark", ["\n", "\r", "\r\n", "\v", "\f", "\x85", "\u2028", "\u2029"])
def test_refuses_a_line_break_in_a_line(mark):
    with pytest.raises(TextRefused, match=r"^The street must stand on one line"):
        clean_line(f"1 Elm{mark}Road", most=20, what="The street")


@pytest.mark.parametrize("sign", ["\0", "\ud800", chr(0xDFFF)])
def test_refuses_what_a_database_cannot_store(sign):
    with pytest.raises(TextRefused, match="cannot be stored"):
        clean_text(f"a{sign}b", most=20, what="The note")


@pytest.mark.parametrize("sign", ["\x01", "\x1b", "\x7f", "\x9f"])
def test_refuses_invisible_controls(sign):
    with pytest.raises(TextRefused, match="invisible control sign"):
        clean_line(f"a{sign}b", most=20, what="The note")


def test_judges_the_length_last():
    # Five times e + accent are ten signs as typed and five as kept; the sixth is too much.
    assert len(clean_line("e\u0301" * 5, most=5, what="The note")) == 5
    with pytest.raises(TextRefused, match="is 6 characters long; at most 5 fit"):
        clean_line("e\u0301" * 6, most=5, what="The note")


def test_counts_characters_as_databases_do():
    assert clean_line("\U0001f3e0" * 3, most=3, what="The note") == "\U0001f3e0" * 3


def test_makes_every_kind_of_line_break_one():
    assert (
        clean_text("\n a \r\nb\rc\u2028d\x85\ne\n", most=20, what="The note") == " a\nb\nc\nd\n\ne"
    )


def test_keeps_tabs_in_text_of_several_lines():
    assert clean_text("a\tb", most=9, what="The note") == "a\tb"


def test_takes_marks_of_reading_direction_out_of_names():
    assert clean_name("\u202eAnn\u202c \u2067Lee\u2069\u200f") == "Ann Lee"


def test_keeps_a_name_written_from_right_to_left():
    name = "\u05d3\u05d5\u05d3 \u05db\u05d4\u05df"

    assert clean_name(name) == name


def test_keeps_the_joiners_that_scripts_and_emoji_need():
    family = "\U0001f468\u200d\U0001f469\u200d\U0001f467"

    assert clean_name(family) == family


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        (" Ann.Lee+yard@Example.COM ", "Ann.Lee+yard@example.com"),
        ("o'brien@example.org", "o'brien@example.org"),
        # B\u00fccher is xn--bcher-kva: the example of RFC 3492, 7, and of many since.
        ("ann@B\u00fccher.example", "ann@xn--bcher-kva.example"),
        ("\u202dann@example.org\u202c", "ann@example.org"),
    ],
)
def test_keeps_one_bare_mail_address(typed, kept):
    assert clean_email(typed) == kept


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "ann",
        "@example.org",
        "ann@",
        "ann@localhost",
        "ann@example..org",
        "ann@-example.org",
        "ann@example.org.",
        "ann@[192.0.2.1]",
        "ann@192.0.2.1",
        "ann lee@example.org",
        '"ann lee"@example.org',
        "ann..lee@example.org",
        ".ann@example.org",
        "Ann <ann@example.org>",
        "ann@example.org, lee@example.org",
        "ann@example.org;",
        "ann(home)@example.org",
        "\u00e4nn@example.org",
        "ann@" + "\u00fc" * 64 + ".example",
        "a" * 65 + "@example.org",
        "ann@" + ("a" * 60 + ".") * 4 + "example",
        "ann@example.org\r\nBcc: lee@example.org",
    ],
)
def test_refuses_what_is_not_one_bare_mail_address(typed):
    with pytest.raises(TextRefused, match=r"^The mail address "):
        clean_email(typed)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("(503) 555-0142", "5035550142"),
        ("503.555.0142 ext. 7", "5035550142 x7"),
        ("503-555-0142x12", "5035550142 x12"),
        ("503 555 0142 #3", "5035550142 x3"),
        ("+1 503 555 0142", "+15035550142"),
        ("+44 (0)20 7946 0018", "+442079460018"),
        ("\u202d503\u2011555\u20110142\u202c", "5035550142"),
        ("\u0665\u0660\u0663\u0665\u0665\u0665\u0660\u0661\u0664\u0662 x\u0663", "5035550142 x3"),
    ],
)
def test_keeps_the_digits_of_a_telephone_number(typed, kept):
    assert clean_phone(typed) == kept


@pytest.mark.parametrize(
    "typed",
    ["", "911", "1-800-FLOWERS", "++15035550142", "503+5550142", "5" * 16, "503 555 0142 / Ann"],
)
def test_refuses_what_is_no_telephone_number(typed):
    with pytest.raises(TextRefused, match=r"^The telephone number "):
        clean_phone(typed)


@given(anything)
def test_a_line_is_always_storable_and_clean_when_cleaned_again(text):
    try:
        line = clean_line(text, most=200, what="The note")
    except TextRefused:
        return

    assert line == clean_line(line, most=200, what="The note")
    assert line == unicodedata.normalize("NFC", line)
    assert len(line.splitlines()) <= 1
    assert _stored(line) == line


@given(anything)
def test_a_text_is_always_storable_and_clean_when_cleaned_again(text):
    try:
        kept = clean_text(text, most=200, what="The note")
    except TextRefused:
        return

    assert kept == clean_text(kept, most=200, what="The note")
    assert "\r" not in kept
    assert _stored(kept) == kept


@given(anything)
def test_a_name_can_always_stand_in_a_mail_header(text):
    try:
        name = clean_name(text)
    except TextRefused:
        return
    message = EmailMessage(policy=SMTP)

    message["Subject"] = f"Your drain: {name}"

    assert b"\r\n\r\n" not in message.as_bytes().rstrip(b"\r\n")


@given(st.one_of(anything, st.emails()))
def test_an_address_can_always_be_sent_to(text):
    try:
        address = clean_email(text)
    except TextRefused:
        return
    message = EmailMessage(policy=SMTP)

    message["To"] = address

    assert [a.addr_spec for a in message["To"].addresses] == [address]
    assert message["To"].defects == ()


def _stored(text):
    """What SQLite gives back; a lone surrogate or a NUL would not come back whole."""
    with sqlite3.connect(":memory:") as database:
        (found,) = database.execute("select substr(?1, 1, length(?1))", (text,)).fetchone()
    database.close()
    return found
