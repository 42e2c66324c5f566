"""What an inspection writes, what follows from it, and what is due."""

import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest

from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.interval.facts import SystemFacts
from drainservice.engine.interval.plain import from_plain
from drainservice.engine.units import FOOT_M, INCH_M
from drainservice.inspections import actions
from drainservice.inspections.models import (
    Defect,
    Down,
    Due,
    Inspection,
    Look,
    Reading,
    Reckoning,
    Result,
)
from drainservice.inspections.models.reading_kinds import ReadingRefused
from drainservice.inspections.models.record import InspectionRecord, LookRecord, ReadingRecord
from drainservice.inspections.queries.replay import replay_due
from drainservice.inspections.queries.weighed import weigh_again
from drainservice.register import actions as register
from drainservice.register.actions import known
from tests import makers

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)


def pump_look(passed=True, seconds=40.0, **more):
    # 8 in of fall from 2 ft to 1 ft 4 in in the 8.3 ft2 pit.
    readings = (
        ReadingRecord("pump_down_from_m", 24 * INCH_M),
        ReadingRecord("pump_down_to_m", 16 * INCH_M),
        ReadingRecord("pump_down_s", seconds),
    )
    return LookRecord(**({"kind": "pump", "passed": passed, "readings": readings} | more))


def record(*looks, on=TODAY, **more):
    return InspectionRecord(id=uuid.uuid4(), on=on, looks=looks or (pump_look(),), **more)


def closed(system, told, at=makers.MONDAY):
    """Record an inspection and let what follows follow."""
    asker = makers.clock(at)
    inspection = actions.record_inspection(system, asker=asker, record=told)
    found = [[d.kind, d.part, d.note] for d in told.defects_found]
    actions.after_inspection(
        asker=asker,
        inspection_id=str(inspection.pk),
        found=found,
        mended=list(told.kinds_mended),
    )
    return inspection


def due_of(system, kind):
    return Due.objects.current().get(system=system, kind=kind)


def test_the_same_record_twice_is_one_inspection(home):
    told = record()

    actions.record_inspection(home[3], asker=makers.clock(), record=told)
    actions.record_inspection(home[3], asker=makers.clock(), record=told)

    assert Inspection.objects.count() == 1
    assert Reading.objects.count() == 3


def test_the_same_number_with_other_words_is_refused(home):
    told = record()
    actions.record_inspection(home[3], asker=makers.clock(), record=told)

    with pytest.raises(actions.AnotherInspection, match="correction"):
        actions.record_inspection(
            home[3], asker=makers.clock(), record=replace(told, note="the gate was open")
        )


def test_a_reading_that_cannot_be_is_refused_and_nothing_is_stored(home):
    impossible = LookRecord("sediment", readings=(ReadingRecord("sediment_m", -0.1),))

    with pytest.raises(ReadingRefused, match="silt"):
        actions.record_inspection(home[3], asker=makers.clock(), record=record(impossible))

    assert Inspection.objects.count() == 0


def test_the_drawdown_is_weighed_against_the_duty_of_this_line(home):
    actions.record_inspection(home[3], asker=makers.clock(), record=record())

    result = Result.objects.get(what="flow_against_duty")

    # 8.3 ft2 x 8 in in 40 s = 5.533 ft3 in 40 s = 62.1 gpm: more than this pump can give at 8 ft,
    # so the test says as strong as when new.
    assert result.outputs["flow_m3s"] == pytest.approx(8.3 * 0.09290304 * 8 * INCH_M / 40, rel=1e-6)
    assert result.outputs["ratio"] > 1
    assert result.verdict == "good"


def test_a_tired_pump_is_told_to_be_mended(home):
    # The same fall in 240 s is 10.3 gpm, about a third of the duty.
    actions.record_inspection(home[3], asker=makers.clock(), record=record(pump_look(seconds=240)))

    assert Result.objects.get(what="flow_against_duty").verdict == "act"


def test_a_stored_result_replays_to_equal_numbers(home):
    actions.record_inspection(home[3], asker=makers.clock(), record=record())
    result = Result.objects.get(what="flow_against_duty")

    again = weigh_again(result)

    assert again.outputs == result.outputs
    assert again.verdict == result.verdict


def test_a_sum_says_what_is_missing_rather_than_guess(home):
    bare = makers.make_system(home[2], parts=False, place="behind the shed")

    actions.record_inspection(bare, asker=makers.clock(), record=record())

    assert "no pump on record" in Result.objects.get().outputs["missing"]


