"""One message as octets: text, HTML and calendar as alternatives, the calendar once more as file.

Shape after RFC 6047 and the iMIP practice of CalConnect: some programs act only on the part with
a method, others only take an attached file.
"""

import re
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

import css_inline
from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation

from drainservice.accounts import links
from drainservice.reminders.mail import phrases
from drainservice.reminders.mail.calendar import calendar_part, organizer_address
from drainservice.reminders.mail.letter import Letter
from drainservice.reminders.mail.letters import letter_for
from drainservice.reminders.models import Reminder
from drainservice.reminders.queries.standing import Told, earlier, was_perhaps_sent

MOST_REFERENCES = 10


def build(one: Told, *, at: datetime) -> EmailMessage:
    """The whole message in the household's language.

    Errors: InvitationBreaksTheStandard, and nothing goes out.
    """
    with translation.override(one.household.language if one.household is not None else "en"):
        return _build(one, at)


def _build(one: Told, at: datetime) -> EmailMessage:
    letter = letter_for(one, at=at)
    calendar = calendar_part(one, at=at)
    message = EmailMessage(policy=SMTP)
    _head(message, one, letter, at)
    _add_text(message, "plain", write_text(letter))
    _add_text(message, "html", write_html(letter))
    if calendar is not None:
        method, octets = calendar
        message.add_alternative(
            octets,
            maintype="text",
            subtype="calendar",
            params={"method": method, "charset": "UTF-8"},
        )
        name = "cancelled.ics" if method == "CANCEL" else "visit.ics"
        message.add_attachment(octets, maintype="application", subtype="ics", filename=name)
    for part in message.walk():
        if part is not message:
            del part["MIME-Version"]
    # Last, since a head of the content moves into the first part when others are added.
    message["Content-Language"] = phrases.language()
    return message


def bounce_address(reminder: Reminder) -> str:
    """bounce+WORD@domain: a refusal that comes later names its message by it."""
    return f"bounce+{links.bounce_token(reminder.pk)}@{settings.MAIL_DOMAIN}"


def write_text(letter: Letter) -> str:
    """The letter as plain text, complete by itself."""
    text = render_to_string("email/letter.txt", {"letter": letter})
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def write_html(letter: Letter) -> str:
    """The letter as HTML: styles put into the parts, but the dark ones kept as rules."""
    html = render_to_string("email/letter.html", {"letter": letter, "language": phrases.language()})
    return css_inline.inline(html, keep_at_rules=True)


def _head(message: EmailMessage, one: Told, letter: Letter, at: datetime) -> None:
    reminder = one.reminder
    key_number = one.visit.address_key if one.visit is not None else 1
    organizer = organizer_address(reminder.visit_id, reminder.person_id, key_number=key_number)
    message["From"] = Address(display_name=one.firm.name, addr_spec=organizer)
    message["To"] = Address(display_name=reminder.person.name, addr_spec=reminder.address)
    message["Subject"] = letter.subject
    message["Date"] = format_datetime(at)
    message["Message-ID"] = reminder.message_id
    message["Auto-Submitted"] = "auto-generated"
    if references := _references(reminder):
        message["References"] = " ".join(references)
    if letter.stop_url:
        message["List-Unsubscribe"] = f"<{letter.stop_url}>"
        message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"


def _references(reminder: Reminder) -> list[str]:
    """Earlier messages about the visit to this person, oldest first."""
    sent = earlier(reminder).filter(was_perhaps_sent()).order_by("-job__made_at", "-job_id")
    return list(sent.values_list("message_id", flat=True)[:MOST_REFERENCES])[::-1]


def _add_text(message: EmailMessage, subtype: str, text: str) -> None:
    octets = text.replace("\r\n", "\n").replace("\n", "\r\n").encode()
    add = message.set_content if subtype == "plain" else message.add_alternative
    add(octets, maintype="text", subtype=subtype, params={"charset": "utf-8"})
