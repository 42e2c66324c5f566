"""Replies in the shapes that mail programs send, written by us from RFC 5545 and 5546.

The shapes were reported in public threads on calendar programs; no text of theirs is copied.
"""

import time
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.invitations.reply import (
    MOST_COMMENT,
    MOST_LINES,
    MOST_OCTETS,
    ReplyIsTooLarge,
    ReplyIsUnreadable,
    bare_address,
    count_lines,
    read_reply,
)
from tests.engine.invitations.makers import UID

ENTRY = [
    f"UID:{UID}",
    "SEQUENCE:2",
    "DTSTAMP:20270301T120000Z",
    "DTSTART:20270317T130000Z",
    "DTEND:20270317T150000Z",
    "ORGANIZER:mailto:visits+k7q4md@example.com",
    "ATTENDEE;CN=Ann Lee;PARTSTAT=ACCEPTED:mailto:ann.lee@example.org",
    "SUMMARY:Your drain",
]


def write(*lines, method="METHOD:REPLY", before=(), drop=(), end="\r\n", entries=1):
    """A calendar with the ordinary entry, some lines dropped and others added."""
    entry = [line for line in ENTRY if line.split(";")[0].split(":")[0] not in drop]
    whole = ["BEGIN:VEVENT", *entry, *lines, "END:VEVENT"] * entries
    calendar = ["BEGIN:VCALENDAR", "PRODID:-//example//client//EN", "VERSION:2.0", method]
    return (end.join([*calendar, *before, *whole, "END:VCALENDAR"]) + end).encode()


def test_reads_what_an_ordinary_reply_says():
    reply = read_reply(write(), "utf-8")

    assert (reply.method, reply.uid, reply.sequence) == ("REPLY", UID, 2)
    assert reply.stamp_at == datetime(2027, 3, 1, 12, tzinfo=UTC)
    assert reply.attendees == ("ann.lee@example.org",)
    assert reply.partstat == "ACCEPTED"
    assert (reply.entries, reply.comment) == (1, "")
    assert [reply.is_delegated, reply.is_sent_by_another, reply.is_of_a_recurrence] == [False] * 3


def test_does_not_need_an_organizer():
    assert read_reply(write(drop=["ORGANIZER"]), "utf-8").partstat == "ACCEPTED"


@pytest.mark.parametrize("line", ["METHOD:reply", "method:Reply"])
def test_reads_methods_in_small_letters(line):
    assert read_reply(write(method=line), "utf-8").method == "REPLY"


@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_reads_lines_however_they_were_ended_on_the_way(end):
    assert read_reply(write(end=end), "utf-8").uid == UID


def test_takes_the_answer_as_missing_and_the_sequence_as_nought_where_none_is_named():
    # RFC 5545: PARTSTAT defaults to NEEDS-ACTION (3.2.12), SEQUENCE to 0 (3.8.7.4).
    octets = write("ATTENDEE:mailto:ann.lee@example.org", drop=["ATTENDEE", "SEQUENCE"])

    reply = read_reply(octets, "utf-8")

    assert (reply.partstat, reply.sequence) == ("NEEDS-ACTION", 0)


def test_compares_addresses_in_small_letters_and_without_escapes():
    octets = write(
        "ATTENDEE;PARTSTAT=DECLINED:MAILTO:Ann.Lee%2Byard@Example.ORG", drop=["ATTENDEE"]
    )

    assert read_reply(octets, "utf-8").attendees == ("ann.lee+yard@example.org",)
    assert bare_address("Mailto: Ann@Example.org ") == "ann@example.org"


@pytest.mark.parametrize(
    ("charset", "codec"),
    [
        ("iso-8859-1", "latin-1"),
        ("windows-1252", "cp1252"),
        ('"UTF-8"', "utf-8"),
        ("utf-16", "utf-16"),
        ("", "utf-8"),
    ],
)
def test_reads_umlauts_by_the_charset_of_the_part(charset, codec):
    octets = write("COMMENT:Viele Gr\u00fc\u00dfe").decode().encode(codec)

    assert read_reply(octets, charset).comment == "Viele Gr\u00fc\u00dfe"


@pytest.mark.parametrize("charset", ["x-unknown", "punycode", "unicode_escape", "hex", "us-ascii"])
def test_reads_as_utf_8_where_the_charset_is_unknown_or_wrong(charset):
    assert read_reply(write("COMMENT:Gr\u00fc\u00dfe"), charset).comment == "Gr\u00fc\u00dfe"


def test_reads_windows_zone_names():
    # 9:00 on 17 March 2027 in New York is 13:00 UTC, summer time having begun on the 14th.
    octets = write(
        "DTSTART;TZID=Eastern Standard Time:20270317T090000",
        "DTEND;TZID=Eastern Standard Time:20270317T110000",
        drop=["DTSTART", "DTEND"],
    )

    reply = read_reply(octets, "utf-8")

    assert reply.start_at == datetime(2027, 3, 17, 13, tzinfo=UTC)
    assert reply.end_at == datetime(2027, 3, 17, 15, tzinfo=UTC)


@pytest.mark.parametrize(
    "line",
    [
        "DTSTART;TZID=Customized Time Zone:20270317T090000",
        "DTSTART:20270317T090000",
        "DTSTART;VALUE=DATE:20270317",
        "COMMENT:no start at all",
    ],
)
def test_tells_no_instant_where_none_can_be_told(line):
    assert read_reply(write(line, drop=["DTSTART"]), "utf-8").start_at is None


