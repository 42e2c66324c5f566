"""A fresh link to a household's page, asked for by whoever types its mail address."""

from datetime import timedelta

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.accounts.models import Channel, ChannelKind
from drainservice.reminders.actions.wanting import want
from drainservice.reminders.models import Use
from drainservice.reminders.queries.recipients import Recipient, household_of

OF_USE_FOR = timedelta(hours=6)
MINUTE = "%Y-%m-%dT%H:%M"


@transaction.atomic
def send_new_link(address: str, *, asker: Asker) -> int:
    """One mail to each person of a household who is reached by this address; none for others.

    Answers how many, which nobody outside may learn.
    """
    today = wall.today_in(accounts.the_firm().zone, asker.at)
    channels = (
        Channel.objects.standing()
        .filter(kind=ChannelKind.MAIL, address__iexact=address, person__removed_at__isnull=True)
        .filter(bad_since__isnull=True)
        .select_related("person")
        .order_by("pk")
    )
    told = set()
    for channel in channels:
        household = household_of(channel.person, today)
        if household is None or household.pk in told:
            continue
        want(
            Recipient(channel.person, household, channel),
            use=Use.NEW_LINK,
            asker=asker,
            about={"asked_at": asker.at.strftime(MINUTE)},
            expires_at=asker.at + OF_USE_FOR,
        )
        told.add(household.pk)
    return len(told)
