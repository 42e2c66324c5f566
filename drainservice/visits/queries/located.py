"""On which days a visit that digs can be agreed: those of a valid locate ticket."""

from datetime import date

from drainservice.register.models import Site
from drainservice.register.queries import locate_tickets_of
from drainservice.visits.queries.said import say_day


def say_located(site: Site, today: date) -> str:
    """From when until when the utilities are marked, as far as it lies ahead."""
    ahead = locate_tickets_of(site).filter(valid_until__gte=today).order_by("valid_from", "pk")
    spans = [
        f"{say_day(max(row.valid_from, today))} to {say_day(row.valid_until)}" for row in ahead
    ]
    if not spans:
        return (
            "It digs, and no utility locate ticket is valid from today on, so no day can be "
            "agreed; have the utilities located and enter the ticket on the page of the site."
        )
    return f"It digs, so it can be agreed for the days of its locate ticket: {'; '.join(spans)}."
