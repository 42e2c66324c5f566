"""Learning failure rates from the firm's own tests."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime

from django.db import transaction

from drainservice.engine.reliability.fleet import FleetTest, refit
from drainservice.inspections.models import FleetPrior


@transaction.atomic
def learn_from_fleet(tests: Mapping[str, list[FleetTest]], *, at: datetime) -> bool:
    """Refit the failure rates of each class of pump to the firm's own tests.

    Where they are too few (30 tests, 5 failures) nothing is stored and judgement stands; a class
    whose tests are the same in number and outcome is left as it is. Answers whether anything
    was learned.
    """
    known = {row.pump_class: row for row in FleetPrior.objects.all()}
    has_learned = False
    for pump_class, own in tests.items():
        failures = sum(not test.passed for test in own)
        row = known.get(pump_class)
        if row is not None and (row.tests, row.failures) == (len(own), failures):
            continue
        prior = refit(own)
        if prior.tests:
            values = asdict(prior) | {"made_at": at}
            FleetPrior.objects.update_or_create(pump_class=pump_class, defaults=values)
            has_learned = True
    return has_learned
