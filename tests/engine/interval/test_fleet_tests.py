"""A fleet's own tests, gathered system by system, replace the judged prior."""

from datetime import date

import pytest

from drainservice.engine.asbuilt.known import told
from drainservice.engine.interval.due import DueKind, StandsOn
from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.interval.fleet_tests import fleet_tests_of
from drainservice.engine.interval.settings import FirmSettings
from drainservice.engine.reliability.fleet import refit
from tests.engine.interval.makers import TODAY, bucket, make_system, proof


def system_with(*passed):
    days = [date(2025, 5, 10), date(2026, 5, 10)]
    tests = [
        proof(day, ok, mended_on=None if ok else day) for day, ok in zip(days, passed, strict=False)
    ]
    answered = FirmSettings(dead_in_spring=told(0.08))
    return make_system(tests=(*tests, bucket(date(2026, 8, 1))), settings=answered)


def test_sure_tests_are_gathered_at_the_scale_of_the_prior():
    got = fleet_tests_of(system_with(True, False))

    # A year each at 0.195, whatever the firm answered; the household's last answer is left out.
    assert [t.passed for t in got] == [True, False]
    assert [t.exposure for t in got] == pytest.approx([0.195, 0.195], rel=1e-3)
    assert fleet_tests_of(make_system(pump=None)) == []


def test_refitted_prior_governs_the_next_dates():
    # 40 systems, 80 yearly tests, 8 failures: one in ten instead of one in six.
    fleet = [system_with(True, n % 5 != 0) for n in range(40)]
    prior = refit([t for system in fleet for t in fleet_tests_of(system)])
    due = due_dates(make_system(settings=FirmSettings(prior=prior)), today=TODAY).of(DueKind.PUMP)

    assert (prior.tests, prior.failures) == (80, 8)
    assert prior.shape / prior.inverse_scale == pytest.approx(0.56, abs=0.05)
    assert due.stands_on is StandsOn.YOUR_TESTS
    assert due.posterior.mean_per_a < 0.12
