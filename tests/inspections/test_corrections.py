"""A correction supersedes what it corrects everywhere: downs, defects, answers, flags, results."""

import uuid
from datetime import date, timedelta

import pytest

from drainservice.accounts.asker import CannotBeDone
from drainservice.engine.units import INCH_M
from drainservice.inspections import actions, queries
from drainservice.inspections.models import Defect, Down, Due, SelfCheck
from drainservice.inspections.models.record import (
    DefectRecord,
    InspectionRecord,
    LookRecord,
    ReadingRecord,
)
from drainservice.register import actions as register
from tests import makers

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)


def record(*looks, on=TODAY, **more):
    return InspectionRecord(id=uuid.uuid4(), on=on, looks=looks, **more)


def pump_look(passed, **more):
    return LookRecord("pump", passed=passed, **more)


def slow(hours):
    return LookRecord("percolation", readings=(ReadingRecord("drain_time_s", hours * 3600.0),))


def closed(system, told, at=makers.MONDAY):
    """Record an inspection and let what follows follow, as the queue does."""
    asker = makers.clock(at)
    inspection = actions.record_inspection(system, asker=asker, record=told)
    follow(inspection, told, at)
    return inspection


def follow(inspection, told, at=makers.MONDAY):
    actions.after_inspection(
        asker=makers.clock(at),
        inspection_id=str(inspection.pk),
        found=[[d.kind, d.part, d.note] for d in told.defects_found],
        mended=list(told.kinds_mended),
    )


def test_a_pump_wrongly_told_dead_was_never_down(home):
    wrong = closed(home[3], record(pump_look(passed=False)))
    assert Down.objects.standing().count() == 1

    closed(home[3], record(pump_look(passed=True), corrects=wrong.pk))

    assert not Down.objects.standing().exists()
    assert not Due.objects.current().filter(system=home[3], kind="mend").exists()


def test_a_proof_that_was_wrong_leaves_the_pump_down(home):
    closed(home[3], record(pump_look(passed=False), on=date(2027, 5, 3)))
    wrong = closed(home[3], record(pump_look(passed=True)))
    assert Down.objects.get().proven_at is not None

    closed(home[3], record(pump_look(passed=False), corrects=wrong.pk))

    down = Down.objects.standing().get()
    assert (down.proven_at, down.since_at.date()) == (None, date(2027, 5, 3))


def test_defects_found_and_mended_by_mistake_are_taken_back(home):
    told = record(LookRecord("lid"), defects_found=(DefectRecord("lid_cracked", "access"),))
    wrong = closed(home[3], told)
    told = record(LookRecord("lid"), kinds_mended=("lid_cracked",))
    mending = closed(home[3], told)
    assert Defect.objects.standing().get(kind="lid_cracked").mended_by == mending

    closed(home[3], record(LookRecord("lid"), corrects=mending.pk))
    assert Defect.objects.standing().get(kind="lid_cracked").mended_on is None
    closed(home[3], record(LookRecord("lid"), corrects=wrong.pk))

    assert not Defect.objects.standing().filter(kind="lid_cracked").exists()


def test_what_was_corrected_has_no_consequences_though_it_is_followed_late(home):
    told = record(pump_look(passed=False))
    wrong = actions.record_inspection(home[3], asker=makers.clock(), record=told)
    closed(home[3], record(pump_look(passed=True), corrects=wrong.pk))

    follow(wrong, told)

    assert not Down.objects.standing().exists()


def test_a_correction_that_is_followed_twice_adds_nothing(home):
    wrong = closed(home[3], record(pump_look(passed=False)))
    told = record(pump_look(passed=False, note="float stuck"), corrects=wrong.pk)
    correction = closed(home[3], told)
    before = list(Down.objects.values())

    follow(correction, told)

    assert list(Down.objects.values()) == before
    assert Down.objects.standing().get().found_by.inspection == correction


