"""What a visit opens to its technician, and for how long."""

from datetime import time, timedelta

from drainservice.accounts import wall
from drainservice.accounts.asker import Asker
from drainservice.register.actions import close_site, open_site
from drainservice.visits.models import Visit

DAYS_BEFORE = 2
DAYS_AFTER = 7
EVENING = time(18, 0)


def open_for(visit: Visit, *, asker: Asker) -> None:
    """Let the technician see the site from two days before to a week after; contacts and codes
    only from the evening before to the end of the day. Another technician's access ends."""
    if visit.day is None or visit.technician_id is None:
        return
    close_for(visit, asker=asker, but=visit.technician_id)
    zone, day = visit.site.zone, visit.day
    midnight = time(0, 0)
    open_site(
        asker=asker,
        account_id=visit.technician_id,
        site=visit.site,
        because=f"visit:{visit.pk}",
        from_at=wall.instant(day - timedelta(days=DAYS_BEFORE), midnight, zone),
        until_at=wall.instant(day + timedelta(days=DAYS_AFTER + 1), midnight, zone),
        contacts_from_at=wall.instant(day - timedelta(days=1), EVENING, zone),
        contacts_until_at=wall.instant(day + timedelta(days=1), midnight, zone),
    )


def close_for(visit: Visit, *, asker: Asker, but: int | None = None) -> None:
    """End what this visit opened."""
    close_site(asker=asker, because=f"visit:{visit.pk}", but_account_id=but)
