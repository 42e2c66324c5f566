"""Minutes of a visit from what is wanted at its systems, and what the firm's own visits teach."""

import uuid
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts import history
from drainservice.accounts.models import Account
from drainservice.inspections.actions import find_defect, record_inspection
from drainservice.inspections.models.record import InspectionRecord, LookRecord
from drainservice.register import actions as register
from drainservice.visits import actions, queries
from drainservice.visits.models import LookMinutes, PlanningTerms, Visit
from jobs.reactions import begin_day
from tests import makers

pytestmark = pytest.mark.django_db


@pytest.fixture
def andrea(technician):
    return Account.objects.get(pk=technician.account_id)


@pytest.fixture
def system(home):
    return home[3]


def teach(kind, middle_s, high_s, records=20):
    return LookMinutes.objects.create(
        kind=kind, middle_s=middle_s, high_s=high_s, records=records, counted_at=makers.MONDAY
    )


def test_minutes_are_those_of_our_judgement_until_something_was_learned(system):
    # 8 + 15 + 8 + 5 + 7 = 43, made up to 45; 12 of the drain test's 20 only wait.
    time = queries.minutes_of_visit({system: ["pump", "percolation", "sediment"]})
    assert time.minutes == 45


def test_both_ends_of_a_stop_and_a_defect_take_what_the_firm_set(system):
    terms = PlanningTerms(pk=1, arriving_minutes=20, closing_minutes=10, defect_minutes=9)
    history.enter(terms, asker=makers.clock())
    for kind in ("valve_leaks", "no_weep_hole", "pump_on_loose_stone"):
        find_defect(
            system,
            asker=makers.clock(),
            kind=kind,
            part="valve",
            note="",
            found_on=makers.MONDAY.date(),
        )
    # 20 + 60 + 10 + 2 x 9 = 108: the first defect is in the 60 minutes of mending.
    assert queries.minutes_of_visit({system: ["mend"]}).exact_min == 108
    # Nobody asked for mending, so nothing is counted for it: 20 + 15 + 10.
    assert queries.minutes_of_visit({system: ["pump"]}).exact_min == 45


def test_what_was_learned_from_20_records_stands_above_our_judgement(system):
    row = teach("pump", middle_s=20 * 60, high_s=28 * 60 + 1)
    # 8 + 20 + 7; promising 8 + 29 + 7, a begun minute counting whole.
    assert queries.minutes_of_visit({system: ["pump"]}).exact_min == 35
    assert queries.minutes_of_visit({system: ["pump"]}, promising=True).exact_min == 44
    LookMinutes.objects.filter(pk=row.pk).update(records=19)
    assert queries.minutes_of_visit({system: ["pump"]}).exact_min == 30


def test_a_camera_takes_the_place_of_a_look_at_the_flow(system):
    # 8 + 8 + 7 without, 8 + 30 + 7 with.
    assert queries.minutes_of_visit({system: ["line"]}).exact_min == 23
    assert queries.minutes_of_visit({system: ["line"]}, skills=["camera"]).exact_min == 45


def test_each_pump_of_a_pit_has_its_own_test(system):
    register.add_pump(system, asker=makers.clock(), position=2, curve=[])
    # 8 + 2 x 15 + 3 + 7, and without the pumps 8 + 3 + 7.
    assert queries.minutes_of_visit({system: ["pump", "lid"]}).exact_min == 48
    assert queries.minutes_of_visit({system: ["lid"]}).exact_min == 18


def test_reading_takes_as_many_statements_for_two_systems_as_for_one(system):
    second = makers.make_system(system.site, place="behind the shed")
    with CaptureQueriesContext(connection) as one:
        queries.minutes_of_visit({system: ["mend", "pump"]})
    with CaptureQueriesContext(connection) as two:
        queries.minutes_of_visit({system: ["mend"], second: ["mend", "pump"]})
    assert len(one) == len(two) == 4


