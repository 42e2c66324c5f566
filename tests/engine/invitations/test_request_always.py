"""Whatever a household is called and a note says, calendars read it back whole."""

import unicodedata

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from drainservice.engine.invitations.cancel import write_cancel
from drainservice.engine.invitations.entry import tidy_line, tidy_name, tidy_text
from drainservice.engine.invitations.invitation import Mailbox
from drainservice.engine.invitations.lines import find_line_breaches
from drainservice.engine.invitations.request import write_request
from drainservice.engine.invitations.validate import validate_itip
from tests.engine.invitations.judges import (
    read_with_ical_js,
    read_with_libical,
    read_with_vobject,
)
from tests.engine.invitations.makers import make_invitation

ODD_NAMES = [
    'Ann "Annie" Lee',
    "Lee, Ann; and: all",
    "O'Brien \\ Sons \\n",
    "\U0001f3e0\U0001f468\u200d\U0001f469\u200d\U0001f467 Lee",
    "\u05d3\u05d5\u05d3 \u05db\u05d4\u05df",
    "\u0645\u062d\u0645\u062f \u202eAnn\u202c",
    "Ann\r\nATTENDEE:mailto:lee@example.org",
    "Ann\rBEGIN:VALARM",
    "Ann\nLee\x00\x07",
    "x" * 200,
    "\U0001f3e0" * 200,
    "\u00e9" * 74,
    "^ ^^ ^n ^' hat",
    "=cmd|' /C calc'!A0",
    "",
]
names = st.one_of(st.text(max_size=200), st.sampled_from(ODD_NAMES))
many_names = st.lists(names, min_size=10, max_size=20)


def make(text):
    return make_invitation(
        summary=f"Your drain: {text}",
        description=f"For {text}\nThank you",
        location=f"12 Elm Road {text}",
        attendee=Mailbox(text, "ann.lee@example.org"),
    )


@given(many_names)
@example(ODD_NAMES)
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_every_reader_finds_each_text_whole(texts):
    written = [write_request(make(text)) for text in texts]

    by_js = read_with_ical_js(written)
    by_lib = [read_with_libical(octets) for octets in written]
    by_vobject = [read_with_vobject(octets) for octets in written]

    summaries = [tidy_line(f"Your drain: {text}") for text in texts]
    for found in (by_js, by_lib, by_vobject):
        assert [f["summary"] for f in found] == summaries
        assert [f["location"] for f in found] == [tidy_line(f"12 Elm Road {t}") for t in texts]
        assert [f["description"] for f in found] == [
            tidy_text(f"For {t}\nThank you") for t in texts
        ]
    assert [f["attendee_name"] for f in by_js] == [tidy_name(t) for t in texts]
    assert [f["attendees"] for f in by_js] == [["mailto:ann.lee@example.org"]] * len(texts)
    assert [f["alarms"] for f in by_js] == [1] * len(texts)
    assert all(f["keeps_rules"] for f in by_lib)


@given(names)
@settings(deadline=None)
def test_no_text_ever_breaks_the_standard(text):
    assert validate_itip(write_request(make(text))) == ()
    assert validate_itip(write_cancel(make(text))) == ()


@given(st.text(max_size=300))
def test_tidying_a_line_loses_nothing_visible(text):
    assert visible(tidy_line(text)) == visible(unicodedata.normalize("NFC", text))


@given(st.text(max_size=300))
def test_tidying_twice_changes_nothing(text):
    assert tidy_line(tidy_line(text)) == tidy_line(text)
    assert tidy_text(tidy_text(text)) == tidy_text(text)
    assert tidy_name(tidy_name(text)) == tidy_name(text)


@given(st.binary(max_size=400))
def test_no_octets_ever_make_the_judge_of_lines_or_standard_stumble(octets):
    assert len(validate_itip(octets)) >= len(tuple(find_line_breaches(octets)))
    assert validate_itip(octets) != ()


def visible(text):
    """The text without blanks and controls."""
    return [c for c in text if unicodedata.category(c) not in ("Cc", "Cs") and not c.isspace()]
