"""Published schedules become a system's own due dates, with their source beside them."""

from datetime import date

import pytest

from drainservice.engine.interval.due import DueKind, GovernedBy
from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.interval.facts import LookKind
from drainservice.engine.interval.schedules import (
    SCHEDULES,
    ScheduleUnknown,
    find_schedule,
    rules_of,
)
from drainservice.engine.units import INCH_M
from tests.engine.interval.makers import TODAY, look, make_system


def test_every_schedule_has_a_code_a_source_and_a_demand():
    assert len({s.code for s in SCHEDULES}) == len(SCHEDULES)
    for schedule in SCHEDULES:
        assert schedule.source
        assert schedule.mark == "read"
        assert schedule.rules
        assert {rule.source for rule in schedule.rules} == {schedule.source}


@pytest.mark.parametrize(
    ("code", "kind", "due_on"),
    [
        # From 10 November 2026: 91 days; 365 days; the next 15 October; 30 days.
        ("epa_dry_well", LookKind.PERCOLATION, date(2027, 2, 9)),
        ("pennsylvania_dry_well", LookKind.SEDIMENT, date(2027, 2, 9)),
        ("georgia_coast", LookKind.SEDIMENT, date(2027, 11, 10)),
        ("san_francisco", LookKind.PERCOLATION, date(2027, 10, 15)),
        ("north_carolina_detention", LookKind.PERCOLATION, date(2026, 12, 10)),
    ],
)
def test_a_schedule_taken_as_a_rule_sets_the_date(code, kind, due_on):
    done = (look(kind, date(2026, 11, 10)),)
    system = make_system(rules=rules_of(code), looks=done, wet_seasons=())

    due = due_dates(system, today=TODAY).of(DueKind(kind))

    assert (due.due_on, due.governed_by) == (due_on, GovernedBy.RULE)
    assert find_schedule(code).source in [c.note for c in due.candidates]


@pytest.mark.parametrize(
    ("code", "inches"),
    [("epa_dry_well", 0.5), ("pennsylvania_dry_well", 1.0), ("north_carolina_detention", 3.0)],
)
def test_a_schedule_knows_after_how_much_rain_it_asks(code, inches):
    (rule,) = find_schedule(code).after_storms

    assert rule.threshold_m / INCH_M == pytest.approx(inches)


def test_two_schedules_bring_the_rules_of_both():
    assert len(rules_of("san_francisco", "michigan_catch_basin")) == 2


def test_an_unknown_schedule_names_the_known_ones():
    with pytest.raises(ScheduleUnknown, match="choose one of epa_dry_well"):
        find_schedule("nowhere")
