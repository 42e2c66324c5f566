"""Sums of a look from rows: exit and main, pump by pump, limits as they count, the trend."""

import math
import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest

from drainservice.accounts import history
from drainservice.engine.hydraulics.line import line_loss
from drainservice.engine.hydraulics.system_duty import duty_at
from drainservice.engine.units import GPM_M3S, INCH_M, UnitSystem
from drainservice.inspections import actions, queries
from drainservice.inspections.models import Down, Result
from drainservice.inspections.models.record import InspectionRecord, LookRecord, ReadingRecord
from drainservice.inspections.models.verdicts import STEMS, verdict_clause
from drainservice.inspections.queries import read_kept, sums_of
from drainservice.inspections.queries.parts import duty_input_of, sections_of
from drainservice.inspections.queries.weighed import KINDS, VERDICTS, weigh_again
from drainservice.register import actions as register
from drainservice.register.actions import known
from drainservice.register.models import Fitting
from drainservice.register.queries import whole
from drainservice.web.results import UNREADABLE, say_result
from drainservice.web.words import inspection_words
from tests import makers

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)
FLOW = {
    "pump_down_from_m": 24 * INCH_M,
    "pump_down_to_m": 16 * INCH_M,
    "pump_down_s": 60.0,
}


def today(system):
    return whole(system, day=TODAY)


def seen(system, *looks, on=TODAY):
    rows = tuple(
        LookRecord(
            kind, passed=passed, readings=tuple(ReadingRecord(k, v) for k, v in values.items())
        )
        for kind, passed, values in looks
    )
    told = InspectionRecord(id=uuid.uuid4(), on=on, looks=rows)
    inspection = actions.record_inspection(system, asker=makers.clock(), record=told)
    actions.after_inspection(asker=makers.clock(), inspection_id=str(inspection.pk))
    return inspection


def the_sum(sums, what):
    return next(one for one in sums if one.what == what)


def join(main, *systems):
    for system in systems:
        line = system.line
        register.change_part(
            line, asker=makers.clock(), main=main, **known("drawn", end="shared_main", joint="wye")
        )
        system.refresh_from_db()


def make_main(*sites, **values):
    told = {"diameter_m": 4.026 * INCH_M, "slope": 0.01, "length_m": 20.0, "surcharges": False}
    return register.enter_main(
        asker=makers.clock(), sites=list(sites), name="the lane", **known("drawn", **told | values)
    )


def test_a_line_into_the_open_pays_its_exit_once_whether_or_not_it_is_written_down(home):
    written = sections_of(today(home[3]))
    history.remove(Fitting.objects.get(kind="exit"), asker=makers.clock())
    unwritten = sections_of(today(home[3]))
    bare = (written[0], replace(written[1], fittings=()))

    # 30 gpm = 0.0018927 m3/s through 2.067 in: v = 0.8743 m/s, and K = 1 of it is
    # v^2 / 2g = 0.7644 / 19.6133 = 0.0390 m (velocity head, any handbook).
    flow_m3s = 30 * GPM_M3S
    speed_ms = flow_m3s / (math.pi / 4 * (2.067 * INCH_M) ** 2)
    lost_m = line_loss(unwritten, flow_m3s) - line_loss(bare, flow_m3s)
    assert unwritten == written
    assert lost_m == pytest.approx(speed_ms**2 / (2 * 9.80665))
    assert lost_m == pytest.approx(0.0390, abs=5e-5)


def test_a_line_into_a_main_pays_no_exit(home):
    join(make_main(home[2]), home[3])

    fittings = [f.kind.value for s in sections_of(today(home[3])) for f in s.fittings]

    assert "exit" not in fittings
    assert "elbow_90" in fittings


def test_a_main_that_stands_full_stands_so_at_the_joint(home):
    # On record: 0.30 m over the joints. They lie 0.01 x 20 m = 0.20 m above the end's invert.
    join(make_main(home[2], surcharges=True, surcharge_head_m=0.30), home[3])

    duty = duty_input_of(today(home[3]))

    assert duty.joint.tailwater_m == pytest.approx(0.50)


def test_each_position_is_weighed_by_its_own_pump_and_an_empty_one_says_so(home):
    register.add_pump(
        home[3],
        asker=makers.clock(),
        position=2,
        curve=[(0.0, 6.0), (0.001, 4.0), (0.002, 1.0)],
        **known("drawn", on_level_m=0.7, off_level_m=0.4),
    )
    here = today(home[3])

    duties = [
        the_sum(sums_of(here, "pump", FLOW, position), "flow_against_duty").outputs
        for position in (1, 2, 3)
    ]

    assert duties[1]["duty_m3s"] < duties[0]["duty_m3s"]
    assert duties[2] == {"missing": "There is no pump on record here."}