def test_the_last_result_and_the_flag_are_those_of_the_correction(home):
    wrong = closed(home[3], record(slow(80)))
    actions.flag_overdue(asker=makers.clock())
    assert Due.objects.current().get(system=home[3], kind="percolation").flag == "clogged_pit"

    right = closed(home[3], record(slow(20), corrects=wrong.pk))
    actions.flag_overdue(asker=makers.clock())

    assert queries.last_result(home[3], "soakage").look.inspection == right
    assert Due.objects.current().get(system=home[3], kind="percolation").flag == ""


def test_a_wrong_newer_result_does_not_hide_a_clogged_pit(home):
    closed(home[3], record(slow(80), on=date(2027, 4, 1)))
    wrong = closed(home[3], record(slow(20)))

    closed(home[3], record(LookRecord("lid"), corrects=wrong.pk))
    actions.flag_overdue(asker=makers.clock())

    assert Due.objects.current().get(system=home[3], kind="percolation").flag == "clogged_pit"


def test_a_clogged_pit_is_flagged_at_the_look_that_showed_it_alone(home):
    closed(home[3], record(slow(80)))

    actions.flag_overdue(asker=makers.clock())

    assert Due.objects.current().get(system=home[3], kind="sediment").flag != "clogged_pit"


def test_a_correction_is_corrected_itself_and_not_the_first_again(home):
    wrong = closed(home[3], record(pump_look(passed=False)))
    closed(home[3], record(pump_look(passed=True), corrects=wrong.pk))

    with pytest.raises(CannotBeDone, match="correct that"):
        closed(home[3], record(pump_look(passed=True), corrects=wrong.pk))


def test_an_answer_proved_false_by_mistake_counts_again(home, homeowner):
    actions.give_self_check(
        home[3], asker=homeowner, answer="ran_and_stopped", on=date(2027, 4, 20)
    )
    wrong = closed(home[3], record(pump_look(passed=False)))
    assert SelfCheck.objects.get().proved_false_on == TODAY

    closed(home[3], record(pump_look(passed=True), corrects=wrong.pk))

    assert SelfCheck.objects.get().proved_false_on is None


def test_only_the_last_answer_is_proved_false_however_often_it_is_followed(home, homeowner):
    for day in (date(2027, 4, 20), date(2027, 4, 28)):
        actions.give_self_check(home[3], asker=homeowner, answer="ran_and_stopped", on=day)
    told = record(pump_look(passed=False))
    inspection = closed(home[3], told)

    follow(inspection, told)

    proved_false = SelfCheck.objects.exclude(proved_false_on=None)
    assert [check.on for check in proved_false] == [date(2027, 4, 28)]


@pytest.mark.parametrize(("days", "is_false"), [(31, True), (32, False)])
def test_an_answer_is_proved_false_within_a_month(home, homeowner, days, is_false):
    on = TODAY - timedelta(days=days)
    actions.give_self_check(home[3], asker=homeowner, answer="ran_and_stopped", on=on)

    closed(home[3], record(pump_look(passed=False)))

    assert (SelfCheck.objects.get().proved_false_on is not None) == is_false


def test_an_answer_is_not_false_where_one_of_us_saw_the_pump_run_after_it(home, homeowner):
    actions.give_self_check(
        home[3], asker=homeowner, answer="ran_and_stopped", on=date(2027, 4, 20)
    )
    closed(home[3], record(pump_look(passed=True), on=date(2027, 4, 25)))

    closed(home[3], record(pump_look(passed=False)))

    assert SelfCheck.objects.get().proved_false_on is None


def two_pumps(system):
    """A second pump beside the first, half as strong, with its own switch higher up."""
    first = system.pumps.get()
    points = first.curve_points.order_by("flow_m3s")
    second = register.add_pump(
        system,
        asker=makers.clock(),
        position=2,
        curve=[(p.flow_m3s / 2, p.head_m) for p in points],
        **register.known("drawn", on_level_m=0.7, off_level_m=0.4),
    )
    return first, second


