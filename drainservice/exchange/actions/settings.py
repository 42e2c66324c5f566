"""What holds for every row of a sheet: the day, the zone, and whose rules."""

from datetime import date

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.exchange.placing_words import Setting
from drainservice.register import actions as register
from drainservice.register import queries
from drainservice.register.models import Jurisdiction

NO_RULES = "Rules not entered yet"


def setting_for(today: date, *, asker: Asker, dry: bool) -> Setting:
    """The firm's zone and the only jurisdiction; where there is none yet, one that says so."""
    firm = accounts.firm()
    known = {each.name.lower(): each for each in queries.jurisdictions()}
    if known:
        fallback = known.get(NO_RULES.lower()) or min(known.values(), key=lambda each: each.pk)
    elif dry:
        fallback = Jurisdiction(name=NO_RULES)
    else:
        fallback = register.enter_jurisdiction(
            asker=asker,
            name=NO_RULES,
            wet_seasons=[],
            drain_source="assumed until the county's rule is entered; common practice, no source",
        )
    return Setting(
        today=today,
        zone=firm.zone if firm else "America/Los_Angeles",
        jurisdictions=known,
        jurisdiction=fallback,
        firm_name=firm.name if firm else "",
        units=firm.units if firm else "trade",
    )
