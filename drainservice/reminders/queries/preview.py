"""The kept octets read back: what went out, part by part."""

from dataclasses import dataclass, field
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default

from drainservice.reminders.models import Reminder


@dataclass(frozen=True, slots=True)
class Preview:
    """A message as its reader gets it. `method` is the calendar part's; empty without one."""

    headers: list[tuple[str, str]] = field(default_factory=list)
    text: str = ""
    html: str = ""
    calendar: str = ""
    method: str = ""
    octets_long: int = 0

    @property
    def subject(self) -> str:
        """Its subject."""
        return next((value for name, value in self.headers if name == "Subject"), "")


def preview_of(reminder: Reminder) -> Preview | None:
    """None where it was not written yet, or its octets were emptied after 90 days."""
    return None if reminder.octets is None else read(bytes(reminder.octets))


def read(octets: bytes) -> Preview:
    """The parts of a message of ours."""
    message = message_from_bytes(octets, policy=default)
    texts = {"text/plain": "", "text/html": "", "text/calendar": ""}
    method = ""
    for part in message.walk():
        kind = part.get_content_type()
        if kind in texts and not part.is_attachment():
            texts[kind] = _content(part)
            method = str(part.get_param("method") or "") if kind == "text/calendar" else method
    return Preview(
        headers=[(name, str(value)) for name, value in message.items()],
        text=texts["text/plain"],
        html=texts["text/html"],
        calendar=texts["text/calendar"],
        method=method,
        octets_long=len(octets),
    )


def _content(part: EmailMessage) -> str:
    return bytes(part.get_payload(decode=True) or b"").decode("utf-8", "replace")
