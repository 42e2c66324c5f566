"""Mail: what is said, as text and as HTML, with the calendar part, in one message."""

from drainservice.reminders.mail.calendar import invitation_of, organizer_address
from drainservice.reminders.mail.letters import letter_for
from drainservice.reminders.mail.message import bounce_address, build

__all__ = ["bounce_address", "build", "invitation_of", "letter_for", "organizer_address"]
