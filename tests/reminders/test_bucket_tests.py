"""Whom we ask for the quarterly bucket test, and whom we leave alone."""

from datetime import date, timedelta

import pytest

from drainservice.inspections import actions as inspections
from drainservice.inspections.models import Down
from drainservice.reminders import actions
from drainservice.reminders.models import Reminder
from tests import makers

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)


def asked():
    return Reminder.objects.filter(use="bucket_test").count()


def test_a_household_whose_pump_nobody_saw_run_is_asked_once_a_quarter(home):
    assert actions.plan_bucket_tests(asker=makers.clock()) == 1
    assert actions.plan_bucket_tests(asker=makers.clock(makers.later(days=30))) == 0
    assert actions.plan_bucket_tests(asker=makers.clock(makers.later(days=92))) == 1

    assert asked() == 2


def test_a_household_that_tested_lately_is_left_alone(home, homeowner):
    inspections.give_self_check(
        home[3], asker=homeowner, answer="ran_and_stopped", on=TODAY - timedelta(days=20)
    )

    assert actions.plan_bucket_tests(asker=makers.clock()) == 0


def test_nobody_is_asked_to_test_a_pump_that_is_known_dead(home):
    Down.objects.create(pump=home[3].pumps.get(), since_at=makers.later(days=-2))

    assert actions.plan_bucket_tests(asker=makers.clock()) == 0


def test_a_large_firm_asks_a_few_a_day(home):
    for number in range(20):
        makers.make_system(home[2], place=f"pit {number}", parts=False)
        system = home[2].systems.latest("pk")
        makers.add_parts(system)

    assert actions.plan_bucket_tests(asker=makers.clock()) == 15
    assert actions.plan_bucket_tests(asker=makers.clock(makers.later(days=1))) == 6
