"""By what a row's site, people and facts are known again: in another spelling, in another file."""

import hashlib
import json
import re
from collections.abc import Mapping
from typing import Any

from drainservice.exchange.people_places import address_key, name_key

SAME_SIZE = 0.012  # 36 in and 0.91 m are one measure, rounded


def full_address(facts: Mapping[str, Any]) -> str:
    """Street and unit on one line, as the register keeps them."""
    unit = str(facts.get("site.address_2", "")).strip()
    street = str(facts["site.address"]).strip()
    return f"{street}, {unit}" if unit else street


def site_key(facts: Mapping[str, Any]) -> str:
    """Equal for two spellings of one address."""
    return address_key(full_address(facts))


def slip_key(key: str) -> tuple[str, ...]:
    """Equal for two house numbers of one street whose figures only stand in another order."""
    first, *street = key.split() or [""]
    return ("".join(sorted(first)), *street)


def channel_key(address: str) -> str:
    """A mail address in small letters; a telephone's digits, without the country of ten digits."""
    if "@" in address:
        return address.strip().lower()
    number, _, extension = address.lower().partition("x")
    digits = re.sub(r"\D", "", number)
    if len(digits) == 11 and digits.startswith("1"):
        digits = digits[1:]
    return f"{digits}x{extension.strip()}" if extension.strip() else digits


def person_keys(name: str, channels: list[str]) -> list[tuple[str, str]]:
    """Name with each channel: two people of one name are one only where they share one."""
    return [(name_key(name), channel_key(channel)) for channel in channels]


def fingerprint(facts: Mapping[str, Any]) -> str:
    """Equal for the same facts in whatever order, file or rounding of the fourth figure."""
    told = json.dumps(_plain(dict(facts)), sort_keys=True, ensure_ascii=True, default=str)
    return hashlib.sha256(told.encode()).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, bool):
        return value
    if isinstance(value, float):
        return float(f"{value:.4g}")
    if isinstance(value, dict):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return " ".join(value.lower().split()) if isinstance(value, str) else value


def agrees(told: Any, known: Any) -> bool:
    """Whether two values say the same: words apart from case, numbers within a rounding."""
    if isinstance(told, bool) or isinstance(known, bool):
        return told is known
    if isinstance(told, int | float) and isinstance(known, int | float):
        return abs(told - known) <= SAME_SIZE * max(abs(told), abs(known))
    if isinstance(told, str) and isinstance(known, str):
        return " ".join(told.lower().split()) == " ".join(known.lower().split())
    return bool(told == known)
