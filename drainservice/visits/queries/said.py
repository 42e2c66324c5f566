"""Days and hours as sentences about rounds say them."""

from datetime import date, datetime, time

from drainservice.accounts import wall
from drainservice.accounts.models import Account


def say_day(day: date) -> str:
    """Thursday 13 May."""
    return f"{day:%A} {day.day} {day:%B}"


def say_time(at: time | datetime) -> str:
    """8, 8:30."""
    return f"{at.hour}:{at:%M}" if at.minute else f"{at.hour}"


def say_instant(at: datetime, zone: str) -> str:
    """The same on the clock of a zone."""
    return say_time(wall.local(at, zone))


def say_first_name(account: Account) -> str:
    """Andrea."""
    return account.person.name.split()[0]


def say_street(address: str) -> str:
    """Maple Ridge Rd, of 114 Maple Ridge Rd."""
    first, _, rest = address.partition(" ")
    return rest if rest and first.rstrip("abcdefABCDEF").isdigit() else address