def test_two_pumps_on_one_main_leave_each_other_less(home):
    other = makers.make_system(makers.make_site("9 Ash Ct"), place="by the shed")
    # A 2 in main falling 0.5 % fills with one pump alone.
    main = make_main(home[2], other.site, diameter_m=2.067 * INCH_M, slope=0.005)
    join(main, home[3], other)

    told = the_sum(sums_of(today(home[3]), "pump", FLOW), "shared_main")

    alone = duty_input_of(today(home[3]))
    middle_m = (alone.on_above_floor_m + alone.off_above_floor_m) / 2
    both_m3s = told.outputs["the pit by the driveway duty_m3s"]
    # Two equal pits: each has the other's flow in the main beside its own. The joint solved by
    # itself with that flow in the main gives the same duty.
    beside = replace(alone, joint=replace(alone.joint, other_flow_m3s=both_m3s))
    assert both_m3s == pytest.approx(duty_at(beside, middle_m).flow_m3s, rel=1e-4)
    assert both_m3s < 0.9 * duty_at(alone, middle_m).flow_m3s
    assert both_m3s == pytest.approx(told.outputs["pit 1 of another yard duty_m3s"], rel=1e-6)
    assert "Ash" not in str(told)
    assert "by the shed" not in str(told)
    assert told.verdict == "good"


def test_a_main_says_which_neighbour_or_measure_is_missing(home):
    other = makers.make_system(home[2], parts=False, place="behind the shed")
    makers.add_parts(other, pump=known("drawn", on_level_m=None, off_level_m=None))
    main = make_main(home[2])
    join(main, home[3], other)
    gap = the_sum(sums_of(today(home[3]), "pump", FLOW), "shared_main")

    register.change_part(main, asker=makers.clock(), **known("unknown", length_m=None))
    no_length = the_sum(sums_of(today(home[3]), "pump", FLOW), "shared_main")

    assert gap.missing.startswith("The pit behind the shed joins the same main. The levels at")
    assert "its size, slope or length is not on record" in no_length.missing


def test_a_main_without_other_pumps_is_no_sum(home):
    join(make_main(home[2]), home[3])

    assert [one.what for one in sums_of(today(home[3]), "pump", FLOW)] == ["flow_against_duty"]


def test_a_level_that_rises_in_the_resting_pit_names_its_valve(home):
    rises = {
        "rise_other_runs_m": 2 * INCH_M,
        "rise_other_runs_s": 120.0,
        "rise_all_rest_m": 0.0,
        "rise_all_rest_s": 120.0,
    }
    lone = {"rise_other_runs_m": 2 * INCH_M, "rise_other_runs_s": 120.0}

    found = the_sum(sums_of(today(home[3]), "valve", rises), "other_pit")
    gap = the_sum(sums_of(today(home[3]), "valve", lone), "other_pit")

    # 8.3 ft2 x 2 in = 1.383 ft3 = 10.35 gal in 2 min = 5.17 gpm.
    assert found.outputs["back_m3s"] == pytest.approx(5.17 * GPM_M3S, rel=2e-3)
    assert (found.verdict, found.outputs["found"]) == ("act", "valve_leaks")
    assert "while all rest" in gap.missing


def test_a_drain_time_says_on_what_assumption_it_meets_the_limit(home):
    measured = {"drain_from_m": 1.0, "drain_to_m": 0.4, "drain_s": 36_000.0}
    here = today(home[3])

    one = the_sum(sums_of(here, "percolation", measured), "soakage")
    told = the_sum(sums_of(here, "percolation", {"drain_time_s": 60 * 3600.0}), "soakage")

    # The county counts from the end of rain; levels say from full.
    words = say_result(one, UnitSystem.METRIC).sum
    assert "counted from the end of rain until empty" in words
    assert "That takes the rain to end with the pit full" in words
    assert "Nobody saw the lowest 0.4 m drain" in words
    assert "a shortest time" in words
    assert "it is taken to count as the limit does" in say_result(told, UnitSystem.TRADE).sum
    # 60 h of 72 h is 0.83, above three quarters.
    assert (told.verdict, told.outputs["share_of_limit"]) == ("watch", pytest.approx(60 / 72))


def test_the_trend_ends_in_the_time_that_was_judged_and_before_in_water_as_cold(home):
    cold = {"drain_from_m": 1.0, "drain_to_m": 0.4, "drain_s": 36_000.0}
    seen(
        home[3],
        ("percolation", None, cold | {"water_temperature_c": 8.0}),
        on=TODAY - timedelta(days=300),
    )
    seen(home[3], ("percolation", None, cold | {"water_temperature_c": 18.0}))

    course = next(c for c in queries.courses_for(home[3], today=TODAY) if c.kind == "percolation")
    judged = queries.last_result(home[3], "soakage").outputs["judged_s"]

    # The same fall in warmer water means slower ground. Viscosity of water at 8 and 18 degrees:
    # 1.386 and 1.053 mPa s (common tables, from memory), so the cold time shrinks by 0.760.
    assert course.values[1] == pytest.approx(judged)
    assert course.values[0] / judged == pytest.approx(0.760, abs=0.002)
    assert course.limit == 72 * 3600


