"""One invitation as an iCalendar object: what a request and a cancellation have in common."""

import re
import unicodedata
from datetime import UTC, datetime
from urllib.parse import quote

from icalendar import Alarm, Calendar, Event, vCalAddress, vText

from drainservice.engine.invitations.invitation import Answer, Invitation, Mailbox
from drainservice.engine.invitations.zone import (
    FIRST_YEAR,
    ZoneRuleCannotBeWritten,
    read_rule,
    write_zone,
)

PRODUCT = "-//drainservice//invitations 1//EN"
_BIDI = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def tidy_line(text: str) -> str:
    """One line without controls: line breaks and runs of blanks become one blank (NFC)."""
    return " ".join(_without_controls(text.replace("\t", " ")).split())


def tidy_text(text: str) -> str:
    """Several lines, each ended by a bare line feed, without other controls (NFC)."""
    return _without_controls(re.sub("\r\n?|[\u2028\u2029\x85]", "\n", text)).strip("\n")


def tidy_name(name: str) -> str:
    """A name for CN: one line, no marks that turn the reading direction, no double quotes.

    A double quote cannot stand in a parameter (RFC 5545, 3.1); its escape (RFC 6868) is shown
    as it stands by older programs, so an apostrophe takes its place. A backslash is no escape
    in a parameter, but some readers take it for one, so a slash takes its place.
    """
    return tidy_line(_BIDI.sub("", name)).replace('"', "'").replace("\\", "/")


def mail_uri(address: str) -> str:
    """A mailto: URI of one address (RFC 6068: what has a meaning in a URI is escaped)."""
    local, domain = address.rsplit("@", 1)
    escaped = quote(local, safe="!$'*+-._~")
    return f"mailto:{escaped}@{domain}"


def is_in_place_time(invitation: Invitation) -> bool:
    """Whether the window can be written by the clock of its place, else UTC is written.

    It can when the rule is writable and, read by it, both wall times are one instant, the right
    one: hours that come twice or never, and zones without a lasting rule, are written in UTC.
    """
    try:
        rule = read_rule(invitation.rule)
    except ZoneRuleCannotBeWritten:
        return False
    # RFC 5545, 3.2.19: no TZID on times in UTC.
    if rule.name == "UTC" or invitation.start_at.year <= FIRST_YEAR:
        return False
    return all(
        rule.instants_of(wall) == (at,)
        for wall, at in (
            (invitation.start_wall, invitation.start_at),
            (invitation.end_wall, invitation.end_at),
        )
    )


def write_octets(calendar: Calendar) -> bytes:
    """The calendar as UTF-8 octets: CRLF, folded at 75 octets (RFC 5545, 3.1)."""
    return bytes(calendar.to_ical())


def build_calendar(invitation: Invitation, method: str) -> tuple[Calendar, Event]:
    """The VCALENDAR of a method with its VTIMEZONE and one VEVENT, STATUS and alarm still out."""
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("METHOD", method)
    entry = Event()
    entry.add("UID", invitation.uid)
    entry.add("SEQUENCE", invitation.sequence)
    for name, at in (
        ("DTSTAMP", invitation.stamp_at),
        ("CREATED", invitation.created_at),
        ("LAST-MODIFIED", invitation.last_modified_at),
    ):
        entry.add(name, at.astimezone(UTC))
    _add_window(calendar, entry, invitation)
    _add_words(entry, invitation)
    calendar.add_component(entry)
    return calendar, entry


def alarm(invitation: Invitation) -> Alarm:
    """One DISPLAY alarm: a bonus, many programs leave it out. The promise is our own reminder."""
    part = Alarm()
    part.add("ACTION", "DISPLAY")
    part.add("TRIGGER", -invitation.alarm_before)
    part.add("DESCRIPTION", tidy_line(invitation.summary))
    return part


def _add_window(calendar: Calendar, entry: Event, invitation: Invitation) -> None:
    if not is_in_place_time(invitation):
        entry.add("DTSTART", invitation.start_at.astimezone(UTC))
        entry.add("DTEND", invitation.end_at.astimezone(UTC))
        return
    calendar.add_component(write_zone(invitation.zone, invitation.rule))
    _add_wall(entry, "DTSTART", invitation.start_wall, invitation.zone)
    _add_wall(entry, "DTEND", invitation.end_wall, invitation.zone)


def _add_wall(entry: Event, name: str, wall: datetime, zone: str) -> None:
    entry.add(name, wall, parameters={"TZID": zone})


def _add_words(entry: Event, invitation: Invitation) -> None:
    entry.add("SUMMARY", tidy_line(invitation.summary))
    if invitation.description.strip():
        entry.add("DESCRIPTION", tidy_text(invitation.description))
    if invitation.location.strip():
        entry.add("LOCATION", tidy_line(invitation.location))
    if invitation.url:
        entry.add("URL", invitation.url)
    entry.add("CLASS", "PRIVATE")
    entry.add("TRANSP", "OPAQUE" if invitation.blocks_time else "TRANSPARENT")
    entry.add("ORGANIZER", _person(invitation.organizer))
    attendee = _person(invitation.attendee)
    attendee.params["CUTYPE"] = vText("INDIVIDUAL")
    attendee.params["ROLE"] = vText("REQ-PARTICIPANT")
    attendee.params["PARTSTAT"] = vText(invitation.answer.value)
    # A kept answer is not asked for again (judgement, no source).
    attendee.params["RSVP"] = vText("TRUE" if invitation.answer is Answer.NEEDS_ACTION else "FALSE")
    entry.add("ATTENDEE", attendee)


def _person(mailbox: Mailbox) -> vCalAddress:
    person = vCalAddress(mail_uri(mailbox.address))
    name = tidy_name(mailbox.name)
    if name:
        person.params["CN"] = vText(name)
    return person


def _without_controls(text: str) -> str:
    kept = (c if unicodedata.category(c) not in ("Cc", "Cs") or c == "\n" else " " for c in text)
    return unicodedata.normalize("NFC", "".join(kept))
