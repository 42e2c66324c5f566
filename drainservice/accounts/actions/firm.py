"""The firm's one row."""

from typing import Any

from django.db import transaction

from drainservice.accounts import history, queries, wall
from drainservice.accounts.asker import Asker, CannotBeDone
from drainservice.accounts.models import Firm


class ZoneRefused(CannotBeDone):
    """No time zone has this name."""


@transaction.atomic
def set_up_firm(*, asker: Asker, **values: Any) -> Firm:
    """Write the firm's one row. Errors: ZoneRefused."""
    zone_is_known(values.get("zone", "UTC"))
    return history.enter(Firm(pk=1, **values), asker=asker)


@transaction.atomic
def change_firm(firm: Firm, *, asker: Asker, **new: Any) -> Firm:
    """Change the firm's settings. Errors: ZoneRefused, ChangedMeanwhile, RuleBroken."""
    if "zone" in new:
        zone_is_known(new["zone"])
    history.keep(firm, asker=asker, **new)
    queries.forget_firm()
    return firm


def zone_is_known(zone: str) -> None:
    """Errors: ZoneRefused, a sentence."""
    try:
        wall.find_zone(zone)
    except wall.ZoneIsUnknown as unknown:
        raise ZoneRefused(str(unknown)) from unknown