def test_a_limit_at_a_level_above_the_full_pit_is_met_at_once_and_has_no_trend(home):
    rule, wet = home[2].jurisdiction, [("10-15", "04-15")]
    register.change_jurisdiction(rule, asker=makers.clock(), wet_seasons=wet, drain_to_level_m=2.0)
    seen(home[3], ("percolation", None, {"drain_from_m": 1.0, "drain_to_m": 0.4, "drain_s": 36e3}))

    assert Result.objects.get().outputs["judged_s"] == 0
    assert Result.objects.get().verdict == "good"
    assert queries.courses_for(home[3], today=TODAY) == []


def test_every_sum_is_read_told_and_counted_again_from_its_row(home):
    other = makers.make_system(home[2], place="behind the shed")
    join(make_main(home[2]), home[3], other)
    seen(
        home[3],
        ("pump", True, FLOW),
        (
            "valve",
            None,
            {
                "rise_after_stop_m": 0.05,
                "rise_other_runs_m": 0.05,
                "rise_other_runs_s": 120.0,
                "rise_all_rest_m": 0.0,
                "rise_all_rest_s": 120.0,
            },
        ),
        ("percolation", None, {"drain_from_m": 1.0, "drain_to_m": 0.4, "drain_s": 36_000.0}),
        ("sediment", None, {"sediment_m": 0.11}),
    )
    rows = list(Result.objects.order_by("pk"))
    before = [read_kept(row).tell(UnitSystem.METRIC) for row in rows]

    again = [weigh_again(row) for row in rows]
    # Years later: counted by a model that is gone.
    Result.objects.update(model_version="2019.1-1")
    later = [read_kept(row).tell(UnitSystem.METRIC) for row in Result.objects.order_by("pk")]

    assert {row.what for row in rows} == set(KINDS)
    assert [(a.outputs, a.verdict) for a in again] == [(r.outputs, r.verdict) for r in rows]
    assert later == before
    assert all(row.verdict_words for row in rows)


def test_a_result_of_another_form_is_said_to_be_so(home):
    seen(home[3], ("sediment", None, {"sediment_m": 0.11}))
    row = Result.objects.get()
    row.outputs = {"limit_m": 0.15}

    assert say_result(row, UnitSystem.TRADE).missing == UNREADABLE
    assert queries.replay_result(row).now is None


def test_every_verdict_has_words_of_the_engine():
    found = {
        "flow_against_duty": ["good", "watch", "repeat", "act"],
        "back_flow": ["tight", "weeps", "stuck_open", "more_than_line", "cannot_tell"],
        "other_pit": ["valve_holds", "valve_leaks", "cannot_tell"],
        "shared_main": ["runs", "shut_out"],
        "soakage": ["good", "watch", "act"],
        "silt": ["good", "watch", "act"],
    }

    clauses = {(what, word): verdict_clause(what, word) for what in found for word in found[what]}

    assert set(STEMS) == set(KINDS) == set(found)
    assert set(VERDICTS) <= {word for words in found.values() for word in words}
    assert all(clauses.values())
    assert not any("{" in clause or clause.endswith(".") for clause in clauses.values())
    assert clauses["back_flow", "cannot_tell"] == "cannot tell by level"


def test_a_line_of_the_list_names_what_each_verdict_is_about(home):
    inspection = seen(
        home[3], ("pump", True, {}), ("percolation", None, {"drain_time_s": 20 * 3600.0})
    )

    # 20 h of 72 h.
    assert inspection_words(inspection) == (
        "Last looked at on 10 May 2027: the pump ran and stopped; drain test: well within the "
        "limit."
    )


def test_a_pump_that_was_replaced_is_proven_by_the_first_full_test_of_the_new_one(home):
    seen(home[3], ("pump", False, {}), on=TODAY - timedelta(days=9))
    old = home[3].pumps.get()
    register.replace_pump(
        old,
        asker=makers.clock(),
        on=TODAY - timedelta(days=4),
        because="dead",
        curve=[(0.0, 7.6), (0.0016, 5.5), (0.0028, 1.8)],
        **known("drawn", on_level_m=0.61, off_level_m=0.30),
    )
    assert Down.objects.get().proven_at is None

    proof = seen(home[3], ("pump", True, {}))

    down = Down.objects.get()
    assert (down.pump, down.proven_by.inspection) == (old, proof)


def test_a_test_of_the_pump_beside_it_proves_nothing_for_one_that_went(home):
    seen(home[3], ("pump", False, {}), on=TODAY - timedelta(days=9))
    register.add_pump(
        home[3],
        asker=makers.clock(),
        position=2,
        curve=[(0.0, 7.6), (0.0028, 1.8)],
        **known("drawn", on_level_m=0.7, off_level_m=0.4),
    )
    register.replace_pump(
        home[3].pumps.get(position=1),
        asker=makers.clock(),
        on=TODAY - timedelta(days=4),
        because="dead",
        curve=[(0.0, 7.6), (0.0028, 1.8)],
    )
    second = LookRecord("pump", passed=True, pump_position=2)
    told = InspectionRecord(id=uuid.uuid4(), on=TODAY, looks=(second,))

    inspection = actions.record_inspection(home[3], asker=makers.clock(), record=told)
    actions.after_inspection(asker=makers.clock(), inspection_id=str(inspection.pk))

    assert Down.objects.get().proven_at is None