def test_a_pump_that_ran_while_the_level_stood_has_failed(home):
    readings = (ReadingRecord("pump_down_from_m", 0.7), ReadingRecord("pump_down_to_m", 0.7))

    actions.record_inspection(
        home[3], asker=makers.clock(), record=record(pump_look(readings=readings))
    )

    assert Look.objects.get().passed is False


def test_a_test_whose_water_never_reached_the_float_is_no_test(home):
    readings = (ReadingRecord("pump_down_from_m", 0.3),)

    actions.record_inspection(
        home[3], asker=makers.clock(), record=record(pump_look(readings=readings))
    )

    assert Look.objects.get().passed is None


def test_a_dead_pump_is_down_with_its_clock_until_proven(home):
    system = home[3]

    closed(system, record(pump_look(passed=False, readings=())))
    assert Down.objects.filter(proven_at__isnull=True).count() == 1
    assert due_of(system, "mend").due_on == TODAY + timedelta(days=7)  # near a structure: 7 days

    later = TODAY + timedelta(days=3)
    closed(system, record(on=later), makers.later(days=3))
    assert Down.objects.filter(proven_at__isnull=True).count() == 0
    assert not Due.objects.current().filter(system=system, kind="mend").exists()


def test_only_a_look_that_was_done_moves_its_own_date(home):
    system = home[3]
    actions.refresh_due(asker=makers.clock(), system_id=system.pk)
    before = {due.kind: due.due_on for due in Due.objects.current().filter(system=system)}

    closed(
        system,
        record(pump_look(), LookRecord("sediment", outcome="not_done", why_not="dog")),
    )

    after = {due.kind: due.due_on for due in Due.objects.current().filter(system=system)}
    assert after["pump"] > before["pump"]
    assert after["sediment"] == before["sediment"]
    assert after["lid"] == before["lid"]


def test_a_sideways_valve_becomes_a_defect_and_is_mended_with_the_record(home):
    system = home[3]
    valve = system.pumps.get().check_valves.get()
    register.change_part(valve, asker=makers.clock(), **known("measured", attitude="on_its_side"))

    actions.check_as_built(asker=makers.clock(), system_id=system.pk)
    assert Defect.objects.get(kind="valve_on_side").mended_on is None

    register.change_part(valve, asker=makers.clock(), **known("measured", attitude="upright"))
    actions.check_as_built(asker=makers.clock(), system_id=system.pk)
    assert Defect.objects.get(kind="valve_on_side").mended_on == TODAY


def test_an_adopted_system_gets_a_first_look_and_no_false_defect(home):
    adopted = makers.make_system(
        home[2],
        parts=False,
        origin="adopted",
        place="rear",
        installed_on=None,
        installed_span="",
        entered_on=TODAY,
    )

    actions.check_as_built(asker=makers.clock(), system_id=adopted.pk)
    actions.refresh_due(asker=makers.clock(), system_id=adopted.pk)

    assert not Defect.objects.filter(system=adopted).exists()
    assert due_of(adopted, "first_look").due_on <= TODAY + timedelta(days=366)


def test_a_night_without_change_writes_nothing(home):
    actions.find_due(asker=makers.clock())
    rows = Due.objects.count()
    reckonings = Reckoning.objects.count()

    again = actions.find_due(asker=makers.clock(makers.later(hours=2)), force=True)

    assert again.changed == 0
    assert (Due.objects.count(), Reckoning.objects.count()) == (rows, reckonings)


def test_an_overdue_pump_test_is_flagged_and_unflagged_set_based(
    home, django_assert_max_num_queries
):
    system = home[3]
    actions.find_due(asker=makers.clock())
    assert due_of(system, "pump").due_on < TODAY  # of 2021, never looked at
    assert due_of(system, "pump").flag == "past_pump_test"

    closed(system, record())
    with django_assert_max_num_queries(14):
        actions.flag_overdue(asker=makers.clock())

    assert due_of(system, "pump").flag == ""


def test_a_pit_over_its_limit_is_flagged_as_clogged(home):
    # 80 h against the county's 72 h.
    slow = LookRecord("percolation", readings=(ReadingRecord("drain_time_s", 80 * 3600.0),))
    closed(home[3], record(slow))

    actions.flag_overdue(asker=makers.clock())

    assert due_of(home[3], "percolation").flag == "clogged_pit"


