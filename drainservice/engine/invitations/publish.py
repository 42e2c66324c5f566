"""A visit as an entry that a person puts into their calendar themselves (RFC 5546, 3.2.1)."""

from drainservice.engine.invitations.entry import alarm, build_calendar, write_octets
from drainservice.engine.invitations.invitation import Invitation


def write_publication(invitation: Invitation) -> bytes:
    """The octets of METHOD:PUBLISH: nobody is asked, so no attendee stands in it.

    It carries the UID and sequence of the invitation, so that a calendar that holds both shows
    one entry. UTF-8, lines of at most 75 octets ended by CRLF.
    """
    calendar, entry = build_calendar(invitation, "PUBLISH")
    del entry["ATTENDEE"]
    entry.add("STATUS", "CONFIRMED" if invitation.is_confirmed else "TENTATIVE")
    if invitation.alarm_before:
        entry.add_component(alarm(invitation))
    return write_octets(calendar)
