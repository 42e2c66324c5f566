"""The sixteen rows by which a reply is judged, each reached, and their order kept."""

import dataclasses
from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.accounts.wall import local
from drainservice.engine.invitations.reply import MOST_LINES, MOST_OCTETS, Reply
from drainservice.engine.invitations.verdict import (
    Arrived,
    Known,
    LastAnswer,
    Outcome,
    Unreadable,
    judge,
)
from tests.engine.invitations.makers import UID, ZONE

NOW = datetime(2027, 3, 1, 12, 5, tzinfo=UTC)
STAMP = datetime(2027, 3, 1, 12, tzinfo=UTC)
ANN = "ann.lee@example.org"

REPLY = Reply(
    method="REPLY",
    uid=UID,
    sequence=2,
    stamp_at=STAMP,
    attendees=(ANN,),
    partstat="ACCEPTED",
    is_delegated=False,
    is_sent_by_another=False,
    is_of_a_recurrence=False,
    entries=1,
    # 17 March 2027, 9:00 to 11:00 in New York (UTC - 4).
    start_at=datetime(2027, 3, 17, 13, tzinfo=UTC),
    end_at=datetime(2027, 3, 17, 15, tzinfo=UTC),
    comment="",
)
ARRIVED = Arrived(
    octets=4_000,
    lines=80,
    is_report=False,
    is_automatic=False,
    was_seen=False,
    is_proven=True,
    from_address="Ann.Lee@example.org",
    method_parameter="reply",
    part=REPLY,
    at=NOW,
)
KNOWN = Known(
    token_is_live=True,
    uid=UID,
    sequence=2,
    attendee=ANN,
    last_answers=(),
    resent=(),
    opens=time(8),
    closes=time(18),
    wall_of=lambda at: local(at, ZONE).replace(tzinfo=None),
)


def arrive(**changes):
    """The ordinary mail with changes to it or, by their names, to its calendar part."""
    fields = {f.name for f in dataclasses.fields(Arrived)}
    in_part = {name: value for name, value in changes.items() if name not in fields}
    in_mail = {name: value for name, value in changes.items() if name in fields}
    part = {"part": dataclasses.replace(REPLY, **in_part)} if in_part else {}
    return dataclasses.replace(ARRIVED, **{**part, **in_mail})


def know(**changes):
    return dataclasses.replace(KNOWN, **changes)


def counter(**changes):
    return arrive(method="COUNTER", method_parameter="COUNTER", **changes)


def refresh(**changes):
    return arrive(method="REFRESH", method_parameter="REFRESH", **changes)


DEAD = know(token_is_live=False)

ROWS = [
    (arrive(octets=MOST_OCTETS + 1), KNOWN, 1, Outcome.REJECT),
    (arrive(lines=MOST_LINES + 1), KNOWN, 1, Outcome.REJECT),
    (arrive(is_report=True), KNOWN, 2, Outcome.BOUNCE),
    (arrive(is_automatic=True), KNOWN, 3, Outcome.IGNORE),
    (arrive(part=Unreadable()), KNOWN, 4, Outcome.REVIEW),
    (arrive(part=Unreadable()), DEAD, 4, Outcome.REJECT),
    (arrive(method_parameter="REQUEST"), KNOWN, 5, Outcome.REJECT),
    (arrive(method="REQUEST", method_parameter="REQUEST"), KNOWN, 5, Outcome.REJECT),
    (arrive(method="", method_parameter=""), KNOWN, 5, Outcome.REJECT),
    (arrive(), DEAD, 6, Outcome.REJECT),
    (arrive(was_seen=True), KNOWN, 7, Outcome.IGNORE),
    (arrive(uid="another"), KNOWN, 8, Outcome.REVIEW),
    (arrive(entries=2), KNOWN, 8, Outcome.REVIEW),
    (arrive(attendees=(ANN, "lee@example.org")), KNOWN, 8, Outcome.REVIEW),
    (arrive(attendees=()), KNOWN, 8, Outcome.REVIEW),
    (arrive(is_delegated=True), KNOWN, 8, Outcome.REVIEW),
    (arrive(partstat="DELEGATED"), KNOWN, 8, Outcome.REVIEW),
    (arrive(is_sent_by_another=True), KNOWN, 8, Outcome.REVIEW),
    (arrive(attendees=("lee@example.org",)), KNOWN, 8, Outcome.REVIEW),
    (arrive(from_address="lee@example.org"), KNOWN, 8, Outcome.REVIEW),
    (arrive(is_proven=False), KNOWN, 9, Outcome.REVIEW),
    (arrive(is_of_a_recurrence=True), KNOWN, 10, Outcome.REVIEW),
    (refresh(), KNOWN, 11, Outcome.RESEND),
    (refresh(sequence=0), KNOWN, 11, Outcome.RESEND),
    (refresh(), know(resent=(NOW - timedelta(minutes=59),)), 11, Outcome.IGNORE),
    (refresh(), know(resent=(NOW - timedelta(minutes=60),)), 11, Outcome.RESEND),
    (arrive(sequence=1), KNOWN, 12, Outcome.REVIEW),
    (arrive(sequence=3), KNOWN, 12, Outcome.REVIEW),
    (counter(), KNOWN, 13, Outcome.PROPOSE),
    (counter(start_at=None), KNOWN, 13, Outcome.REVIEW),
    (counter(end_at=REPLY.start_at), KNOWN, 13, Outcome.REVIEW),
    (counter(end_at=datetime.max.replace(tzinfo=UTC)), KNOWN, 13, Outcome.REVIEW),
    (counter(start_at=NOW - timedelta(hours=1), end_at=NOW), KNOWN, 13, Outcome.REVIEW),
    # 11:59 UTC is 7:59 in New York, before the crew starts; 22:01 is 18:01, after it ends.
    (counter(start_at=datetime(2027, 3, 17, 11, 59, tzinfo=UTC)), KNOWN, 13, Outcome.REVIEW),
    (counter(start_at=datetime(2027, 3, 17, 12, 0, tzinfo=UTC)), KNOWN, 13, Outcome.PROPOSE),
    (counter(end_at=datetime(2027, 3, 17, 22, 1, tzinfo=UTC)), KNOWN, 13, Outcome.REVIEW),
    # To 10:00 the next morning: within hours at both ends, but through the night.
    (
        counter(
            start_at=datetime(2027, 3, 17, 20, tzinfo=UTC),
            end_at=datetime(2027, 3, 18, 14, tzinfo=UTC),
        ),
        KNOWN,
        13,
        Outcome.REVIEW,
    ),
    (
        counter(
            start_at=datetime(2027, 5, 31, 13, tzinfo=UTC),
            end_at=datetime(2027, 5, 31, 14, tzinfo=UTC),
        ),
        KNOWN,
        13,
        Outcome.REVIEW,
    ),
    (arrive(partstat="NEEDS-ACTION"), KNOWN, 14, Outcome.IGNORE),
    (arrive(), know(last_answers=(LastAnswer(2, STAMP),)), 15, Outcome.IGNORE),
    (
        arrive(),
        know(last_answers=(LastAnswer(2, STAMP + timedelta(seconds=1)),)),
        15,
        Outcome.IGNORE,
    ),
    (
        arrive(),
        know(last_answers=(LastAnswer(2, STAMP - timedelta(seconds=1)),)),
        16,
        Outcome.APPLY,
    ),
    (arrive(), know(last_answers=(LastAnswer(1, STAMP + timedelta(days=1)),)), 16, Outcome.APPLY),
    (arrive(partstat="ACCEPTED"), KNOWN, 16, Outcome.APPLY),
    (arrive(partstat="TENTATIVE"), KNOWN, 16, Outcome.APPLY),
    (arrive(partstat="DECLINED"), KNOWN, 16, Outcome.APPLY),
    (arrive(partstat="IN-PROCESS"), KNOWN, 16, Outcome.REVIEW),
    # A part that names no method parameter contradicts nothing.
    (arrive(method_parameter=""), KNOWN, 16, Outcome.APPLY),
]


