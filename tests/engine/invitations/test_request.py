"""A request as three other readers see it, in every zone of the country we work in."""

from datetime import UTC, date, datetime, time, timedelta
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from email.policy import default as reading
from importlib.resources import files

import pytest

from drainservice.accounts.wall import instant
from drainservice.engine.invitations.invitation import (
    Answer,
    InvitationCannotBeWritten,
    Mailbox,
)
from drainservice.engine.invitations.request import write_request
from drainservice.engine.invitations.validate import validate_itip
from tests.engine.invitations.judges import (
    read_with_ical_js,
    read_with_libical,
    read_with_vobject,
)
from tests.engine.invitations.makers import UID, make_invitation, promise

# Changes of clocks in the United States: second Sunday of March, first of November (15 U.S.C.
# 260a). 2026: 8 March, 1 November; 2027: 14 March, 7 November.
CHANGES = (date(2027, 3, 14), date(2027, 11, 7))


def zones_of(country):
    """The zones of a country by the tz database's own table."""
    table = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text("utf-8")
    rows = (line.split("\t") for line in table.splitlines() if not line.startswith("#"))
    return sorted(row[2].strip() for row in rows if row[0] == country)


def invitations_in_all_us_zones():
    """A visit at 9 and one at 17 on the days before, of and after each change."""
    return [
        make_invitation(**promise(change + timedelta(days=step), zone, start, end))
        for zone in zones_of("US")
        for change in CHANGES
        for step in (-1, 0, 1)
        for start, end in ((time(9), time(11)), (time(17), time(19)))
    ]


def windows(found):
    return [(f["start"], f["end"]) for f in found]


def test_every_reader_finds_the_promised_instants_in_every_us_zone():
    invitations = invitations_in_all_us_zones()
    written = [write_request(invitation) for invitation in invitations]
    expected = [(i.start_at, i.end_at) for i in invitations]

    assert len(zones_of("US")) >= 29
    assert all(b"DTSTART;TZID=" in octets for octets in written)
    assert windows(map(read_with_libical, written)) == expected
    assert windows(read_with_ical_js(written)) == expected
    assert windows(map(read_with_vobject, written)) == expected


def test_writes_the_place_s_zone_so_that_a_phone_elsewhere_shows_it():
    (found,) = read_with_ical_js([write_request(make_invitation())])

    assert found["zone"] == "America/New_York"


def test_says_what_was_put_in():
    octets = write_request(make_invitation(sequence=3))

    (js,) = read_with_ical_js([octets])
    lib, vob = read_with_libical(octets), read_with_vobject(octets)

    for found in (js, lib, vob):
        assert found["uid"] == UID
        assert found["sequence"] == 3
        assert found["summary"] == "Your drain: yearly look, 9 to 11"
        assert found["location"] == "12 Elm Road, Millbrook"
        assert found["description"].endswith("clear the lid.\nThank you")
    for found in (js, vob):
        assert found["method"] == "REQUEST"
        assert found["status"] == "CONFIRMED"
        assert found["attendees"] == ["mailto:ann.lee@example.org"]
        assert found["attendee_name"] == "Ann Lee"
        assert found["organizer"] == "mailto:visits+k7q4md@example.com"
    assert js["alarms"] == 1


def test_keeps_the_standard_by_our_own_tables_and_by_those_of_libical():
    octets = write_request(make_invitation())

    assert validate_itip(octets) == ()
    assert read_with_libical(octets)["keeps_rules"]
    assert read_with_libical(octets)["errors"] == 0


def test_gives_the_same_octets_for_the_same_invitation():
    assert write_request(make_invitation()) == write_request(make_invitation())


def test_asks_for_an_answer_until_there_is_one():
    asked = write_request(make_invitation())
    kept = write_request(make_invitation(answer=Answer.ACCEPTED))

    assert b"PARTSTAT=NEEDS-ACTION" in unfolded(asked)
    assert b"RSVP=TRUE" in unfolded(asked)
    assert b"PARTSTAT=ACCEPTED" in unfolded(kept)
    assert b"RSVP=TRUE" not in unfolded(kept)


def test_marks_the_time_as_taken_only_for_those_who_must_be_there():
    assert b"\r\nTRANSP:TRANSPARENT\r\n" in write_request(make_invitation(blocks_time=False))
    assert b"\r\nTRANSP:OPAQUE\r\n" in write_request(make_invitation(blocks_time=True))


def test_is_tentative_while_the_office_has_not_confirmed():
    assert b"\r\nSTATUS:TENTATIVE\r\n" in write_request(make_invitation(is_confirmed=False))


def test_puts_the_alarm_after_all_properties_or_leaves_it_out():
    with_alarm = write_request(make_invitation())
    without = write_request(make_invitation(alarm_before=timedelta(0)))

    assert with_alarm.endswith(b"END:VALARM\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n")
    assert b"\r\nTRIGGER:-P1D\r\n" in with_alarm
    assert b"VALARM" not in without


