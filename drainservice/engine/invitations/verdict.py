"""What is done with a reply: sixteen rows, the first that fits."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from enum import StrEnum

from drainservice.engine.invitations.invitation import Answer
from drainservice.engine.invitations.reply import MOST_LINES, MOST_OCTETS, Reply

READ_METHODS = ("REPLY", "COUNTER", "REFRESH")
RESEND_EVERY = timedelta(hours=1)
FARTHEST_PROPOSAL = timedelta(days=90)
LONGEST_VISIT = timedelta(days=1)


class Outcome(StrEnum):
    """What the mail's reader does next."""

    REJECT = "reject"
    BOUNCE = "bounce"
    IGNORE = "ignore"
    REVIEW = "review"
    RESEND = "resend"
    PROPOSE = "propose"
    APPLY = "apply"


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Stands where the mail has no calendar part, or none that could be read."""


@dataclass(frozen=True, slots=True)
class Arrived:
    """One mail as it came in.

    `part` is the calendar part; `method_parameter` that of its Content-Type, empty if it has
    none; `is_report` says multipart/report; `is_automatic` says Auto-Submitted: auto-replied;
    `was_seen` its Message-ID or hash came before; `is_proven` our own mail server vouches for
    the sender's domain (DMARC pass, or a DKIM signature of the sender's domain).
    """

    octets: int
    lines: int
    is_report: bool
    is_automatic: bool
    was_seen: bool
    is_proven: bool
    from_address: str
    method_parameter: str
    part: Reply | Unreadable
    at: datetime


@dataclass(frozen=True, slots=True)
class LastAnswer:
    """The answer on record that came by calendar: its sequence and time of making.

    Record a time of making no later than the arrival of its mail (a fast clock, or a forged
    one, would else shut out every later answer).
    """

    sequence: int
    stamp_at: datetime


@dataclass(frozen=True, slots=True)
class Known:
    """What is on file behind the address the mail was sent to.

    `token_is_live` False: the address is none of ours or has run out, the rest says nothing.
    `last_answers` and `resent` are empty or hold the latest only. `opens`, `closes` bound the
    hours of work and `wall_of` gives the place's wall time of an instant.
    """

    token_is_live: bool
    uid: str
    sequence: int
    attendee: str
    last_answers: tuple[LastAnswer, ...]
    resent: tuple[datetime, ...]
    opens: time
    closes: time
    wall_of: Callable[[datetime], datetime]


@dataclass(frozen=True, slots=True)
class Verdict:
    """The row that fitted (1 to 16), what follows from it, and why in one sentence."""

    row: int
    outcome: Outcome
    sentence: str


def judge(arrived: Arrived, known: Known) -> Verdict:
    """Judge one mail by the first row that fits.

    A reply may only set an answer; it never moves or calls off a visit. Sources: RFC 5546,
    2.1.5 (order by SEQUENCE, then DTSTAMP), RFC 6047, 2.4 (method), RFC 3834, 5 (automatic
    mail); the order of the rows is judgement, no source.
    """
    part = arrived.part
    for verdict in _judge_mail(arrived, known):
        return verdict
    if isinstance(part, Unreadable):
        return _unreadable(known)
    rows = (_judge_envelope, _judge_person, _judge_time, _judge_answer)
    return next(v for row in rows for v in row(arrived, part, known))


def _judge_mail(arrived: Arrived, known: Known) -> Iterator[Verdict]:
    if arrived.octets > MOST_OCTETS or arrived.lines > MOST_LINES:
        yield Verdict(1, Outcome.REJECT, "The mail is too large to be an answer.")
    if arrived.is_report:
        yield Verdict(2, Outcome.BOUNCE, "The mail server says our message was not delivered.")
    if arrived.is_automatic:
        yield Verdict(3, Outcome.IGNORE, "A machine answered, not the person.")


def _unreadable(known: Known) -> Verdict:
    if known.token_is_live:
        return Verdict(4, Outcome.REVIEW, "They wrote, but not with their calendar; read it.")
    return Verdict(4, Outcome.REJECT, "The mail holds no answer and its address is unknown.")


def _judge_envelope(arrived: Arrived, part: Reply, known: Known) -> Iterator[Verdict]:
    # A part without the parameter contradicts nothing; all later rows still hold it.
    named = arrived.method_parameter.strip().upper() or part.method
    if named != part.method or part.method not in READ_METHODS:
        yield Verdict(5, Outcome.REJECT, "The calendar part is not an answer, or says two things.")
    if not known.token_is_live:
        yield Verdict(6, Outcome.REJECT, "The address belongs to no visit, or has run out.")
    if arrived.was_seen:
        yield Verdict(7, Outcome.IGNORE, "This mail came before.")


def _judge_person(arrived: Arrived, part: Reply, known: Known) -> Iterator[Verdict]:
    for is_strange, sentence in (
        (part.uid != known.uid, "The answer is about another entry than this visit."),
        (part.entries != 1, "The answer holds several entries."),
        (len(part.attendees) != 1, "The answer does not name exactly one person."),
        (part.is_delegated or part.partstat == "DELEGATED", "They passed the visit to another."),
        (part.is_sent_by_another, "Somebody else answered for them."),
        (known.attendee.lower() not in part.attendees, "Somebody answered who was not invited."),
        (
            arrived.from_address.strip().lower() != known.attendee.lower(),
            "The answer came from another mail address.",
        ),
    ):
        if is_strange:
            yield Verdict(8, Outcome.REVIEW, sentence)
    if not arrived.is_proven:
        yield Verdict(9, Outcome.REVIEW, "The sender could not be proven.")
    if part.is_of_a_recurrence:
        yield Verdict(10, Outcome.REVIEW, "The answer is about one day of a series.")


def _judge_time(arrived: Arrived, part: Reply, known: Known) -> Iterator[Verdict]:
    if part.method == "REFRESH":
        if any(arrived.at - at < RESEND_EVERY for at in known.resent):
            yield Verdict(11, Outcome.IGNORE, "The invitation was sent again within the hour.")
        yield Verdict(11, Outcome.RESEND, "They ask for the invitation again.")
    if part.sequence != known.sequence:
        yield Verdict(12, Outcome.REVIEW, "They answered the old time.")
    if part.method == "COUNTER":
        yield _judge_proposal(arrived, part, known)


def _judge_proposal(arrived: Arrived, part: Reply, known: Known) -> Verdict:
    start_at, end_at = part.start_at, part.end_at
    if start_at is None or end_at is None or not timedelta(0) < end_at - start_at < LONGEST_VISIT:
        return Verdict(13, Outcome.REVIEW, "They propose a time that cannot be told; ask them.")
    if start_at <= arrived.at:
        return Verdict(13, Outcome.REVIEW, "They propose a time that is past.")
    if start_at - arrived.at > FARTHEST_PROPOSAL:
        return Verdict(13, Outcome.REVIEW, "They propose a time more than 90 days ahead.")
    start, end = known.wall_of(start_at), known.wall_of(end_at)
    in_hours = known.opens <= start.time() and end.time() <= known.closes
    if start.date() != end.date() or not in_hours:
        return Verdict(13, Outcome.REVIEW, "They propose a time outside the hours of work.")
    return Verdict(13, Outcome.PROPOSE, "They propose another time.")


def _judge_answer(arrived: Arrived, part: Reply, known: Known) -> Iterator[Verdict]:
    if part.partstat == Answer.NEEDS_ACTION:
        yield Verdict(14, Outcome.IGNORE, "The mail holds no answer yet.")
    made = (part.sequence, min(part.stamp_at, arrived.at))
    if any(made <= (a.sequence, a.stamp_at) for a in known.last_answers):
        yield Verdict(15, Outcome.IGNORE, "A later answer is on record.")
    if part.partstat in set(Answer):
        yield Verdict(16, Outcome.APPLY, "They answered.")
    yield Verdict(16, Outcome.REVIEW, "Their calendar gave an answer we do not know.")
