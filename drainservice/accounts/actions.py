"""Letting people in, and keeping households, people and the firm's settings."""

import hashlib
import hmac
import math
from datetime import date, datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q, Value
from django.db.models.functions import Greatest

from drainservice.accounts import history, links, text, wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import (
    Account,
    Channel,
    ChannelKind,
    Firm,
    Household,
    Membership,
    OneTimeLink,
    Person,
    Throttle,
)
from drainservice.bounds import NOTE

LINK_LIVES = timedelta(minutes=30)


class TooManyTries(CannotBeDone):
    """Somebody tries too often; the known browser is not slowed by strangers."""

    def __init__(self, wait_s: float) -> None:
        self.wait_s = max(1, math.ceil(wait_s))
        super().__init__(f"Too many tries. Wait {self.wait_s} seconds and try again.")


class ZoneRefused(CannotBeDone):
    """No time zone has this name."""


@transaction.atomic
def set_up_firm(*, asker: Asker, **values: Any) -> Firm:
    """Write the firm's one row. Errors: ZoneRefused."""
    zone_is_known(values.get("zone", "UTC"))
    return history.enter(Firm(pk=1, **values), asker=asker)


@transaction.atomic
def enter_person(*, asker: Asker, name: str, note: str = "") -> Person:
    """A person with a clean name. Errors: TextRefused."""
    told = text.clean_text(note, most=NOTE, what="The note")
    return history.enter(Person(name=text.clean_name(name), note=told), asker=asker)


@transaction.atomic
def change_firm(firm: Firm, *, asker: Asker, **new: Any) -> Firm:
    """Change the firm's settings. Errors: ZoneRefused, ChangedMeanwhile, RuleBroken."""
    if "zone" in new:
        zone_is_known(new["zone"])
    return history.keep(firm, asker=asker, **new)


def zone_is_known(zone: str) -> None:
    """Errors: ZoneRefused, a sentence."""
    try:
        wall.find_zone(zone)
    except wall.ZoneIsUnknown as unknown:
        raise ZoneRefused(str(unknown)) from unknown


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
def enter_household(*, asker: Asker, name: str, language: str = "en") -> Household:
    """A household without people yet."""
    return history.enter(Household(name=text.clean_name(name), language=language), asker=asker)


@transaction.atomic
def join_household(
    person: Person, household: Household, *, asker: Asker, starts_on: date
) -> Membership:
    """From that day on the person belongs to the household."""
    return history.enter(
        Membership(person=person, household=household, starts_on=starts_on), asker=asker
    )


@transaction.atomic
def enter_channel(
    person: Person, *, asker: Asker, kind: str, address: str, rank: int = 1
) -> Channel:
    """A way to reach a person, cleaned. The same address twice is the one that stands."""
    cleaners = {ChannelKind.MAIL: text.clean_email, ChannelKind.TELEPHONE: text.clean_phone}
    if kind in cleaners:
        clean = cleaners[ChannelKind(kind)](address)
    else:
        clean = text.clean_line(address, most=254, what="The address")
    standing = Channel.objects.standing().filter(person=person, kind=kind, address=clean).first()
    if standing is not None:
        return standing  # type: ignore[no-any-return]
    return history.enter(Channel(person=person, kind=kind, address=clean, rank=rank), asker=asker)


@transaction.atomic
def stop_asking(household: Household, *, asker: Asker, because: str) -> Household:
    """Ask this household nothing any more; dangers and recalls are still told."""
    return history.keep(
        household, asker=asker, asking_stopped_at=asker.at, asking_stopped_because=because
    )


@transaction.atomic
def end_links(household: Household, *, asker: Asker) -> Household:
    """Every link the household holds ends now."""
    return history.keep(household, asker=asker, link_number=household.link_number + 1)


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


def known_browser_word(account: Account) -> str:
    """What a signed cookie says of a browser that has signed in before."""
    return hashlib.sha256(f"known:{account.pk}".encode()).hexdigest()[:16]
