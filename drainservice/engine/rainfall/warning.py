"""A weather warning as CAP has it, and whether it calls for action here and now."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum

from drainservice.engine.rainfall.warning_area import Area, Cover, area_covers, normal_codes

# A message without an end is taken to stand for a day: judgement, no source (CAP leaves it open).
STANDS_WITHOUT_END = timedelta(hours=24)
# Rain events of the US National Weather Service; a firm keeps its own list.
RAIN_EVENTS = frozenset(
    {
        "Flash Flood Warning",
        "Flash Flood Watch",
        "Flood Warning",
        "Flood Watch",
        "Flood Advisory",
        "Severe Thunderstorm Warning",
        "Tropical Storm Warning",
    }
)


class Judgement(StrEnum):
    """Whether a warning calls for action, or why not; the value is the sentence to show."""

    NOT_ACTUAL = "It is an exercise, a test or a draft."
    NOT_A_WARNING = "It acknowledges or reports an error; it warns of nothing."
    CANCELS = "It only ends the messages it refers to."
    ENDED = "A later message has ended or replaced it."
    EMPTY = "It says nothing of what is coming."
    EXPIRED = "It has expired."
    OVER = "It says that the danger is past."
    NOT_LISTED = "Its event is not in the firm's list."
    ACTS = "It calls for action."


# Sender, identifier and sent (UTC, ISO 8601): what a reference names a message by.
Key = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class WarningInfo:
    """One info block: what is coming, how bad, until when, and where."""

    event: str
    event_codes: tuple[tuple[str, str], ...]
    language: str
    response_types: tuple[str, ...]
    urgency: str
    severity: str
    certainty: str
    effective_at: datetime
    expires_at: datetime
    headline: str
    description: str
    instruction: str
    vtec_actions: tuple[str, ...]
    areas: tuple[Area, ...]

    @property
    def codes(self) -> frozenset[str]:
        """All SAME, FIPS6 and UGC codes of its areas, in one normal form."""
        return frozenset(code for area in self.areas for code in area.codes)

    @property
    def is_over(self) -> bool:
        """Whether it ends a danger: urgency Past, response AllClear, or VTEC CAN, EXP alone.

        Source: CAP 1.2, section 3.2.2 (urgency, responseType); NWS Instruction 10-1703 (VTEC
        actions), from memory.
        """
        is_ending = bool(self.vtec_actions) and set(self.vtec_actions) <= {"CAN", "EXP", "UPG"}
        return self.urgency.lower() == "past" or "AllClear" in self.response_types or is_ending


@dataclass(frozen=True, slots=True)
class WarningMessage:
    """One CAP message. Times aware, in UTC; references are keys of earlier messages."""

    identifier: str
    sender: str
    sent_at: datetime
    status: str
    kind: str
    scope: str
    version: str
    references: tuple[Key, ...]
    infos: tuple[WarningInfo, ...]
    notes: tuple[str, ...]

    @property
    def key(self) -> Key:
        """Sender, identifier, sent: its name in later references."""
        return message_key(self.sender, self.identifier, self.sent_at)

    @property
    def is_actual(self) -> bool:
        """Whether its status is Actual."""
        return self.status == "Actual"

    @property
    def expires_at(self) -> datetime:
        """When the last of its info blocks expires; when it was sent, if there is none."""
        return max((info.expires_at for info in self.infos), default=self.sent_at)

    @property
    def minutes_valid(self) -> float:
        """Minutes from sent to the last expiry."""
        return (self.expires_at - self.sent_at) / timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class SortedWarnings:
    """Warnings that act; keys ended; and each message passed over, with the reason."""

    acting: tuple[WarningMessage, ...]
    ended: frozenset[Key]
    passed_over: tuple[tuple[WarningMessage, Judgement], ...]


def message_key(sender: str, identifier: str, sent_at: datetime) -> Key:
    """The name of a message in references, with its time brought to UTC."""
    return sender.strip(), identifier.strip(), sent_at.astimezone(UTC).isoformat()


def ended_by(messages: Iterable[WarningMessage]) -> frozenset[Key]:
    """Keys of all messages that an actual Update or Cancel of the list refers to.

    Source: CAP 1.2, section 3.2.1 (msgType, references).
    """
    return frozenset(
        key
        for message in messages
        if message.is_actual and message.kind in ("Update", "Cancel")
        for key in message.references
    )


def judge_warning(
    message: WarningMessage,
    *,
    now: datetime,
    events: Iterable[str],
    ended: frozenset[Key] = frozenset(),
) -> Judgement:
    """Judgement.ACTS, or the first reason why a message calls for nothing.

    now: aware. events: names as the firm lists them ("Flood Warning"; capitals do not matter)
    or SAME event codes ("FFW"). ended: keys from ended_by().
    """
    if not message.is_actual:
        return Judgement.NOT_ACTUAL
    if message.kind == "Cancel":
        return Judgement.CANCELS
    if message.kind not in ("Alert", "Update"):
        return Judgement.NOT_A_WARNING
    if message.key in ended:
        return Judgement.ENDED
    if not message.infos:
        return Judgement.EMPTY
    if all(info.expires_at <= now for info in message.infos):
        return Judgement.EXPIRED
    if all(info.is_over for info in message.infos):
        return Judgement.OVER
    if not infos_that_act(message, now=now, events=events):
        return Judgement.NOT_LISTED
    return Judgement.ACTS


def infos_that_act(
    message: WarningMessage, *, now: datetime, events: Iterable[str]
) -> tuple[WarningInfo, ...]:
    """The info blocks that stand now, are not over and whose event the firm lists."""
    wanted = {_plain(event) for event in events}
    return tuple(
        info
        for info in message.infos
        if info.expires_at > now
        and not info.is_over
        and wanted.intersection(
            [_plain(info.event), *(_plain(value) for _, value in info.event_codes)]
        )
    )


def sort_warnings(
    messages: Sequence[WarningMessage],
    *,
    now: datetime,
    events: Iterable[str],
    ended: frozenset[Key] = frozenset(),
) -> SortedWarnings:
    """Which of the messages act now. ended: keys from earlier files, for messages still held.

    The order of the messages does not matter; a Cancel of an unknown message does nothing but
    is kept in `ended`, should that message arrive late. The same message twice counts once.
    """
    wanted = tuple(events)
    all_ended = ended | ended_by(messages)
    unique = {message.key: message for message in messages}.values()
    judged = [(m, judge_warning(m, now=now, events=wanted, ended=all_ended)) for m in unique]
    return SortedWarnings(
        acting=tuple(m for m, why in judged if why is Judgement.ACTS),
        ended=all_ended,
        passed_over=tuple((m, why) for m, why in judged if why is not Judgement.ACTS),
    )


def warning_covers(
    message: WarningMessage,
    latitude: float,
    longitude: float,
    site_codes: Iterable[str] = (),
    *,
    now: datetime,
    events: Iterable[str],
) -> Cover:
    """How a site is covered by the parts of a warning that act: polygon, circle, code or none.

    latitude, longitude: degrees, north and east positive. site_codes: the county or zone codes
    kept for the site (SAME "006109", UGC "AZC015"). A site inside any of them is covered.
    """
    codes = normal_codes(site_codes)
    for info in infos_that_act(message, now=now, events=events):
        for area in info.areas:
            cover = area_covers(area, latitude, longitude, codes)
            if cover is not Cover.NONE:
                return cover
    return Cover.NONE


def _plain(event: str) -> str:
    return " ".join(event.lower().split())
