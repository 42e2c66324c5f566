"""Letting people in: accounts, links that work once, and slowing down who tries too often."""

import hmac
import math
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q, Value
from django.db.models.functions import Greatest

from drainservice.accounts import history, links
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import (
    Account,
    OneTimeLink,
    Person,
    Role,
    Throttle,
)

LINK_LIVES = timedelta(minutes=30)


class TooManyTries(CannotBeDone):
    """Somebody tries too often; the known browser is not slowed by strangers."""

    def __init__(self, wait_s: float) -> None:
        self.wait_s = max(1, math.ceil(wait_s))
        super().__init__(f"Too many tries. Wait {self.wait_s} seconds and try again.")


class OneOwnerStays(CannotBeDone):
    """The last owner can be neither switched off nor given another role."""


@transaction.atomic
def enter_account(
    *, asker: Asker, person: Person, name: str, role: str, handle: str, password: str = ""
) -> Account:
    """Give a person of the firm a way to sign in; without a password, by one-time links only."""
    account = Account(person=person, name=name, role=role, handle=handle)
    if password:
        account.set_password(password)
    else:
        account.set_unusable_password()
    return history.enter(account, asker=asker)


@transaction.atomic
def change_account(account: Account, *, asker: Asker, **new: Any) -> Account:
    """Another role, or switched off or on. Errors: OneOwnerStays, ChangedMeanwhile."""
    stays = new.get("is_active", account.is_active) and new.get("role", account.role) == Role.OWNER
    was = account.is_active and account.role == Role.OWNER
    if was and not stays and not _other_owners(account):
        raise OneOwnerStays(
            "This is the only owner, and somebody must be able to change the settings. Make "
            "somebody else an owner first."
        )
    return history.keep(account, asker=asker, **new)


def _other_owners(account: Account) -> bool:
    # Locked, so that two owners do not switch each other off at once.
    owners = Account.objects.select_for_update().filter(
        role=Role.OWNER, is_active=True, removed_at__isnull=True
    )
    return any(owner.pk != account.pk for owner in owners)


def let_in_link(account: Account, *, at: datetime) -> str:
    """A way in that works once within half an hour. Only this answer ever holds the token."""
    token, token_hash = links.one_time_token()
    OneTimeLink.objects.create(
        token_hash=token_hash,
        purpose="let_in",
        account=account,
        made_at=at,
        expires_at=at + LINK_LIVES,
    )
    return f"{settings.PUBLIC_URL}/in/{token}"


def demo_link(*, at: datetime) -> str:
    """One address whose page has a button for each audience; only for a demo's database."""
    token, token_hash = links.one_time_token()
    OneTimeLink.objects.create(
        token_hash=token_hash, purpose="demo", made_at=at, expires_at=at + timedelta(days=2)
    )
    return f"{settings.PUBLIC_URL}/in/{token}"


def look_at_link(token: str, *, at: datetime) -> OneTimeLink | None:
    """What a one-time link would do, without using it up."""
    is_on = Q(account__is_active=True, account__removed_at__isnull=True)
    links_now = OneTimeLink.objects.select_related("account__person").filter(
        Q(account__isnull=True) | is_on,
        token_hash=links.hash_of(token),
        used_at__isnull=True,
        expires_at__gt=at,
    )
    return links_now.first()


def use_link(token: str, *, at: datetime) -> OneTimeLink | None:
    """Claim a one-time link by one conditional update; None if it is used, old or not ours.

    A demonstration's link lets in each audience in turn, so it is not used up.
    """
    link = look_at_link(token, at=at)
    if link is None or link.purpose == "demo":
        return link
    mine = OneTimeLink.objects.filter(pk=link.pk, used_at__isnull=True)
    return link if mine.update(used_at=at) else None


def slow_down(what: str, who: str, *, at: datetime, most: int, every_s: float) -> None:
    """Let `most` tries pass at once and then one each `every_s`. Errors: TooManyTries.

    Generic cell rate algorithm (ITU-T I.371, from memory) by one upsert in the database.
    """
    key = hmac.new(settings.KEYS["address"][1], f"{what}:{who}".encode(), "sha256").hexdigest()
    now = at.timestamp()
    with transaction.atomic():
        Throttle.objects.bulk_create([Throttle(key=key, next_at=now)], ignore_conflicts=True)
        # The arrival time may run ahead of the clock by so many tries.
        allowed = Throttle.objects.filter(key=key, next_at__lte=now + every_s * (most - 1))
        if allowed.update(next_at=Greatest(F("next_at"), Value(now)) + every_s):
            return
        ahead = Throttle.objects.get(key=key).next_at - now
    raise TooManyTries(ahead - every_s * (most - 1))


def forget_old_tries(*, at: datetime) -> None:
    """Clear the marks of tries whose waiting is a day over."""
    Throttle.objects.filter(next_at__lt=at.timestamp() - 86_400).delete()
