"""Each breach of RFC 5545 and 5546 is planted once and must be named."""

import re

import pytest

from drainservice.engine.invitations.cancel import write_cancel
from drainservice.engine.invitations.request import write_request
from drainservice.engine.invitations.validate import (
    InvitationBreaksTheStandard,
    refuse_breaches,
    validate_itip,
)
from tests.engine.invitations.judges import read_with_libical
from tests.engine.invitations.makers import UID, make_invitation

REQUEST = write_request(make_invitation())
CANCEL = write_cancel(make_invitation(sequence=1))
ATTENDEE = next(
    line for line in REQUEST.replace(b"\r\n ", b"").split(b"\r\n") if line.startswith(b"ATTENDEE")
)
ORGANIZER = re.search(rb"ORGANIZER.*?\r\n(?! )", REQUEST, re.DOTALL)[0]
START = b"DTSTART;TZID=America/New_York:20270316T090000\r\n"
END = b"DTEND;TZID=America/New_York:20270316T110000\r\n"
ALARM = b"BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:x\r\nTRIGGER:-P1D\r\nEND:VALARM\r\n"
CLOSE = b"END:VEVENT\r\n"
ZONE = b"BEGIN:VTIMEZONE\r\nTZID:America/New_York\r\nEND:VTIMEZONE\r\n"

REPLY = f"""BEGIN:VCALENDAR
PRODID:-//example//client//EN
VERSION:2.0
METHOD:REPLY
BEGIN:VEVENT
UID:{UID}
SEQUENCE:0
DTSTAMP:20270301T120000Z
ORGANIZER:mailto:visits+k7q4md@example.com
ATTENDEE;PARTSTAT=ACCEPTED:mailto:ann.lee@example.org
END:VEVENT
END:VCALENDAR
""".replace("\n", "\r\n").encode()
REFRESH = REPLY.replace(b"METHOD:REPLY", b"METHOD:REFRESH").replace(b"SEQUENCE:0\r\n", b"")
COUNTER = REPLY.replace(b"METHOD:REPLY", b"METHOD:COUNTER").replace(
    b"UID", b"DTSTART:20270317T130000Z\r\nDTEND:20270317T150000Z\r\nSUMMARY:later\r\nUID", 1
)


@pytest.mark.parametrize("octets", [REQUEST, CANCEL, REPLY, REFRESH, COUNTER])
def test_finds_nothing_in_a_good_one(octets):
    assert validate_itip(octets) == ()
    refuse_breaches(octets)


def drop(*lines):
    return [(line, b"") for line in lines]


