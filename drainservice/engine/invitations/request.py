"""The invitation a person gets, the first time and after each change (RFC 5546, 3.2.2)."""

from drainservice.engine.invitations.entry import alarm, build_calendar, write_octets
from drainservice.engine.invitations.invitation import Invitation


def write_request(invitation: Invitation) -> bytes:
    """The octets of METHOD:REQUEST, UTF-8, lines of at most 75 octets ended by CRLF.

    The same invitation always gives the same octets. Times are written by the clock of the
    place with a compact VTIMEZONE, or in UTC where that clock has no short rule.
    """
    calendar, entry = build_calendar(invitation, "REQUEST")
    entry.add("STATUS", "CONFIRMED" if invitation.is_confirmed else "TENTATIVE")
    if invitation.alarm_before:
        entry.add_component(alarm(invitation))
    return write_octets(calendar)