def look_of(told):
    """A kind that was done; "not line" was not; ("pump", 2) is the second pump's."""
    if isinstance(told, tuple):
        return LookRecord(told[0], "done", pump_position=told[1])
    if told.startswith("not "):
        return LookRecord(told.removeprefix("not "), "not_done", why_not="gate")
    return LookRecord(told, "done")


def made(andrea, system, minutes, *looks, day=0, wanted=("pump",), ends=True):
    """A visit that was made: at the pit from eight o'clock, for so many minutes."""
    on = date(2027, 1, 4) + timedelta(days=day)
    at = makers.MONDAY
    visit = actions.plan_visit(
        system.site,
        asker=makers.clock(at),
        purpose="yearly look",
        systems={system: list(wanted)},
        meant_for=None,
    )
    if looks:
        done = tuple(look_of(told) for told in looks)
        record = InspectionRecord(id=uuid.uuid4(), on=on, looks=done)
        inspection = record_inspection(system, asker=makers.clock(at), record=record)
        actions.tie_inspection(visit, inspection, asker=makers.clock(at))
    return history.keep(
        visit,
        asker=makers.clock(),
        state="made",
        arrived_at=at,
        left_at=at + timedelta(minutes=minutes) if ends else None,
    )


def count():
    actions.count_look_minutes(asker=makers.clock())
    return {row.kind: row for row in LookMinutes.objects.all()}


def test_nothing_is_learned_from_19_visits_and_something_from_20(andrea, system):
    for day in range(19):
        made(andrea, system, 60, day=day)
    assert count() == {}
    made(andrea, system, 60, day=19)
    # Planned 8 + 15 + 7 = 30, took 60: each share counts double, 15 x 60 / 30 = 30 min.
    row = count()["pump"]
    assert (row.middle_s, row.high_s, row.records) == (1800, 1800, 20)


def test_the_middle_and_what_four_of_five_stayed_under(andrea, system):
    # Visits of 30, 36, .. 144 min; shares 15, 18, .. 72 min. The middle of 20 is between the 10th
    # (15 + 27 = 42) and the 11th (45): 43.5 min. 16 of 20 took at most 15 + 45 = 60 min.
    for n in range(20):
        made(andrea, system, 30 + 6 * n, day=n)
    row = count()["pump"]
    assert (row.middle_s, row.high_s) == (43.5 * 60, 60 * 60)


def test_a_waiting_test_has_its_share_of_what_was_planned_with_its_overlap(andrea, system):
    # Planned 43 (see above), took 86: twice as long. The drain test counts 40 min, silt 10.
    for n in range(20):
        made(andrea, system, 86, "pump", "percolation", "sediment", "not line", day=n)
    learned = count()
    assert {kind: row.middle_s for kind, row in learned.items()} == {
        "pump": 1800,
        "percolation": 2400,
        "sediment": 600,
    }


def test_two_pumps_tested_are_two_records_of_one_visit(andrea, system):
    register.add_pump(system, asker=makers.clock(), position=2, curve=[])
    # Planned 8 + 2 x 15 + 7 = 45, took 90: each test counts 30 min, twice a visit.
    for day in range(10):
        made(andrea, system, 90, ("pump", 1), ("pump", 2), day=day)
    row = count()["pump"]
    assert (row.middle_s, row.records) == (1800, 20)


def test_visits_of_less_than_3_or_more_than_600_minutes_teach_nothing(andrea, system):
    for n in range(20):
        made(andrea, system, 2 if n % 2 else 601, day=n)
    made(andrea, system, 0, ends=False)
    assert count() == {}


def test_counting_twice_writes_once(andrea, system):
    for n in range(20):
        made(andrea, system, 60, day=n)
    before = count()["pump"].counted_at
    actions.count_look_minutes(asker=makers.clock(makers.later(days=1)))
    assert LookMinutes.objects.get().counted_at == before
    assert Visit.objects.count() == 20


def test_each_day_begins_with_counting_them(andrea, system):
    for n in range(20):
        made(andrea, system, 60, day=n)
    begin_day(asker=makers.clock())
    assert LookMinutes.objects.get().kind == "pump"
