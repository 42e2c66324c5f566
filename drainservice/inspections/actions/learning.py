"""Learning failure rates from the firm's own tests."""

from collections.abc import Iterator

from django.db import transaction

from drainservice.accounts import queries as accounts
from drainservice.accounts.asker import Asker
from drainservice.engine.interval.fleet_tests import fleet_tests_of
from drainservice.engine.reliability.fleet import FleetTest, refit
from drainservice.inspections.models import FleetPrior
from drainservice.inspections.queries.facts import facts_of, settings_of
from drainservice.inspections.queries.gathered import gather
from drainservice.register import queries as register
from drainservice.register.models import System

BATCH = 200


def batches() -> Iterator[list[int]]:
    """Numbers of all systems, so many at a time."""
    last = 0
    while True:
        ids = list(
            System.objects.standing()
            .filter(pk__gt=last)
            .order_by("pk")
            .values_list("pk", flat=True)[:BATCH]
        )
        if not ids:
            return
        yield ids
        last = ids[-1]


@transaction.atomic
def learn_from_fleet(*, asker: Asker) -> int:
    """Refit the failure rates of each class of pump to the firm's own tests.

    Where they are too few (30 tests, 5 failures) nothing is stored and judgement stands. A class
    whose tests did not change is not refitted. Answers how many classes stand on own tests.
    """
    tests: dict[str, list[FleetTest]] = {}
    settings = settings_of(accounts.the_firm())
    for ids in batches():
        behind = gather(ids)
        for whole in register.wholes(System.objects.filter(pk__in=ids), day=asker.at.date()):
            facts = facts_of(whole, behind, settings=settings, priors={}, at=asker.at)
            if facts.pump is not None:
                tests.setdefault(str(facts.pump.pump_class), []).extend(fleet_tests_of(facts))
    known = {row.pump_class: row for row in FleetPrior.objects.all()}
    for pump_class, own in tests.items():
        failures = sum(not test.passed for test in own)
        row = known.get(pump_class)
        if row is not None and (row.tests, row.failures) == (len(own), failures):
            continue
        prior = refit(own)
        if prior.tests:
            values = {
                "shape": prior.shape,
                "inverse_scale": prior.inverse_scale,
                "scale": prior.scale,
                "tests": prior.tests,
                "failures": prior.failures,
                "made_at": asker.at,
            }
            FleetPrior.objects.update_or_create(pump_class=pump_class, defaults=values)
    return FleetPrior.objects.count()
