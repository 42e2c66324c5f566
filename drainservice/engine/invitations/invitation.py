"""What an invitation says, before it is put into a calendar's words."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

# RFC 5322, 3.2.3 (atext), and host names in ASCII: what every calendar takes after mailto:.
_ADDRESS = re.compile(
    r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(?:\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*"
    r"@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)*"
)
_LINK = re.compile(r"https?://[!-~]+")


class InvitationCannotBeWritten(ValueError):
    """Something the invitation needs is missing or contradicts the rest."""


class Answer(StrEnum):
    """A person's answer in a calendar's words (RFC 5545, 3.2.12, PARTSTAT)."""

    NEEDS_ACTION = "NEEDS-ACTION"
    ACCEPTED = "ACCEPTED"
    TENTATIVE = "TENTATIVE"
    DECLINED = "DECLINED"


@dataclass(frozen=True, slots=True)
class Mailbox:
    """A person's name (may be empty) and one bare ASCII mail address."""

    name: str
    address: str

    def __post_init__(self) -> None:
        if len(self.address) > 254 or not _ADDRESS.fullmatch(self.address):
            raise InvitationCannotBeWritten(
                f"{self.address!r} is not one plain mail address like name@example.com."
            )


@dataclass(frozen=True, slots=True)
class Invitation:
    """One visit as one person's calendar shall hold it.

    `uid` stays for the life of the visit; `sequence` rises with time, end, status, address and
    on a cancellation; `stamp_at` is when this message was first made, so that a retry gives the
    same octets. The window is given twice, as the promise (`start_wall`, `end_wall`: naive, by
    the clock of `zone`, whose POSIX rule is `rule`, empty if it has none) and as its instants
    (`start_at`, `end_at`: aware). `answer` is NEEDS-ACTION unless a small change keeps the
    answer on record. `blocks_time`: someone must be there. `alarm_before` zero: no alarm.

    Calendars are copied to third parties. The caller keeps out of `summary`, `description` and
    `location` all gate and alarm codes, other people, prices and notes on the yard.
    Raises InvitationCannotBeWritten.
    """

    uid: str
    sequence: int
    stamp_at: datetime
    start_wall: datetime
    end_wall: datetime
    start_at: datetime
    end_at: datetime
    zone: str
    rule: str
    summary: str
    description: str
    location: str
    organizer: Mailbox
    attendee: Mailbox
    answer: Answer
    url: str
    created_at: datetime
    last_modified_at: datetime
    is_confirmed: bool
    blocks_time: bool
    alarm_before: timedelta

    def __post_init__(self) -> None:
        for is_wrong, sentence in self._contradictions():
            if is_wrong:
                raise InvitationCannotBeWritten(sentence)

    def _contradictions(self) -> tuple[tuple[bool, str], ...]:
        instants = (
            self.stamp_at,
            self.start_at,
            self.end_at,
            self.created_at,
            self.last_modified_at,
        )
        walls = (self.start_wall, self.end_wall)
        if any(at.tzinfo is None for at in instants) or any(w.tzinfo for w in walls):
            return ((True, "Give instants with their zone and wall times without one."),)
        return (
            (not re.fullmatch(r"[!-~]{8,255}", self.uid), "The visit has no calendar UID."),
            (self.sequence < 0, "The sequence counts from 0 upward."),
            (self.end_at <= self.start_at, "The visit ends before it starts."),
            (not self.summary.strip(), "The invitation has no title."),
            (self.alarm_before < timedelta(0), "The alarm lies after the start."),
            (
                self.organizer.address.lower() == self.attendee.address.lower(),
                "The firm cannot invite itself: organizer and attendee have one address.",
            ),
            (
                bool(self.url) and not _LINK.fullmatch(self.url),
                f"The link {self.url!r} is not a plain web address.",
            ),
            (
                not re.fullmatch(r"[A-Za-z0-9_+/-]{1,64}", self.zone),
                f"{self.zone!r} is not the name of a time zone.",
            ),
        )
