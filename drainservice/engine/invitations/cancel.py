"""Taking an invitation back: for everyone, or from one person (RFC 5546, 3.2.5)."""

from drainservice.engine.invitations.entry import build_calendar, write_octets
from drainservice.engine.invitations.invitation import Invitation


def write_cancel(invitation: Invitation) -> bytes:
    """The octets of METHOD:CANCEL with STATUS:CANCELLED: the visit is called off.

    UID, organizer and attendee are those of the request; the caller has raised the sequence.
    Window and title are repeated, so that a person knows what went; an alarm is never written.
    """
    calendar, entry = build_calendar(invitation, "CANCEL")
    entry.add("STATUS", "CANCELLED")
    return write_octets(calendar)


def write_uninvite(invitation: Invitation) -> bytes:
    """The octets of METHOD:CANCEL without STATUS: the visit stays, this person is not asked.

    Source: RFC 5546, 3.2.5, on STATUS: left out where only some attendees are removed.
    """
    calendar, _ = build_calendar(invitation, "CANCEL")
    return write_octets(calendar)