@pytest.mark.parametrize(
    ("octets", "changes", "name"),
    [
        # RFC 5546, 3.2.2: what a request must have, once.
        (REQUEST, drop(f"UID:{UID}\r\n".encode()), "VEVENT.UID"),
        (REQUEST, drop(b"DTSTAMP:20261125T123015Z\r\n"), "VEVENT.DTSTAMP"),
        (REQUEST, drop(START), "VEVENT.DTSTART"),
        (REQUEST, drop(ORGANIZER), "VEVENT.ORGANIZER"),
        (REQUEST, drop(b"SUMMARY:Your drain: yearly look\\, 9 to 11\r\n"), "VEVENT.SUMMARY"),
        (REQUEST, [(b"ATTENDEE", b"CONTACT")], "VEVENT.ATTENDEE"),
        (REQUEST, [(START, START + START)], "VEVENT.DTSTART"),
        (REQUEST, [(ORGANIZER, ORGANIZER * 2)], "VEVENT.ORGANIZER"),
        (REQUEST, [(CLOSE, b"REQUEST-STATUS:2.0;Success\r\n" + CLOSE)], "VEVENT.REQUEST-STATUS"),
        (REQUEST, [(b"STATUS:CONFIRMED", b"STATUS:CANCELLED")], "VEVENT.STATUS"),
        (REQUEST, [(b"STATUS:CONFIRMED", b"STATUS:FOO")], "VEVENT.STATUS"),
        # RFC 5546, 3.2.5: what a cancellation must and must not have.
        (CANCEL, drop(b"SEQUENCE:1\r\n"), "VEVENT.SEQUENCE"),
        (CANCEL, drop(ORGANIZER), "VEVENT.ORGANIZER"),
        (CANCEL, [(b"STATUS:CANCELLED", b"STATUS:CONFIRMED")], "VEVENT.STATUS"),
        (CANCEL, [(CLOSE, ALARM + CLOSE)], "part-in-entry"),
        # RFC 5546, 3.2.3, 3.2.6, 3.2.7.
        (REPLY, [(CLOSE, b"ATTENDEE:mailto:lee@example.org\r\n" + CLOSE)], "VEVENT.ATTENDEE"),
        (REFRESH, [(CLOSE, b"SUMMARY:x\r\n" + CLOSE)], "VEVENT.SUMMARY"),
        (COUNTER, drop(b"SEQUENCE:0\r\n"), "VEVENT.SEQUENCE"),
        # RFC 5545, 3.6: the calendar itself.
        (REQUEST, drop(b"VERSION:2.0\r\n"), "VCALENDAR.VERSION"),
        (REQUEST, [(b"VERSION:2.0", b"VERSION:1.0")], "VCALENDAR.VERSION"),
        (REQUEST, [(b"METHOD:REQUEST", b"METHOD:FOO")], "VCALENDAR.METHOD"),
        (REQUEST, drop(b"METHOD:REQUEST\r\n"), "VCALENDAR.METHOD"),
        (REQUEST, [(b"GREGORIAN", b"JULIAN")], "VCALENDAR.CALSCALE"),
        (REQUEST, [(b"VEVENT", b"VTODO")], "no-entry"),
        (REQUEST, [(b"END:VTIMEZONE\r\n", b"END:VTIMEZONE\r\n" + ZONE)], "VTIMEZONE.TZID"),
        (REQUEST, [(b"END:VTIMEZONE\r\n", b"END:VTIMEZONE\r\n" + ZONE)], "VTIMEZONE"),
        (REQUEST, [(b"STANDARD", b"WINTER")], "VTIMEZONE"),
        (REQUEST, [(f"UID:{UID}".encode(), b"UID:")], "VEVENT.UID"),
        (REQUEST, [(b"END:VEVENT\r\n", b"")], "nesting"),
        (REQUEST, [(b"END:VCALENDAR\r\n", b"END:VCALENDAR\r\nX:1\r\n")], "not-one-calendar"),
        (REQUEST, [(b"END:VCALENDAR\r\n", b"")], "nesting"),
        # RFC 5545, 3.8.2: times.
        (REQUEST, [(END, b"DTEND;TZID=America/New_York:20270316T090000\r\n")], "VEVENT.DTEND"),
        (REQUEST, [(END, END + b"DURATION:PT2H\r\n")], "VEVENT.DTEND"),
        (REQUEST, [(START, b"DTSTART:20270230T090000Z\r\n")], "VEVENT.DTSTART"),
        (REQUEST, [(START, b"DTSTART:tomorrow\r\n")], "VEVENT.DTSTART"),
        (REQUEST, [(START, b"DTSTART;VALUE=DATE:20270230\r\n")], "VEVENT.DTSTART"),
        (REQUEST, [(START, START.replace(b"0000\r", b"0000Z\r"))], "VEVENT.DTSTART"),
        (REQUEST, [(START, b"DTSTART;VALUE=DATE:20270316\r\n")], "VEVENT.DTEND"),
        (REQUEST, [(b"TZID:America/New_York", b"TZID:Elsewhere")], "VEVENT.DTSTART"),
        (REQUEST, [(b"DTSTAMP:20261125T123015Z", b"DTSTAMP:20261125T123015")], "VEVENT.DTSTAMP"),
        (REQUEST, [(b"TZOFFSETFROM:-0500\r\n", b"")], "DAYLIGHT.TZOFFSETFROM"),
        (REQUEST, [(b"TZOFFSETTO:-0500", b"TZOFFSETTO:-500")], "STANDARD.TZOFFSETTO"),
        (REQUEST, [(b"DTSTART:20070311T020000", b"DTSTART:20070311T020000Z")], "DAYLIGHT.DTSTART"),
        # RFC 5545, 3.3.11: text. 3.1: lines.
        (REQUEST, [(b"look\\, 9", b"look, 9")], "VEVENT.SUMMARY"),
        (REQUEST, [(b"CLASS:PRIVATE", b"CLASS:SECRET")], "VEVENT.CLASS"),
        (REQUEST, [(b"TRANSP:TRANSPARENT", b"TRANSP:CLEAR")], "VEVENT.TRANSP"),
        (REQUEST, [(b"SEQUENCE:0", b"SEQUENCE:-1")], "VEVENT.SEQUENCE"),
        (REQUEST, [(b"CLASS:PRIVATE\r\n", b"CLASS:PRIVATE\n")], "bare-line-break"),
        (REQUEST, [(b"Road\\,", b"Road\r\\,")], "bare-line-break"),
        (REQUEST, [(b"Road\\,", b"Road\x07\\,")], "control"),
        (REQUEST, [(b"Road\\,", b"Road\xe9\\,")], "not-utf-8"),
        (REQUEST, [(b"Road\\,", b"Road " + b"x" * 60 + b"\\,")], "long-line"),
        (REQUEST, [(b"CLASS:PRIVATE", b"CLASS PRIVATE")], "not-a-line"),
        (REQUEST, [(b"END:VCALENDAR\r\n", b"END:VCALENDAR")], "unended"),
        # RFC 5545, 3.3.3, 3.2.12: people.
        (
            REQUEST,
            [(b"mailto:visits+k7q4md@example.com", b"visits@example.com")],
            "VEVENT.ORGANIZER",
        ),
        (
            REQUEST,
            [(b"mailto:ann.lee@example.org", b"mailto:A <a@example.org>")],
            "VEVENT.ATTENDEE",
        ),
        (REQUEST, [(b"NEEDS-ACTION", b"MAYBE")], "ATTENDEE.PARTSTAT"),
        (REQUEST, [(b"ACTION:DISPLAY", b"ACTION:EMAIL")], "VALARM.ACTION"),
        (REQUEST, drop(b"TRIGGER:-P1D\r\n"), "VALARM.TRIGGER"),
        # Our own rules.
        (REQUEST, [(CLOSE, ATTENDEE.replace(b"ann", b"bob") + b"\r\n" + CLOSE)], "one-attendee"),
        (REQUEST, [(b"visits+k7q4md@example.com", b"ann.lee@example.org")], "organizer-attends"),
        (REQUEST, drop(END), "no-window"),
        (REQUEST, drop(b"SEQUENCE:0\r\n"), "no-sequence"),
        (REQUEST, [(START, b"DTSTART:20270316T090000\r\n")], "floating"),
        (REQUEST, [(CLOSE, b"X-NOTE:gate\r\n" + CLOSE)], "private-property"),
        (REQUEST, [(CLOSE, CLOSE + b"BEGIN:VEVENT\r\nEND:VEVENT\r\n")], "several-entries"),
        (REQUEST, [(CLOSE, CLOSE + b"BEGIN:VTODO\r\nEND:VTODO\r\n")], "foreign-part"),
    ],
)
def test_names_the_planted_breach(octets, changes, name):
    for old, new in changes:
        assert old in octets
        octets = octets.replace(old, new)

    assert name in {breach.name for breach in validate_itip(octets)}


