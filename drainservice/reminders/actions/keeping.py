"""What a person may do with messages: stop, hold, let go, send again; and what time takes away."""

from datetime import timedelta

from django.db import transaction

from drainservice.accounts import history, links
from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker, CannotBeDone, NotFound
from drainservice.accounts.models import Channel
from drainservice.accounts.text import clean_line
from drainservice.reminders.models import DeliveryEvent, Reminder, Suppression
from jobs import queue

OCTETS_KEPT = timedelta(days=90)


class NothingToSendAgain(CannotBeDone):
    """It went out, or is no longer true."""


@transaction.atomic
def stop_reminders(channel_id: int, *, asker: Asker) -> bool:
    """No more reminders to this address; notices of change still come. Repeating it adds nothing.

    False: there is no such address.
    """
    channel = Channel.objects.filter(pk=channel_id).first()
    if channel is None:
        return False
    hashed = links.address_hash(channel.address)
    standing = Suppression.objects.standing().filter(
        address_hash=hashed, kind="reminders", until_at__isnull=True
    )
    if standing.exists():
        return True
    stop = Suppression(
        address_hash=hashed,
        kind="reminders",
        because="The household asked us to stop reminders.",
        since_at=asker.at,
    )
    history.enter(stop, asker=asker)
    last = Reminder.objects.filter(channel=channel).order_by("-job__made_at").first()
    DeliveryEvent.objects.create(reminder=last, at=asker.at, kind="stopped", words="by the link")
    return True


@transaction.atomic
def start_reminders(channel: Channel, *, asker: Asker) -> int:
    """The household wants reminders again. Answers how many stops ended."""
    _office(asker)
    stops = Suppression.objects.standing().filter(
        address_hash=links.address_hash(channel.address), kind="reminders", until_at__isnull=True
    )
    return len(history.keep_many(list(stops), asker=asker, until_at=asker.at))


@transaction.atomic
def send_again(reminder: Reminder, *, asker: Asker) -> Reminder:
    """Try now, with the same octets and Message-ID; what waits goes out at once.

    Errors: NothingToSendAgain.
    """
    _office(asker)
    if not queue.send_again(reminder.job_id, at=asker.at):
        raise NothingToSendAgain(
            "This message has gone out, is going out now, or is no longer true, so it is not "
            "sent again. Look at the visit; a change there writes a new one."
        )
    reminder.job.refresh_from_db()
    return reminder


@transaction.atomic
def hold(reminder: Reminder, *, asker: Asker, why: str) -> None:
    """This one message stays here until it is released."""
    _office(asker)
    queue.hold_back(str(reminder.job_id), who=_who(asker), why=why, at=asker.at)


@transaction.atomic
def release(reminder: Reminder, *, asker: Asker) -> int:
    """It may go out again."""
    _office(asker)
    return queue.let_go(str(reminder.job_id), who=_who(asker), at=asker.at)


@transaction.atomic
def hold_all(*, asker: Asker, why: str) -> None:
    """Nothing goes out to anybody until it is released."""
    _office(asker)
    reason = clean_line(why, most=200, what="The reason")
    queue.hold_back("messages", who=_who(asker), why=reason, at=asker.at)


@transaction.atomic
def release_all(*, asker: Asker) -> int:
    """Messages go out again."""
    _office(asker)
    return queue.let_go("messages", who=_who(asker), at=asker.at)


def empty_old(*, asker: Asker) -> int:
    """Empty the octets and addresses of messages made 90 days ago. Answers how many."""
    old = Reminder.objects.filter(made_at__lt=asker.at - OCTETS_KEPT, octets__isnull=False)
    return old.update(octets=None, address="")


def _office(asker: Asker) -> None:
    if not accounts.may(asker, "hold_back_messages"):
        raise NotFound


def _who(asker: Asker) -> str:
    return asker.named()[:80]
