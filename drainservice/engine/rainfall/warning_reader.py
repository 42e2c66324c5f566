"""Reading CAP 1.1 and 1.2 messages, and Atom indexes of them."""

from dataclasses import dataclass, replace
from datetime import datetime
from re import findall
from xml.etree.ElementTree import Element

from drainservice.engine.rainfall.warning import (
    STANDS_WITHOUT_END,
    WarningInfo,
    WarningMessage,
)
from drainservice.engine.rainfall.warning_area import Area, normal_codes
from drainservice.engine.rainfall.warning_fields import (
    name_value_pairs,
    read_circle,
    read_polygon,
    read_references,
    read_time,
)
from drainservice.engine.rainfall.warning_xml import (
    children_of,
    parse_safely,
    text_of,
    texts_of,
)

ATOM = "http://www.w3.org/2005/Atom"
CAP = "urn:oasis:names:tc:emergency:cap:"
VERSIONS = ("1.1", "1.2")


class NotAWarning(ValueError):
    """XML that is neither a CAP 1.1 or 1.2 message nor an Atom index of them."""


class WarningIncomplete(ValueError):
    """A message without what CAP requires to know it by."""


@dataclass(frozen=True, slots=True)
class WarningFile:
    """The messages of a file, and notes on what could not be read as it stands."""

    messages: tuple[WarningMessage, ...]
    notes: tuple[str, ...]


def read_warnings(content: str | bytes) -> WarningFile:
    """Read one CAP message, or an Atom feed whose entries carry CAP elements or messages.

    Never resolves an entity, a document type or an address. A damaged polygon, reference or
    entry of a feed leaves a note and the rest stands.
    Source: OASIS CAP 1.2 (2010) and 1.1 (2005); RFC 4287 for the feed. Raises
    WarningFileTooLarge, WarningFileUnsafe, WarningFileUnreadable, NotAWarning,
    WarningIncomplete (a file of one message only).
    """
    root = parse_safely(content)
    if _is(root, "alert"):
        message = _read_message(root)
        return WarningFile((message,), message.notes)
    if root.tag != f"{{{ATOM}}}feed":
        raise NotAWarning(
            "This is neither a CAP 1.1 or 1.2 warning nor an Atom index of warnings."
            " Check the address it was fetched from."
        )
    messages: list[WarningMessage] = []
    notes: list[str] = []
    for number, entry in enumerate(root.findall(f"{{{ATOM}}}entry"), start=1):
        try:
            inner = next((part for part in entry.iter() if _is(part, "alert")), None)
            message = _read_entry(entry) if inner is None else _read_message(inner)
        except WarningIncomplete as flaw:
            notes.append(f"Entry {number} was left out: {flaw}")
            continue
        messages.append(message)
        notes += [f"Entry {number}: {note}" for note in message.notes]
    return WarningFile(tuple(messages), tuple(notes))


def read_warning(content: str | bytes) -> WarningMessage:
    """Read a file of one CAP message. Raises as read_warnings, and NotAWarning for an index."""
    found = read_warnings(content)
    if len(found.messages) != 1:
        raise NotAWarning(f"This file holds {len(found.messages)} warnings, not one.")
    return found.messages[0]


def _is(part: Element, name: str) -> bool:
    return any(part.tag == f"{{{CAP}{version}}}{name}" for version in VERSIONS)


def _read_message(alert: Element) -> WarningMessage:
    notes: list[str] = []
    sent_at = read_time(text_of(alert, "sent"), "sent", notes)
    if sent_at is None or not text_of(alert, "identifier") or not text_of(alert, "sender"):
        raise WarningIncomplete("a warning needs an identifier, a sender and the time it was sent.")
    references = tuple(read_references(" ".join(texts_of(alert, "references")), notes))
    infos = tuple(_read_info(info, sent_at, notes) for info in children_of(alert, "info"))
    return WarningMessage(
        identifier=text_of(alert, "identifier"),
        sender=text_of(alert, "sender"),
        sent_at=sent_at,
        status=text_of(alert, "status").capitalize(),
        kind=text_of(alert, "msgType").capitalize(),
        scope=text_of(alert, "scope").capitalize(),
        version=alert.tag.partition("}")[0].removeprefix("{" + CAP),
        references=references,
        infos=infos,
        notes=tuple(notes),
    )


