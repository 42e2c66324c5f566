"""The calendar part of a reply, read with caps first and into plain facts."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from urllib.parse import unquote

from icalendar import Calendar, Event
from icalendar.parser import Contentlines

MOST_OCTETS = 512_000
MOST_LINES = 5_000
MOST_COMMENT = 1_000
# Character sets that calendars come in. Others (and Python's stranger codecs) read as UTF-8.
_CHARSETS = re.compile(
    r"utf-?8|us-ascii|ascii|iso-?8859-\d{1,2}|latin-?1|windows-\d{3,4}|cp\d{3,4}|koi8-[ru]"
    r"|gb2312|gbk|gb18030|big5|shift[_-]jis|euc-(?:jp|kr)|iso-2022-jp|utf-16(?:[bl]e)?",
    re.IGNORECASE,
)
_INVISIBLE = re.compile("[\u061c\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")


class ReplyIsTooLarge(ValueError):
    """The calendar part is over 512 kB or 5 000 lines; it is not even read."""


class ReplyIsUnreadable(ValueError):
    """The part is no calendar, or lacks what every reply has: an entry, UID and DTSTAMP."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What a calendar part says. Nothing in it is proven.

    `method`, `partstat` in capitals; `attendees` addresses in small letters, the first entry's;
    `sequence` 0 where it names none (RFC 5545, 3.8.7.4); `entries` counts its VEVENTs;
    `start_at`, `end_at` are instants, None where it gives none or none that can be told (a
    whole day, an unknown zone); `comment` is plain text of at most 1 000 characters.
    """

    method: str
    uid: str
    sequence: int
    stamp_at: datetime
    attendees: tuple[str, ...]
    partstat: str
    is_delegated: bool
    is_sent_by_another: bool
    is_of_a_recurrence: bool
    entries: int
    start_at: datetime | None
    end_at: datetime | None
    comment: str


def read_reply(octets: bytes, charset: str) -> Reply:
    """Read one text/calendar part, its transfer encoding undone, in the charset of its header.

    An empty or unknown charset is read as UTF-8. Raises ReplyIsTooLarge before any parsing and
    ReplyIsUnreadable for whatever cannot be read.
    Source: RFC 5545, 5546; the shapes come from public reports on real mail programs: no
    ORGANIZER, Windows zone names, methods in small letters, whole entries handed back.
    """
    if len(octets) > MOST_OCTETS or count_lines(octets) > MOST_LINES:
        raise ReplyIsTooLarge(
            f"The calendar part has {len(octets):,} bytes; at most {MOST_OCTETS:,} bytes and"
            f" {MOST_LINES:,} lines are read."
        )
    calendar = _parse(_decode(octets, charset))
    entries = [part for part in calendar.subcomponents if isinstance(part, Event)]
    if not entries:
        raise ReplyIsUnreadable("The calendar part holds no entry.")
    try:
        return _read_entry(calendar, entries)
    except ReplyIsUnreadable:
        raise
    except Exception as wrong:  # The library raises many kinds on broken properties.
        raise ReplyIsUnreadable("The entry in the calendar part is broken.") from wrong


def count_lines(octets: bytes) -> int:
    """Lines however they are ended: CR LF, LF or CR."""
    return octets.count(b"\n") + octets.count(b"\r") - octets.count(b"\r\n") + 1


def _decode(octets: bytes, charset: str) -> str:
    name = charset.strip("\"' ")
    for codec in (name if _CHARSETS.fullmatch(name) else "utf-8", "utf-8"):
        try:
            return octets.decode(codec)
        except (UnicodeDecodeError, LookupError):
            continue
    return octets.decode("utf-8", errors="replace")


def _without_zones(text: str) -> str:
    """The calendar without the zones it describes itself.

    The library reckons each described zone out to the last onset (a rule by the second keeps it
    busy without end) and keeps it, by name, for all later mails. Zones with a known name are
    told without a description; a time in another is asked for.
    """
    kept: list[str] = []
    is_inside = False
    for line in Contentlines.from_ical(text):  # type: ignore[no-untyped-call]
        head = line.strip().upper()
        if head.startswith(("BEGIN", "END")) and "VTIMEZONE" in head:
            is_inside = head.startswith("BEGIN")
        elif not is_inside:
            kept.append(line)
    return "\r\n".join(kept)


def _parse(text: str) -> Calendar:
    try:
        found = Calendar.from_ical(_without_zones(text.removeprefix("\ufeff").strip()))
    except Exception as wrong:  # Whatever the parser raises on foreign bytes is one answer.
        raise ReplyIsUnreadable("The calendar part could not be read.") from wrong
    if not isinstance(found, Calendar):
        raise ReplyIsUnreadable("The calendar part is no calendar.")
    return found


def _read_entry(calendar: Calendar, entries: list[Event]) -> Reply:
    entry = entries[0]
    uid, stamp_at = _text(entry.get("UID")), _instant(entry.get("DTSTAMP"), is_stamp=True)
    if not uid or stamp_at is None:
        raise ReplyIsUnreadable("The entry lacks its UID or the time it was made.")
    people = _list(entry.get("ATTENDEE"))
    person = people[0] if people else None
    return Reply(
        method=_text(calendar.get("METHOD")).upper(),
        uid=uid,
        sequence=_whole_number(entry.get("SEQUENCE", 0)),
        stamp_at=stamp_at,
        attendees=tuple(bare_address(str(p)) for p in people),
        partstat=(_param(person, "PARTSTAT") or "NEEDS-ACTION").upper(),
        is_delegated=any(_param(p, n) for p in people for n in ("DELEGATED-TO", "DELEGATED-FROM")),
        is_sent_by_another=any(_param(p, "SENT-BY") for p in people),
        is_of_a_recurrence=any("RECURRENCE-ID" in e for e in entries),
        entries=len(entries),
        start_at=_instant(entry.get("DTSTART"), is_stamp=False),
        end_at=_instant(entry.get("DTEND"), is_stamp=False),
        comment=_comment(entry, person),
    )


def bare_address(uri: str) -> str:
    """The address of a mailto: URI in small letters (RFC 6068), for comparing."""
    return unquote(re.sub(r"(?i)^\s*mailto:", "", uri)).strip().lower()


def _comment(entry: Event, person: object) -> str:
    """COMMENT, else the comment some programs hang on the attendee; what is visible of it."""
    said = "\n".join(_text(c) for c in _list(entry.get("COMMENT")))
    said = said or _param(person, "X-RESPONSE-COMMENT")
    said = unicodedata.normalize("NFC", _INVISIBLE.sub("", re.sub("\r\n?", "\n", said)))
    plain = "".join(c for c in said if c == "\n" or unicodedata.category(c) not in ("Cc", "Cs"))
    return plain.strip()[:MOST_COMMENT]


def _instant(found: Any, *, is_stamp: bool) -> datetime | None:
    """A property's instant. A stamp without zone is UTC (RFC 5545, 3.8.7.2, knows no other)."""
    at: date | datetime | None = getattr(_one(found), "dt", None)
    if not isinstance(at, datetime):
        return None
    if at.tzinfo is not None:
        return at.astimezone(UTC)
    return at.replace(tzinfo=UTC) if is_stamp else None


def _whole_number(found: Any) -> int:
    number = int(_one(found))
    if not 0 <= number < 10**9:
        raise ReplyIsUnreadable("The entry counts its changes with an impossible number.")
    return number


def _list(found: Any) -> list[Any]:
    if found is None:
        return []
    return list(found) if isinstance(found, list) else [found]


def _one(found: Any) -> Any:
    return found[0] if isinstance(found, list) else found


def _text(found: Any) -> str:
    return "" if found is None else str(_one(found)).strip()


def _param(found: Any, name: str) -> str:
    return str(getattr(found, "params", {}).get(name, ""))
