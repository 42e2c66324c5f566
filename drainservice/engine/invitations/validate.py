"""Does a calendar keep RFC 5545 and 5546, and our own narrower rules? Asked before every send."""

import re
from collections.abc import Iterator
from datetime import datetime

from drainservice.engine.invitations import tables
from drainservice.engine.invitations.lines import (
    Breach,
    Component,
    Property,
    find_line_breaches,
    read_tree,
)

_UTC = re.compile(r"\d{8}T\d{6}Z")
_WALL = re.compile(r"\d{8}T\d{6}")
_OFFSET = re.compile(r"[+-](?!0000$)\d{2}[0-5]\d([0-5]\d)?|\+0000")
_MAILTO = re.compile(r"mailto:[^\s<>,;:\"@]+@[A-Za-z0-9.-]+", re.IGNORECASE)
_ESCAPED = re.compile(r"(?:[^\\,;]|\\[\\,;nN])*")
TEXTS = ("SUMMARY", "DESCRIPTION", "LOCATION")
SENT = ("REQUEST", "CANCEL")


class InvitationBreaksTheStandard(ValueError):
    """The calendar must not be sent; the message names each breach."""


def refuse_breaches(octets: bytes) -> None:
    """Raise InvitationBreaksTheStandard, naming each breach, unless the octets may be sent."""
    breaches = validate_itip(octets)
    if breaches:
        said = " ".join(f"[{b.name}] {b.sentence}" for b in breaches)
        raise InvitationBreaksTheStandard(f"The invitation was not sent: {said}")


def validate_itip(octets: bytes) -> tuple[Breach, ...]:
    """Every breach in one calendar of METHOD REQUEST, CANCEL, REPLY, COUNTER or REFRESH.

    Sources: RFC 5545 (lines, values, VTIMEZONE, VALARM), RFC 5546, 3.2 (properties by method).
    For what we send, REQUEST and CANCEL, also our own rules (judgement, no source): one entry,
    one attendee other than the organizer, DTEND, no floating time, no X- property.
    """
    root, breaches = read_tree(octets)
    return (*find_line_breaches(octets), *breaches, *_judge_root(root))


def _judge_root(root: Component) -> Iterator[Breach]:
    if root.properties or [c.name for c in root.inside] != ["VCALENDAR"]:
        yield Breach("not-one-calendar", "There must be one VCALENDAR and nothing beside it.")
        return
    calendar = root.inside[0]
    yield from _count(calendar, tables.CALENDAR)
    if calendar.value("VERSION") != "2.0":
        yield Breach("VCALENDAR.VERSION", "VERSION must be 2.0.")
    if calendar.value("CALSCALE").upper() not in ("", "GREGORIAN"):
        yield Breach("VCALENDAR.CALSCALE", "CALSCALE must be GREGORIAN.")
    method = calendar.value("METHOD").upper()
    if method not in tables.ENTRY:
        yield Breach("VCALENDAR.METHOD", f"METHOD {method[:20]!r} is none that we send or read.")
        return
    yield from _judge_parts(calendar, method)


def _judge_parts(calendar: Component, method: str) -> Iterator[Breach]:
    zones = [zone.value("TZID") for zone in calendar.parts("VTIMEZONE")]
    for part in calendar.inside:
        if part.name not in ("VEVENT", "VTIMEZONE"):
            yield Breach("foreign-part", f"A {part.name[:20]} has no place here.")
    for zone in calendar.parts("VTIMEZONE"):
        yield from _judge_zone(zone)
    if len(zones) != len(set(zones)):
        yield Breach("VTIMEZONE.TZID", "Two zones have one name.")
    entries = calendar.parts("VEVENT")
    if not entries:
        yield Breach("no-entry", "There is no VEVENT.")
    if len(entries) > 1 and method in SENT:
        yield Breach("several-entries", "We send one VEVENT at a time.")
    for entry in entries:
        yield from _judge_entry(entry, method, zones)
        if method in SENT:
            yield from _judge_ours(calendar, entry)


def _judge_entry(entry: Component, method: str, zones: list[str]) -> Iterator[Breach]:
    yield from _count(entry, tables.ENTRY[method])
    yield from _judge_values(entry, method)
    yield from _judge_times(entry, zones)
    for person in (*entry.all("ORGANIZER"), *entry.all("ATTENDEE")):
        yield from _judge_person(person)
    for part in entry.inside:
        if part.name != "VALARM" or method not in tables.MAY_HAVE_ALARM:
            yield Breach("part-in-entry", f"A {part.name[:20]} must not stand in a {method}.")
        elif part.value("ACTION").upper() != "DISPLAY":
            yield Breach("VALARM.ACTION", "An alarm of ours only shows itself (DISPLAY).")
        else:
            yield from _count(part, tables.DISPLAY_ALARM)


def _judge_values(entry: Component, method: str) -> Iterator[Breach]:
    if entry.all("UID") and not entry.value("UID").strip():
        yield Breach("VEVENT.UID", "UID is empty.")
    for sequence in entry.all("SEQUENCE"):
        if not re.fullmatch(r"\d{1,9}", sequence.value):
            yield Breach("VEVENT.SEQUENCE", "SEQUENCE must be a whole number from 0 upward.")
    for status in entry.all("STATUS"):
        if status.value.upper() not in tables.STATUS[method]:
            yield Breach("VEVENT.STATUS", f"STATUS {status.value[:20]!r} has no place in {method}.")
    for name, allowed in tables.VALUES.items():
        if any(p.value.upper() not in allowed for p in entry.all(name)):
            yield Breach(f"VEVENT.{name}", f"{name} must be one of {', '.join(allowed)}.")
    for name in TEXTS:
        if any(not _ESCAPED.fullmatch(p.value) for p in entry.all(name)):
            yield Breach(f"VEVENT.{name}", f"{name} holds a comma, semicolon or backslash bare.")


