"""How a message is made ready and sent: judged, rendered once, the octets kept."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from uuid import UUID

from drainservice.accounts import history
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import clock as asking_clock
from drainservice.accounts.models import Household
from drainservice.reminders import mail, smtp
from drainservice.reminders.models import DeliveryEvent, Reminder
from drainservice.reminders.queries.standing import Told, judge, told
from jobs.outcome import Ended, Later, Post, Ready, Sent

# RFC 3463: the mailbox or its domain is not there (5.1.1-3, 5.1.6, 5.1.10), or is shut (5.2.1).
GONE = ("5.1.1", "5.1.2", "5.1.3", "5.1.6", "5.1.10", "5.2.1")


class Mail:
    """Messages by mail, as the queue sends them."""

    def prepare(self, row_id: UUID, *, at: datetime) -> Ready | Ended | Later:
        """Still true? Then the octets, rendered at the first try and the same at every other."""
        reminder = Reminder.objects.select_related(
            "job", "person", "channel", "visit__site", "visit__technician__person"
        ).get(job_id=row_id)
        firm = accounts.the_firm()
        one = told(reminder, firm, at=at)
        if one.household is not None:
            # One of a household at a time, so that its asks are counted right.
            Household.objects.select_for_update().get(pk=one.household.pk)
        verdict = judge(one, at=at)
        if verdict is not None:
            return verdict
        if reminder.octets is None:
            _render(one, at)
        reminder.kept_here = smtp.relay_in_use(is_demo=firm.is_demo) is None
        reminder.save(
            update_fields=["subject", "octets", "made_at", "kept_here", "address", "message_id"]
        )
        return Ready(
            octets=bytes(reminder.octets or b""),
            sender=mail.bounce_address(reminder),
            recipient=reminder.address,
            details={"kept_here": reminder.kept_here},
        )

    def settled(self, row_id: UUID, *, at: datetime, state: str, sent: Sent | None) -> None:
        """A recipient that is not there makes the address bad: a person must mend it."""
        if sent is None or state != "refused" or not sent.reply.startswith(GONE):
            return
        reminder = Reminder.objects.select_related("channel").get(job_id=row_id)
        DeliveryEvent.objects.get_or_create(
            reminder=reminder,
            kind="refused",
            status=sent.reply.split()[0][:20],
            defaults={"at": at, "words": sent.reply[:1000]},
        )
        if reminder.channel.bad_since is None:
            asker = asking_clock(at, door="mail")
            history.keep(reminder.channel, asker=asker, bad_since=at)

    @contextmanager
    def open_post(self) -> Iterator[Post]:
        """One line for a batch, or the mailbox page."""
        relay = smtp.relay_in_use(is_demo=accounts.the_firm().is_demo)
        if relay is None:
            yield Mailbox()
            return
        with smtp.open_line(relay) as line:
            yield Choice(line)


class Mailbox:
    """The mailbox page takes the mail; it leaves the machine by no way."""

    def send(self, ready: Ready, *, still_ours: Callable[[], bool]) -> Sent:
        """Kept with its octets; there is nothing to send."""
        return Sent("sent", "kept", reply="kept here")


class Choice:
    """The line, but for a message that was made ready to be kept here."""

    def __init__(self, line: smtp.Line) -> None:
        self.line = line

    def send(self, ready: Ready, *, still_ours: Callable[[], bool]) -> Sent:
        """By the line, or kept."""
        post: Post = Mailbox() if ready.details.get("kept_here") else self.line
        return post.send(ready, still_ours=still_ours)


def _render(one: Told, at: datetime) -> None:
    reminder = one.reminder
    # The address as it stands now; from here on it is the one that was written to.
    reminder.address = reminder.channel.address
    message = mail.build(one, at=at)
    reminder.subject = str(message["Subject"])[:200]
    reminder.octets = message.as_bytes()
    reminder.made_at = at