def test_has_no_private_property_and_no_second_zone():
    octets = write_request(make_invitation())

    assert b"\r\nX-" not in octets
    assert octets.count(b"BEGIN:VTIMEZONE") == 1
    assert b"\r\nCLASS:PRIVATE\r\n" in octets


@pytest.mark.parametrize(
    ("day", "start", "end", "zone", "why"),
    [
        (date(2027, 11, 7), time(0, 30), time(1, 30), "America/Chicago", "its end comes twice"),
        (date(2027, 3, 14), time(2, 30), time(5, 0), "America/Chicago", "its start is skipped"),
        (date(2027, 5, 12), time(9), time(11), "America/Santiago", "the rule is refused"),
        (date(2027, 2, 16), time(9), time(11), "Africa/Casablanca", "Ramadan, off its rule"),
        (date(2027, 5, 12), time(9), time(11), "Etc/UTC", "the zone is UTC itself"),
    ],
)
def test_falls_back_to_utc(day, start, end, zone, why):
    invitation = make_invitation(**promise(day, zone, start, end))

    octets = write_request(invitation)

    assert b"TZID" not in octets, why
    assert validate_itip(octets) == ()
    assert windows(read_with_ical_js([octets])) == [(invitation.start_at, invitation.end_at)]


def test_writes_the_place_s_time_where_a_fading_rule_still_holds():
    # Outside Ramadan (2027: about 8 February to 9 March) Casablanca is an hour ahead of UTC.
    invitation = make_invitation(**promise(date(2027, 5, 12), "Africa/Casablanca"))

    octets = write_request(invitation)

    assert b"DTSTART;TZID=Africa/Casablanca:20270512T090000" in octets
    assert read_with_libical(octets)["start"] == instant(
        date(2027, 5, 12), time(9), "Africa/Casablanca"
    )


def test_leaves_out_what_is_empty():
    octets = write_request(make_invitation(description=" \n", location="", url=""))

    (found,) = read_with_ical_js([octets])

    assert (found["description"], found["location"]) == ("", "")
    assert not [name for name in (b"DESCRIPTION:\r", b"LOCATION", b"URL") if name in octets]


def test_escapes_what_has_a_meaning_in_an_address_uri():
    octets = write_request(make_invitation(attendee=Mailbox("", "a%b/c&d@example.org")))

    assert b"mailto:a%25b%2Fc%26d@example.org" in unfolded(octets)
    assert validate_itip(octets) == ()


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"uid": ""}, "no calendar UID"),
        ({"uid": "two words here"}, "no calendar UID"),
        ({"sequence": -1}, "counts from 0"),
        ({"end_at": datetime(2027, 3, 16, 13, tzinfo=UTC)}, "ends before it starts"),
        ({"stamp_at": datetime(2027, 3, 16)}, "with their zone"),
        ({"start_wall": datetime(2027, 3, 16, tzinfo=UTC)}, "wall times without"),
        ({"summary": " \n"}, "no title"),
        ({"alarm_before": timedelta(days=-1)}, "after the start"),
        ({"attendee": Mailbox("", "VISITS+k7q4md@example.com")}, "cannot invite itself"),
        ({"url": "javascript:alert(1)"}, "not a plain web address"),
        ({"url": "https://example.com/a\r\nX-A:1"}, "not a plain web address"),
        ({"zone": "A\r\nX-B:1"}, "not the name of a time zone"),
    ],
)
def test_refuses_an_invitation_that_contradicts_itself(changes, why):
    with pytest.raises(InvitationCannotBeWritten, match=why):
        make_invitation(**changes)


@pytest.mark.parametrize(
    "address",
    [
        "",
        "ann",
        "Ann <ann@example.org>",
        "ann@example.org, lee@example.org",
        "mailto:ann@example.org",
        "ann@example.org\r\nATTENDEE:mailto:lee@example.org",
        "\u00e4nn@example.org",
        '"ann lee"@example.org',
    ],
)
def test_refuses_what_is_not_one_plain_mail_address(address):
    with pytest.raises(InvitationCannotBeWritten, match="one plain mail address"):
        Mailbox("Ann", address)


def test_comes_through_a_mail_octet_for_octet():
    octets = write_request(make_invitation(summary="Your drain: Caf\u00e9 \U0001f3e0"))
    mail = EmailMessage(policy=SMTP)
    mail.set_content("Tuesday 16 March 2027, 9 to 11.")
    # Bytes, as the standard library turns CR LF of str into LF (measured, Python 3.11).
    mail.add_alternative(
        octets,
        maintype="text",
        subtype="calendar",
        cte="base64",
        params={"method": "REQUEST", "charset": "UTF-8"},
    )

    (part,) = [
        p
        for p in message_from_bytes(mail.as_bytes(), policy=reading).walk()
        if p.get_content_type() == "text/calendar"
    ]

    assert part.get_payload(decode=True) == octets
    # RFC 6047, 2.4: the parameter equals METHOD.
    assert part.get_param("method") == "REQUEST"


def unfolded(octets):
    return octets.replace(b"\r\n ", b"")