def _judge_times(entry: Component, zones: list[str]) -> Iterator[Breach]:
    for name in ("DTSTAMP", "CREATED", "LAST-MODIFIED"):
        if any(not _UTC.fullmatch(p.value) or not _is_time(p.value) for p in entry.all(name)):
            yield Breach(f"VEVENT.{name}", f"{name} must be a time in UTC.")
    for window in (*entry.all("DTSTART"), *entry.all("DTEND")):
        yield from _judge_window(window, zones)
    if entry.all("DTEND") and entry.all("DURATION"):
        yield Breach("VEVENT.DTEND", "DTEND and DURATION must not stand together.")
    for end in entry.all("DTEND")[:1]:
        starts = entry.all("DTSTART")
        same_kind = starts and [_kind(p) for p in starts[:1]] == [_kind(end)]
        if same_kind and end.value <= starts[0].value:
            yield Breach("VEVENT.DTEND", "DTEND must be later than DTSTART.")
        elif starts and starts[0].params.get("VALUE") != end.params.get("VALUE"):
            yield Breach("VEVENT.DTEND", "DTEND must be of the kind of DTSTART.")


def _kind(window: Property) -> tuple[str, int]:
    return window.params.get("TZID", ""), len(window.value)


def _judge_window(window: Property, zones: list[str]) -> Iterator[Breach]:
    name, zone = f"VEVENT.{window.name}", window.params.get("TZID", "")
    if window.params.get("VALUE", "DATE-TIME").upper() == "DATE":
        if not re.fullmatch(r"\d{8}", window.value) or not _is_time(window.value + "T000000"):
            yield Breach(name, f"{window.name} is not a date.")
    elif not (_UTC.fullmatch(window.value) or _WALL.fullmatch(window.value)):
        yield Breach(name, f"{window.name} is not a time.")
    elif not _is_time(window.value):
        yield Breach(name, f"{window.name} names an hour or day that no calendar has.")
    elif zone and window.value.endswith("Z"):
        yield Breach(name, f"{window.name} is in UTC and names a zone as well.")
    elif zone and zone not in zones:
        yield Breach(name, f"{window.name} names the zone {zone[:40]!r}, which is not described.")


def _judge_person(person: Property) -> Iterator[Breach]:
    if not _MAILTO.fullmatch(person.value):
        yield Breach(f"VEVENT.{person.name}", f"{person.name} must be mailto: and one address.")
    for name, allowed in tables.PARAMETERS.items():
        if person.params.get(name, allowed[0]).upper() not in allowed:
            yield Breach(f"{person.name}.{name}", f"{name} must be one of {', '.join(allowed)}.")


def _judge_ours(calendar: Component, entry: Component) -> Iterator[Breach]:
    people = [person.value.lower() for person in entry.all("ATTENDEE")]
    if len(people) != 1:
        yield Breach("one-attendee", "A message of ours has exactly one attendee.")
    if entry.value("ORGANIZER").lower() in people:
        yield Breach("organizer-attends", "The organizer must not be the attendee.")
    if not entry.all("DTSTART") or not entry.all("DTEND"):
        yield Breach("no-window", "A message of ours gives start and end.")
    if not entry.all("SEQUENCE"):
        yield Breach("no-sequence", "A message of ours gives its SEQUENCE.")
    for window in (*entry.all("DTSTART"), *entry.all("DTEND")):
        if not window.params.get("TZID") and not window.value.endswith("Z"):
            yield Breach("floating", f"{window.name} must have a zone or be in UTC.")
    if any(p.name.startswith("X-") for p in (*calendar.properties, *entry.properties)):
        yield Breach("private-property", "A message of ours has no X- property.")


def _judge_zone(zone: Component) -> Iterator[Breach]:
    yield from _count(zone, tables.ZONE)
    if not zone.inside:
        yield Breach("VTIMEZONE", "A zone needs STANDARD or DAYLIGHT.")
    for part in zone.inside:
        if part.name not in ("STANDARD", "DAYLIGHT"):
            yield Breach("VTIMEZONE", f"A {part.name[:20]} has no place in a zone.")
        yield from _count(part, tables.OBSERVANCE)
        starts = part.value("DTSTART")
        if starts and not (_WALL.fullmatch(starts) and _is_time(starts)):
            yield Breach(f"{part.name}.DTSTART", "The begin of a season must be local time.")
        for name in ("TZOFFSETFROM", "TZOFFSETTO"):
            if any(not _OFFSET.fullmatch(p.value) for p in part.all(name)):
                yield Breach(f"{part.name}.{name}", f"{name} must be like -0500.")


def _count(component: Component, bounds: dict[str, tuple[int, int]]) -> Iterator[Breach]:
    for name, (least, most) in bounds.items():
        found = len(component.all(name))
        if found < least:
            yield Breach(f"{component.name}.{name}", f"{component.name} lacks {name}.")
        elif found > most:
            yield Breach(
                f"{component.name}.{name}",
                f"{component.name} has {name} {found} times, at most {most}.",
            )


def _is_time(text: str) -> bool:
    try:
        datetime.strptime(text.rstrip("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007 - only its form
    except ValueError:
        return False
    return True