def zone(*, rule, begin="BEGIN:VTIMEZONE", name="Own Zone"):
    """A described zone from 1601 on, as some programs write it."""
    return [
        begin,
        f"TZID:{name}",
        "BEGIN:STANDARD",
        "DTSTART:16010101T020000",
        "TZOFFSETFROM:+0900",
        "TZOFFSETTO:+0900",
        f"RRULE:{rule}",
        "END:STANDARD",
        "END:VTIMEZONE",
    ]


@pytest.mark.parametrize(
    "begin", ["BEGIN:VTIMEZONE", "begin:vtimezone", "BEGIN:VTIME\r\n ZONE", "BEGIN;X=1:VTIMEZONE"]
)
def test_is_not_kept_busy_by_a_zone_that_changes_every_second(begin):
    octets = write(before=zone(rule="FREQ=SECONDLY", begin=begin))

    started = time.perf_counter()
    reply = read_reply(octets, "utf-8")

    assert time.perf_counter() - started < 2
    assert reply.partstat == "ACCEPTED"


def test_does_not_let_one_mail_s_zone_change_the_hours_of_the_next():
    at = "DTSTART;TZID=Own Zone:20270317T090000"
    read_reply(write(at, before=zone(rule="FREQ=YEARLY"), drop=["DTSTART"]), "utf-8")

    assert read_reply(write(at, drop=["DTSTART"]), "utf-8").start_at is None


@pytest.mark.parametrize(
    ("line", "claim"),
    [
        ('ATTENDEE;DELEGATED-TO="mailto:b@example.org":mailto:a@example.org', "is_delegated"),
        ('ATTENDEE;DELEGATED-FROM="mailto:b@example.org":mailto:a@example.org', "is_delegated"),
        ('ATTENDEE;SENT-BY="mailto:b@example.org":mailto:a@example.org', "is_sent_by_another"),
        ("RECURRENCE-ID:20270317T130000Z", "is_of_a_recurrence"),
    ],
)
def test_notices_who_else_is_in_it(line, claim):
    assert getattr(read_reply(write(line), "utf-8"), claim)


def test_counts_entries_and_people():
    octets = write("ATTENDEE:mailto:lee@example.org", entries=3)

    reply = read_reply(octets, "utf-8")

    assert reply.entries == 3
    assert reply.attendees == ("ann.lee@example.org", "lee@example.org")


def test_keeps_of_a_comment_what_can_be_seen():
    octets = write("COMMENT:Gate \u202eis\u202c open\\nbell\u200b\x07 broken")

    assert read_reply(octets, "utf-8").comment == "Gate is open\nbell broken"


def test_cuts_a_comment_to_a_thousand_characters():
    assert read_reply(write("COMMENT:" + "x" * 3000), "utf-8").comment == "x" * MOST_COMMENT


def test_finds_the_comment_that_hangs_on_the_person():
    octets = write(
        'ATTENDEE;PARTSTAT=DECLINED;X-RESPONSE-COMMENT="We are away":mailto:ann.lee@example.org',
        drop=["ATTENDEE"],
    )

    assert read_reply(octets, "utf-8").comment == "We are away"


def test_reads_nothing_that_is_too_large():
    with pytest.raises(ReplyIsTooLarge, match="512,000"):
        read_reply(b"x" * (MOST_OCTETS + 1), "utf-8")
    with pytest.raises(ReplyIsTooLarge, match="5,000 lines"):
        read_reply(b"\n" * MOST_LINES, "utf-8")
    with pytest.raises(ReplyIsTooLarge):
        read_reply(b"\r" * MOST_LINES, "utf-8")


def test_reads_the_largest_part_within_a_few_seconds():
    people = [f"ATTENDEE:mailto:p{i:04}@example.org" for i in range(MOST_LINES - 20)]
    octets = write(*people)

    started = time.perf_counter()
    reply = read_reply(octets, "utf-8")

    assert len(reply.attendees) == len(people) + 1
    assert time.perf_counter() - started < 10


@pytest.mark.parametrize(
    ("octets", "lines"), [(b"", 1), (b"a\nb", 2), (b"a\r\nb", 2), (b"a\rb", 2), (b"a\r\n\r\nb", 3)]
)
def test_counts_lines_however_they_are_ended(octets, lines):
    assert count_lines(octets) == lines


@pytest.mark.parametrize(
    "octets",
    [
        b"",
        b"hello",
        b"\x00\xff\xfe",
        write()[:-40],
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
        b"BEGIN:VEVENT\r\nUID:a\r\nEND:VEVENT\r\n",
        write(drop=["UID"]),
        write(drop=["DTSTAMP"]),
        write("DTSTAMP:yesterday", drop=["DTSTAMP"]),
        write("SEQUENCE:many", drop=["SEQUENCE"]),
        write("SEQUENCE:-1", drop=["SEQUENCE"]),
        write("SEQUENCE:9999999999999", drop=["SEQUENCE"]),
    ],
)
def test_says_so_where_nothing_can_be_read(octets):
    with pytest.raises(ReplyIsUnreadable, match=r"^The (calendar part|entry) "):
        read_reply(octets, "utf-8")


@given(st.binary(max_size=300), st.text(max_size=20))
def test_never_stumbles_over_foreign_octets(octets, charset):
    with pytest.raises(ReplyIsUnreadable):
        read_reply(octets, charset)


@given(st.data())
def test_never_stumbles_over_a_mangled_reply(data):
    whole = write("COMMENT:x", before=zone(rule="FREQ=YEARLY"))
    at = data.draw(st.integers(0, len(whole) - 1))
    mangled = (
        whole[:at] + data.draw(st.binary(max_size=12)) + whole[at + data.draw(st.integers(0, 30)) :]
    )

    try:
        reply = read_reply(mangled, "utf-8")
    except ReplyIsUnreadable:
        return

    assert reply.uid
    assert reply.stamp_at.utcoffset() == timedelta(0)
