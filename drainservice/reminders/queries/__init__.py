"""Messages as the office sees them. Reads only."""

from drainservice.reminders.queries.calls import Call, call_list, numbers_of
from drainservice.reminders.queries.listing import (
    Hour,
    coming,
    failed,
    held,
    is_held,
    mailbox,
    recent,
    reminder_for,
    reminders_for,
    reminders_of_visits,
)
from drainservice.reminders.queries.preview import Preview, preview_of
from drainservice.reminders.queries.recipients import (
    Recipient,
    people_without_mail,
    recipient_of,
    recipients,
)
from drainservice.reminders.queries.telling import USE_WORDS, Moment, phrase, timeline

__all__ = [
    "USE_WORDS",
    "Call",
    "Hour",
    "Moment",
    "Preview",
    "Recipient",
    "call_list",
    "coming",
    "failed",
    "held",
    "is_held",
    "mailbox",
    "numbers_of",
    "people_without_mail",
    "phrase",
    "preview_of",
    "recent",
    "recipient_of",
    "recipients",
    "reminder_for",
    "reminders_for",
    "reminders_of_visits",
    "timeline",
]