def test_of_two_pumps_each_is_weighed_by_its_own_curve_and_down_by_itself(home):
    first, second = two_pumps(home[3])
    readings = (
        ReadingRecord("pump_down_from_m", 28 * INCH_M),
        ReadingRecord("pump_down_to_m", 20 * INCH_M),
        ReadingRecord("pump_down_s", 40.0),
    )
    told = record(
        pump_look(passed=True, pump_position=1, readings=readings),
        pump_look(passed=False, pump_position=2, readings=readings),
    )

    inspection = closed(home[3], told)

    results = {look.pump_id: look.results.get().outputs for look in inspection.looks.all()}
    assert results[second.pk]["duty_m3s"] < 0.7 * results[first.pk]["duty_m3s"]
    assert [down.pump for down in Down.objects.standing()] == [second]


def test_a_household_that_cannot_tell_two_pumps_apart_puts_the_first_down(home, homeowner):
    first, _ = two_pumps(home[3])
    check = actions.give_self_check(home[3], asker=homeowner, answer="did_not_start", on=TODAY)

    actions.after_self_check(asker=makers.clock(), self_check_id=check.pk)

    assert Down.objects.standing().get().pump == first


def test_an_old_bucket_test_says_nothing_of_a_pump_put_in_since(home, homeowner):
    new = register.replace_pump(
        home[3].pumps.get(),
        asker=makers.clock(),
        on=date(2027, 5, 5),
        because="worn",
        curve=[(0.0, 7.0), (0.002, 3.0)],
    )
    check = actions.give_self_check(
        home[3], asker=homeowner, answer="did_not_start", on=date(2027, 5, 4)
    )

    actions.after_self_check(asker=makers.clock(), self_check_id=check.pk)

    assert not Down.objects.filter(pump=new).exists()
    inputs = Due.objects.current().filter(system=home[3]).first().reckoning.inputs
    assert inputs["tests"] == []


def test_a_pump_is_proven_on_the_day_it_was_found_dead_though_nobody_wrote_the_hour(home):
    closed(
        home[3],
        record(
            pump_look(passed=False),
            arrived_at=makers.later(hours=7),
            left_at=makers.later(hours=8),
        ),
        at=makers.later(hours=8),
    )

    closed(home[3], record(pump_look(passed=True)), at=makers.later(hours=9))

    down = Down.objects.get()
    assert down.proven_at == down.since_at == makers.later(hours=8)


def test_a_test_done_in_part_proves_nothing(home):
    closed(home[3], record(pump_look(passed=False), on=date(2027, 5, 3)))

    closed(home[3], record(pump_look(passed=True, outcome="in_part")))

    assert Down.objects.get().proven_at is None


def covered(kind="pump"):
    return LookRecord(kind, "not_done", why_not="lid_covered")


def has_access_due(system):
    return Due.objects.current().filter(system=system, kind="access").exists()


def test_an_outlet_that_was_seen_does_not_open_a_covered_lid(home):
    closed(home[3], record(covered(), LookRecord("line")))

    assert has_access_due(home[3])


@pytest.mark.parametrize("outcome", ["done", "in_part"])
def test_a_lid_that_was_opened_again_is_reachable(home, outcome):
    closed(home[3], record(covered(), on=date(2027, 5, 3)))
    assert has_access_due(home[3])

    closed(home[3], record(LookRecord("pump", outcome, passed=True)))

    assert not has_access_due(home[3])


@pytest.mark.parametrize(
    "wrong",
    [
        DefectRecord("k" * 41, "lid"),
        DefectRecord("", "lid"),
        DefectRecord("cracked", "p" * 21),
        DefectRecord("cracked", "lid", "n" * 1001),
    ],
)
def test_a_finding_that_cannot_be_stored_is_refused_at_once(home, wrong):
    with pytest.raises((CannotBeDone, ValueError)):
        closed(home[3], record(LookRecord("lid"), defects_found=(wrong,)))
