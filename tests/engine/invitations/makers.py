"""An ordinary invitation, to be changed in the one thing a test is about."""

import dataclasses
from datetime import UTC, date, datetime, time, timedelta

from drainservice.accounts.wall import instant, posix_rule
from drainservice.engine.invitations.invitation import Answer, Invitation, Mailbox

UID = "3f0d2a52-5a0c-4f0e-9c39-6c1d6a1f7b11"
ZONE = "America/New_York"


def make_invitation(**changes):
    """An agreed visit on Tuesday 16 March 2027, 9 to 11 in New York, first sent in November."""
    written_at = datetime(2026, 11, 25, 12, 30, 15, tzinfo=UTC)
    ordinary = Invitation(
        uid=UID,
        sequence=0,
        stamp_at=written_at,
        start_wall=datetime(2027, 3, 16, 9),
        end_wall=datetime(2027, 3, 16, 11),
        start_at=datetime(2027, 3, 16, 13, tzinfo=UTC),
        end_at=datetime(2027, 3, 16, 15, tzinfo=UTC),
        zone=ZONE,
        rule="EST5EDT,M3.2.0,M11.1.0",
        summary="Your drain: yearly look, 9 to 11",
        description="We look at the pit by the driveway; please clear the lid.\nThank you",
        location="12 Elm Road, Millbrook",
        organizer=Mailbox("Clearwell Yard Drains", "visits+k7q4md@example.com"),
        attendee=Mailbox("Ann Lee", "ann.lee@example.org"),
        answer=Answer.NEEDS_ACTION,
        url="https://drains.example.com/y/abc",
        created_at=datetime(2026, 11, 20, 8, tzinfo=UTC),
        last_modified_at=written_at,
        is_confirmed=True,
        blocks_time=False,
        alarm_before=timedelta(days=1),
    )
    return dataclasses.replace(ordinary, **changes)


def promise(day: date, zone: str, start: time = time(9), end: time = time(11)):
    """The changes that give an invitation this window, its instants and its zone's rule."""
    return {
        "start_wall": datetime.combine(day, start),
        "end_wall": datetime.combine(day, end),
        "start_at": instant(day, start, zone),
        "end_at": instant(day, end, zone),
        "zone": zone,
        "rule": posix_rule(zone),
    }