def _read_entry(entry: Element) -> WarningMessage:
    """An entry of an index: the CAP elements stand in it side by side, without info and area."""
    notes: list[str] = []
    sent = text_of(entry, "sent") or text_of(entry, "published") or text_of(entry, "updated")
    sent_at = read_time(sent, "published", notes)
    identifier = text_of(entry, "identifier") or text_of(entry, "id")
    if sent_at is None or not identifier:
        raise WarningIncomplete("it has no id or no time of publication.")
    if not text_of(entry, "event"):
        raise WarningIncomplete("it carries no CAP elements.")
    authors = [name for author in children_of(entry, "author") for name in texts_of(author, "name")]
    info = _read_info(entry, sent_at, notes)
    area = _read_area(entry, notes)
    version = next(v for v in (*VERSIONS, "") if not v or any(_is(p, "event") for p in entry))
    return WarningMessage(
        identifier=identifier,
        sender=text_of(entry, "sender") or next(iter(authors), ""),
        sent_at=sent_at,
        status=text_of(entry, "status").capitalize(),
        kind=text_of(entry, "msgType").capitalize(),
        scope=text_of(entry, "scope").capitalize(),
        version=version,
        references=tuple(read_references(" ".join(texts_of(entry, "references")), notes)),
        infos=(replace(info, areas=(area,) if area.codes or area.polygons else info.areas),),
        notes=tuple(notes),
    )


def _read_info(info: Element, sent_at: datetime, notes: list[str]) -> WarningInfo:
    effective_at = read_time(text_of(info, "effective"), "effective", notes) or sent_at
    expires_at = read_time(text_of(info, "expires"), "expires", notes)
    if expires_at is None:
        onset_at = read_time(text_of(info, "onset"), "onset", notes) or effective_at
        expires_at = max(effective_at, onset_at) + STANDS_WITHOUT_END
        notes.append("It does not say when it expires; 24 hours are assumed.")
    parameters = [
        pair for part in children_of(info, "parameter") for pair in name_value_pairs(part)
    ]
    areas = tuple(_read_area(area, notes) for area in children_of(info, "area"))
    if not any(area.polygons or area.circles or area.codes for area in areas):
        areas += _area_of_parameters(parameters)
    vtec = " ".join(value for name, value in parameters if name.upper() == "VTEC")
    return WarningInfo(
        event=text_of(info, "event"),
        event_codes=tuple(
            p for part in children_of(info, "eventCode") for p in name_value_pairs(part)
        ),
        language=text_of(info, "language") or "en-US",
        response_types=tuple(texts_of(info, "responseType")),
        urgency=text_of(info, "urgency"),
        severity=text_of(info, "severity"),
        certainty=text_of(info, "certainty"),
        effective_at=effective_at,
        expires_at=expires_at,
        headline=text_of(info, "headline") or text_of(info, "title"),
        description=text_of(info, "description") or text_of(info, "summary"),
        instruction=text_of(info, "instruction"),
        vtec_actions=tuple(findall(r"/[A-Z]\.([A-Z]{3})\.", vtec)),
        areas=areas,
    )


def _area_of_parameters(parameters: list[tuple[str, str]]) -> tuple[Area, ...]:
    """The UGC line of a message that names no area: better than none."""
    geocodes = tuple(("UGC", value) for name, value in parameters if name in ("UGC", "NWSUGC"))
    if not geocodes:
        return ()
    return (Area("", (), (), geocodes, normal_codes(value for _, value in geocodes)),)


def _read_area(area: Element, notes: list[str]) -> Area:
    polygons = (read_polygon(text, notes) for text in texts_of(area, "polygon"))
    circles = (read_circle(text, notes) for text in texts_of(area, "circle"))
    geocodes = tuple(
        (name, word)
        for part in children_of(area, "geocode")
        for name, value in name_value_pairs(part)
        for word in value.split()
    )
    return Area(
        name=text_of(area, "areaDesc"),
        polygons=tuple(polygon for polygon in polygons if polygon),
        circles=tuple(circle for circle in circles if circle is not None),
        geocodes=geocodes,
        codes=normal_codes(value for _, value in geocodes),
    )
