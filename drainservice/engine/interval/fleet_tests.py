"""The firm's own tests of one pump, ready to refit its class on."""

from dataclasses import replace

from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.pump_belief import evidence_of, train_of
from drainservice.engine.reliability.fleet import FleetTest


def fleet_tests_of(facts: SystemFacts) -> list[FleetTest]:
    """Sure tests of this system's pump with their exposure, for `reliability.fleet.refit`.

    Counted at the scale of the present prior, not of the firm's answer, so that the refitted prior
    stands by itself. Doubted answers and tests without any time behind them are left out.
    """
    if facts.pump is None:
        return []
    train = replace(train_of(facts, facts.pump), scale=facts.settings.prior.scale)
    _, sights = evidence_of(facts, facts.pump, train)
    return [
        FleetTest(sight.passed, sight.exposure)
        for sight in sights
        if sight.exposure > 0 and (sight.sensitivity >= 1 or not sight.passed)
    ]