def test_a_stored_due_replays_to_the_same_dates(home):
    closed(home[3], record())
    due = due_of(home[3], "pump")

    facts = from_plain(SystemFacts, due.reckoning.inputs)
    again = due_dates(facts, today=due.reckoning.today)

    stored = next(d for d in again if str(d.kind) == "pump").as_stored()
    assert stored == due.answer


def test_a_household_whose_answer_proved_false_is_remembered(home, homeowner):
    system = home[3]
    check = actions.give_self_check(
        system, asker=homeowner, answer="ran_and_stopped", on=TODAY - timedelta(days=5)
    )

    closed(system, record(pump_look(passed=False, readings=())))

    check.refresh_from_db()
    assert check.proved_false_on == TODAY


def test_a_covered_lid_makes_reaching_it_due_and_leaves_the_dates(home):
    system = home[3]

    closed(system, record(LookRecord("pump", outcome="not_done", why_not="lid_covered")))

    assert due_of(system, "access").due_on == TODAY + timedelta(days=30)
    assert due_of(system, "pump").can_be_judged is False


def test_silt_in_a_shallow_sump_is_weighed_against_its_lowest_limit(home):
    # 12 in sump: 60 % is 7.2 in, 6 in below the invert is 6 in; 6.5 in is over.
    deep = LookRecord("sediment", readings=(ReadingRecord("sediment_m", 6.5 * INCH_M),))

    closed(home[3], record(deep))

    result = Result.objects.get(what="silt")
    assert result.outputs["limit_m"] == pytest.approx(0.5 * FOOT_M)
    assert result.verdict == "act"


def test_the_firms_own_tests_replace_our_judgement_once_there_are_enough(home):
    # 40 systems tested a year after handover, 8 found dead: 30 tests with 5 failures suffice.
    for number in range(40):
        system = makers.make_system(home[2], place=f"pit {number}", installed_on=date(2026, 5, 10))
        told = record(pump_look(passed=number % 5 != 0, readings=()))
        actions.record_inspection(system, asker=makers.clock(), record=told)

    actions.find_due(asker=makers.clock())

    due = due_of(home[3], "pump")
    assert due.answer["stands_on"] == "your_tests"


def test_the_equipment_type_moves_the_date_of_its_pumps(home):
    system = home[3]
    closed(system, record())
    before = due_of(system, "pump").due_on
    weak = register.enter_equipment_type(
        asker=makers.clock(), part="pump", name="weak float", rates_per_year={"float": 0.9}
    )

    register.change_part(system.pumps.get(), asker=makers.clock(), type=weak)
    actions.refresh_due(asker=makers.clock(), system_id=system.pk)

    assert due_of(system, "pump").due_on < before


def test_each_pump_of_a_pit_has_its_own_date_and_its_own_test_moves_it(home):
    system = home[3]
    register.add_pump(
        system,
        asker=makers.clock(),
        curve=[(0.001, 6.0), (0.002, 4.0), (0.003, 1.0)],
        position=2,
        from_on=date(2021, 6, 1),
        from_span="day",
        **known("told", on_level_m=0.9, off_level_m=0.5),
    )
    actions.refresh_due(asker=makers.clock(), system_id=system.pk)
    before = {due.what: due.due_on for due in Due.objects.current().filter(kind="pump")}

    closed(system, record(pump_look(pump_position=2, readings=())))

    after = {due.what: due.due_on for due in Due.objects.current().filter(kind="pump")}
    assert set(before) == set(after) == {"", "pump 2"}
    assert after["pump 2"] > before["pump 2"]
    assert after[""] == before[""]
    second = Due.objects.current().get(kind="pump", what="pump 2")
    assert second.reason_text.startswith("Pump 2: ")
    assert replay_due(second).is_equal


def test_a_further_pump_found_dead_is_due_for_mending_and_goes_with_its_pump(home):
    system = home[3]
    second = register.add_pump(system, asker=makers.clock(), curve=[], position=2)
    closed(system, record(pump_look(passed=False, pump_position=2, readings=())))
    assert Due.objects.current().filter(kind="mend", what="pump 2").count() == 1
    assert not Due.objects.current().filter(kind="mend", what="pump").exists()

    register.change_part(second, asker=makers.clock(), until_on=TODAY)
    actions.refresh_due(asker=makers.clock(makers.later(days=1)), system_id=system.pk)

    assert not Due.objects.current().filter(system=system, what="pump 2").exists()