@pytest.mark.parametrize(("mail", "known", "row", "outcome"), ROWS)
def test_judges_by_the_first_row_that_fits(mail, known, row, outcome):
    verdict = judge(mail, known)

    assert (verdict.row, verdict.outcome) == (row, outcome)
    assert verdict.sentence.endswith(".")


def test_reaches_every_row():
    assert {row for _, _, row, _ in ROWS} == set(range(1, 17))


def test_an_earlier_row_wins_over_all_later_ones():
    """A mail with every fault at once; mending them one by one leads from row to row."""
    faults = {
        "octets": MOST_OCTETS + 1,
        "is_report": True,
        "is_automatic": True,
        "method_parameter": "REQUEST",
        "was_seen": True,
        "uid": "another",
        "is_proven": False,
        "is_of_a_recurrence": True,
        "sequence": 1,
        "partstat": "NEEDS-ACTION",
    }
    rows = []
    for name in list(faults):
        rows.append(judge(arrive(**faults), KNOWN).row)
        del faults[name]

    assert rows == [1, 2, 3, 5, 7, 8, 9, 10, 12, 14]
    assert judge(arrive(**faults), KNOWN).row == 16


def test_no_reply_ever_does_more_than_set_an_answer():
    # The outcomes are all there is: none moves or calls off a visit.
    assert {outcome.value for outcome in Outcome} == {
        "reject",
        "bounce",
        "ignore",
        "review",
        "resend",
        "propose",
        "apply",
    }


def test_a_clock_that_runs_ahead_does_not_shut_out_the_next_answer():
    # The first answer claimed next year; recorded, as told, no later than its arrival.
    known = know(last_answers=(LastAnswer(2, NOW - timedelta(minutes=5, seconds=1)),))

    assert judge(arrive(stamp_at=NOW + timedelta(days=365)), known).outcome is Outcome.APPLY
    assert judge(arrive(), known).outcome is Outcome.APPLY


def test_a_forged_future_does_not_outrank_what_came_after_its_arrival():
    known = know(last_answers=(LastAnswer(2, NOW + timedelta(minutes=1)),))

    assert judge(arrive(stamp_at=NOW + timedelta(days=365)), known).row == 15


moments = st.datetimes(datetime(1, 1, 2), datetime(9999, 12, 30), timezones=st.just(UTC))


@given(
    st.builds(
        dataclasses.replace,
        st.just(REPLY),
        method=st.sampled_from(["REPLY", "COUNTER", "REFRESH"]),
        stamp_at=moments,
        start_at=st.none() | moments,
        end_at=st.none() | moments,
        partstat=st.sampled_from(["ACCEPTED", "NEEDS-ACTION", "", "X-OTHER"]),
        sequence=st.integers(0, 3),
    )
)
def test_always_comes_to_one_verdict(part):
    verdict = judge(arrive(part=part, method_parameter=part.method), KNOWN)

    assert verdict.row in range(11, 17)
    assert verdict.outcome is not Outcome.APPLY or part.partstat == "ACCEPTED"
