"""Keeping households, their people, and how each is reached."""

from datetime import date
from typing import Any

from django.db import transaction

from drainservice.accounts import history, text
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import (
    Away,
    Channel,
    ChannelKind,
    Household,
    Membership,
    Person,
)
from drainservice.bounds import NOTE


class QuietHoursRefused(CannotBeDone):
    """Quiet hours with one end only."""


@transaction.atomic
def enter_person(*, asker: Asker, name: str, note: str = "") -> Person:
    """A person with a clean name. Errors: TextRefused."""
    told = text.clean_text(note, most=NOTE, what="The note")
    return history.enter(Person(name=text.clean_name(name), note=told), asker=asker)


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
    clean = clean_address(kind, address)
    standing = Channel.objects.standing().filter(person=person, kind=kind, address=clean).first()
    if standing is not None:
        return standing  # type: ignore[no-any-return]
    return history.enter(Channel(person=person, kind=kind, address=clean, rank=rank), asker=asker)


def clean_address(kind: str, address: str) -> str:
    """An address as it is stored, by its kind. Errors: TextRefused."""
    if kind == ChannelKind.MAIL:
        return text.clean_email(address)
    if kind in {ChannelKind.TELEPHONE, ChannelKind.TEXT}:
        return text.clean_phone(address)
    return text.clean_line(address, most=254, what="The address")


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


@transaction.atomic
def change_person(person: Person, *, asker: Asker, name: str, note: str = "") -> Person:
    """Another name or note. Errors: TextRefused, ChangedMeanwhile."""
    told = text.clean_text(note, most=NOTE, what="The note")
    return history.keep(person, asker=asker, name=text.clean_name(name), note=told)


@transaction.atomic
def change_channel(channel: Channel, *, asker: Asker, **new: Any) -> Channel:
    """Another address, rank or consent; an address that was mended is tried again.

    Errors: TextRefused, ChangedMeanwhile, RuleBroken.
    """
    if "address" in new:
        kind = new.get("kind", channel.kind)
        new["address"] = clean_address(kind, new["address"])
        if new["address"] != channel.address:
            new["bad_since"] = None
    if "consent_how" in new and new["consent_how"] != channel.consent_how:
        new["consent_at"] = asker.at if new["consent_how"] else None
    return history.keep(channel, asker=asker, **new)


@transaction.atomic
def mark_channel(channel: Channel, *, asker: Asker, is_bad: bool) -> Channel:
    """An address that reaches nobody is passed over until it is marked good again."""
    if is_bad == (channel.bad_since is not None):
        return channel
    return history.keep(channel, asker=asker, bad_since=asker.at if is_bad else None)


@transaction.atomic
def change_household(household: Household, *, asker: Asker, **new: Any) -> Household:
    """Name, language, quiet hours, note. Errors: TextRefused, ChangedMeanwhile, RuleBroken."""
    if "name" in new:
        new["name"] = text.clean_name(new["name"])
    if "note" in new:
        new["note"] = text.clean_text(new["note"], most=NOTE, what="The note")
    if (new.get("quiet_from") is None) != (new.get("quiet_until") is None):
        raise QuietHoursRefused("Quiet hours have a beginning and an end; give both or neither.")
    return history.keep(household, asker=asker, **new)


@transaction.atomic
def ask_again(household: Household, *, asker: Asker) -> Household:
    """Somebody of the household wants to be asked again."""
    return history.keep(household, asker=asker, asking_stopped_at=None, asking_stopped_because="")


@transaction.atomic
def enter_away(household: Household, *, asker: Asker, **values: Any) -> Away:
    """Days on which nobody is home. Errors: RuleBroken."""
    return history.enter(Away(household=household, **values), asker=asker)


@transaction.atomic
def change_away(away: Away, *, asker: Asker, **new: Any) -> Away:
    """Other days, another key holder. Errors: ChangedMeanwhile, RuleBroken."""
    return history.keep(away, asker=asker, **new)


@transaction.atomic
def take_off(row: Channel | Away, *, asker: Asker) -> None:
    """A way to reach somebody, or days away, that no longer hold; they stay in history."""
    history.remove(row, asker=asker)
