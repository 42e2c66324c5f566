"""What is stored is plain, and counting it again gives the same dates and reasons."""

import json
from dataclasses import replace
from datetime import date

import pytest

from drainservice.engine.asbuilt.known import Known, measured, unknown
from drainservice.engine.interval import MODEL_VERSION
from drainservice.engine.interval.due import DueDates
from drainservice.engine.interval.due_dates import (
    CountedByAnotherModel,
    due_dates,
    read_stored,
    replay,
)
from drainservice.engine.interval.facts import (
    Demand,
    JurisdictionRule,
    LookKind,
    SystemFacts,
    Trend,
    TypeCap,
)
from drainservice.engine.interval.plain import StoredFormUnreadable, from_plain, to_plain
from drainservice.engine.interval.yearly import MonthDay
from tests.engine.interval.makers import TODAY, WINTER, bucket, make_system, proof

FULL = make_system(
    hard_frosts=(WINTER,),
    tests=(
        bucket(date(2025, 8, 1)),
        proof(date(2025, 11, 10), passed=False, mended_on=date(2025, 11, 12)),
        proof(date(2026, 11, 10)),
    ),
    rules=(
        JurisdictionRule(LookKind.LID, "County code", every_days=90),
        JurisdictionRule(LookKind.LID, "City list", by_day=MonthDay(10, 15)),
    ),
    type_caps=(TypeCap(LookKind.PUMP, "pump", 60, 400),),
    trends=(
        Trend(
            LookKind.PERCOLATION,
            date(2026, 11, 10),
            date(2027, 6, 10),
            date(2028, 1, 1),
            date(2029, 1, 1),
            4,
            "72 h",
        ),
    ),
    storm_demand=Demand(6, (1 / 12,) * 12, 0.05),
    target_chosen=measured(0.08),
)


def stored_text():
    return json.dumps(due_dates(FULL, today=TODAY).as_stored())


def test_stored_result_is_plain_json_and_reads_back_equal():
    assert read_stored(json.loads(stored_text())) == due_dates(FULL, today=TODAY)


def test_replay_from_the_stored_inputs_gives_the_same():
    assert replay(json.loads(stored_text())) == due_dates(FULL, today=TODAY)


def test_stored_result_holds_inputs_version_belief_and_candidates():
    stored = json.loads(stored_text())
    pump = next(due for due in stored["dues"] if due["kind"] == "pump")

    assert stored["model_version"] == MODEL_VERSION
    assert stored["facts"]["tests"][1]["mended_on"] == "2025-11-12"
    assert {"mean_per_a", "interval_days", "interval_p10_days"} <= set(pump["posterior"])
    assert [c["governed_by"] for c in pump["candidates"]].count("season") == 1


def test_single_date_stores_without_the_inputs():
    due = due_dates(FULL, today=TODAY).dues[0]

    assert json.loads(json.dumps(due.as_stored()))["due_on"] == due.due_on.isoformat()
    assert "facts" not in due.as_stored()


def test_tampered_inputs_do_not_replay_to_the_stored_dates():
    stored = json.loads(stored_text())
    stored["facts"]["target_chosen"]["value"] = 0.01

    assert replay(stored).dues != due_dates(FULL, today=TODAY).dues


def test_result_of_another_model_can_be_read_but_not_replayed():
    other = replace(due_dates(FULL, today=TODAY), model_version="1999.1-1").as_stored()

    assert read_stored(other).model_version == "1999.1-1"
    with pytest.raises(CountedByAnotherModel, match=r"counted by model 1999\.1-1"):
        replay(other)


def test_damaged_store_is_refused_in_words():
    with pytest.raises(StoredFormUnreadable, match="Count the dates anew"):
        read_stored({"model_version": MODEL_VERSION})
    with pytest.raises(StoredFormUnreadable):
        from_plain(SystemFacts, {"origin": 3})
    with pytest.raises(StoredFormUnreadable):
        from_plain(DueDates, [])


def test_known_values_keep_their_kind():
    day = Known[date]
    assert from_plain(day, to_plain(measured(date(2026, 1, 2)))) == measured(date(2026, 1, 2))
    assert from_plain(day, to_plain(unknown())) == unknown()
