"""Signed links, one-time links and addresses that can be computed again: one module for all."""

import base64
import hashlib
import hmac
import secrets
from dataclasses import dataclass
from typing import Literal

from django.conf import settings
from django.core import signing

Purpose = Literal["answer", "yard"]
# One constant salt a purpose; never glued together from parts.
SALTS: dict[str, str] = {
    "answer": "drainservice.links.answer.1",
    "yard": "drainservice.links.yard.1",
}
LIVES_DAYS: dict[str, int] = {"answer": 400, "yard": 400}


class LinkTooOld(Exception):
    """A true link whose time or household number has passed."""


class LinkBroken(Exception):
    """No link of ours."""


@dataclass(frozen=True, slots=True)
class HouseholdLink:
    """What a household's link says: for whom, for what."""

    person_id: int
    household_id: int
    purpose: Purpose
    link_number: int
    visit_id: int | None = None
    sequence: int | None = None


def write_link(link: HouseholdLink) -> str:
    """The signed text of a link, about 75 characters."""
    value = [
        link.person_id,
        link.household_id,
        link.link_number,
        link.visit_id or 0,
        -1 if link.sequence is None else link.sequence,
    ]
    body = ".".join(str(part) for part in value)
    signer = signing.TimestampSigner(salt=SALTS[link.purpose], sep="~")
    return f"{link.purpose[0]}{signer.sign(body)}"


def read_link(text: str) -> HouseholdLink:
    """Read a link back. Errors: LinkBroken, LinkTooOld."""
    purposes: dict[str, Purpose] = {"a": "answer", "y": "yard"}
    purpose = purposes.get(text[:1])
    if purpose is None or len(text) > 300:
        raise LinkBroken
    signer = signing.TimestampSigner(salt=SALTS[purpose], sep="~")
    try:
        body = signer.unsign(text[1:], max_age=LIVES_DAYS[purpose] * 86400)
    except signing.SignatureExpired as error:
        raise LinkTooOld from error
    except signing.BadSignature as error:
        raise LinkBroken from error
    person, household, number, visit, sequence = (int(part) for part in body.split("."))
    return HouseholdLink(
        person_id=person,
        household_id=household,
        purpose=purpose,
        link_number=number,
        visit_id=visit or None,
        sequence=None if sequence < 0 else sequence,
    )


def one_time_token() -> tuple[str, str]:
    """32 random bytes for an address, and the hash that is stored."""
    token = secrets.token_urlsafe(32)
    return token, hash_of(token)


def hash_of(token: str) -> str:
    """SHA-256, in hexadecimal."""
    return hashlib.sha256(token.encode()).hexdigest()


def organizer_token(*, visit_id: int, person_id: int, key_number: int) -> str:
    """The word in visits+WORD@domain: 130 bits, the same whenever it is computed again."""
    return _word("organizer", f"{visit_id}:{person_id}", key_number)


def bounce_token(reminder_id: object, *, key_number: int = 1) -> str:
    """The word in bounce+WORD@domain."""
    return _word("bounce", str(reminder_id), key_number)


def unsubscribe_token(*, channel_id: int, kind: str = "reminders", key_number: int = 1) -> str:
    """The word in the address that stops reminders; it never ends."""
    return f"{channel_id}-{_word('unsubscribe', f'{channel_id}:{kind}', key_number)}"


def is_unsubscribe_token(text: str) -> int | None:
    """The channel that may be stopped with this word, or None."""
    number, _, _ = text.partition("-")
    if not number.isascii() or not number.isdigit() or len(number) > 18:
        return None
    right = unsubscribe_token(channel_id=int(number))
    return int(number) if hmac.compare_digest(text.encode(), right.encode()) else None


def address_hash(address: str) -> str:
    """A keyed hash of an address, so that a stopped address need not be kept readable."""
    return hmac.new(_address_key(1), b"address:" + address.lower().encode(), "sha256").hexdigest()


def _word(use: str, what: str, key_number: int) -> str:
    mac = hmac.new(_address_key(key_number), f"{use}:{what}".encode(), "sha256").digest()
    return base64.b32encode(mac).decode().lower()[:26]


def _address_key(number: int) -> bytes:
    return settings.KEYS["address"][number]