def test_refuses_to_send_and_names_every_breach():
    octets = REQUEST.replace(b"STATUS:CONFIRMED", b"STATUS:FOO").replace(b"CLASS:P", b"CLASS:Q")

    with pytest.raises(InvitationBreaksTheStandard, match=r"STATUS.*CLASS"):
        refuse_breaches(octets)


@pytest.mark.parametrize("octets", [REQUEST, CANCEL])
def test_is_no_milder_than_libical_on_each_property_left_out(octets):
    """Whatever libical misses when one line of the entry is gone, we miss too."""
    head, _, rest = octets.replace(b"\r\n ", b"").partition(b"BEGIN:VEVENT\r\n")
    lines = rest.partition(b"BEGIN:VALARM")[0].partition(b"END:VEVENT")[0].splitlines(True)
    without = [head + b"BEGIN:VEVENT\r\n" + rest.replace(line, b"") for line in lines]

    libical_refuses = [not read_with_libical(text)["keeps_rules"] for text in without]
    we_refuse = [
        bool([b for b in validate_itip(text) if b.name != "long-line"]) for text in without
    ]

    assert sum(libical_refuses) >= 4
    assert [
        ours or not theirs for ours, theirs in zip(we_refuse, libical_refuses, strict=True)
    ] == ([True] * len(lines))


def test_passes_nothing_that_is_no_calendar():
    assert {b.name for b in validate_itip(b"hello\r\n")} >= {"not-a-line", "not-one-calendar"}
