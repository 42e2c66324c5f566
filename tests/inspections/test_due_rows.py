"""Due dates as rows: counted in few statements, retired, told in the firm's units, replayed."""

import json
import uuid
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from drainservice.accounts import actions as accounts
from drainservice.accounts import queries as account_queries
from drainservice.accounts.asker import NotFound
from drainservice.inspections import actions, queries
from drainservice.inspections.actions import counting
from drainservice.inspections.models import Due, Reckoning, Result
from drainservice.inspections.models.record import InspectionRecord, LookRecord, ReadingRecord
from drainservice.register import actions as register
from drainservice.register import queries as register_queries
from tests import makers

pytestmark = pytest.mark.django_db
TODAY = date(2027, 5, 10)


def full_record(on=TODAY):
    """Every look that leads to a sum."""
    told = {
        "pump": {"pump_down_from_m": 0.61, "pump_down_to_m": 0.41, "pump_down_s": 40.0},
        "valve": {"rise_after_stop_m": 0.05},
        "percolation": {"drain_from_m": 1.0, "drain_to_m": 0.4, "drain_s": 36_000.0},
        "sediment": {"sediment_m": 0.11},
    }
    looks = tuple(
        LookRecord(
            kind,
            passed=True if kind == "pump" else None,
            readings=tuple(ReadingRecord(k, v) for k, v in values.items()),
        )
        for kind, values in told.items()
    )
    return InspectionRecord(id=uuid.uuid4(), on=on, looks=looks)


def seen(system, on=TODAY):
    asker = makers.clock()
    inspection = actions.record_inspection(system, asker=asker, record=full_record(on))
    actions.after_inspection(asker=asker, inspection_id=str(inspection.pk))
    return inspection


def current(system):
    return Due.objects.current().filter(system=system)


def statements(act):
    with CaptureQueriesContext(connection) as told:
        act()
    return len(told)


def test_every_stored_result_counts_again_to_equal_numbers(home):
    seen(home[3])
    results = list(Result.objects.all())

    replays = {result.what: queries.replay_result(result) for result in results}

    assert set(replays) == {"flow_against_duty", "back_flow", "soakage", "silt"}
    for what, replayed in replays.items():
        assert replayed.is_equal, what
        assert "missing" not in replayed.then, what
        assert replayed.words == "Counted again from its stored inputs, it comes out equal."


def test_a_result_counts_again_whatever_order_its_inputs_are_kept_in(home):
    seen(home[3])

    for result in Result.objects.all():
        result.inputs = json.loads(json.dumps(result.inputs, sort_keys=True))
        assert queries.replay_result(result).is_equal
        result.inputs = {key: result.inputs[key] for key in reversed(list(result.inputs))}
        assert queries.replay_result(result).is_equal


def test_every_stored_due_date_counts_again_to_the_same_answer(home):
    seen(home[3])
    register.enter_system(home[2], asker=makers.clock(), place="old one", origin="adopted")
    actions.find_due(asker=makers.clock())
    dues = list(Due.objects.current().select_related("reckoning"))
    assert len({due.kind for due in dues}) > 4

    for due in dues:
        assert queries.replay_due(due).is_equal, due.kind


def test_another_models_answer_says_so_plainly(home):
    seen(home[3])
    due = current(home[3]).get(kind="pump")
    due.reckoning.model_version = "0.0"
    result = Result.objects.first()
    result.model_version = "0.0"

    for replayed in (queries.replay_due(due), queries.replay_result(result)):
        assert not replayed.is_same_model
        assert "It was counted by model 0.0; this is model" in replayed.words


def test_an_answer_that_comes_out_otherwise_or_not_at_all_says_so(home):
    seen(home[3])
    due = current(home[3]).get(kind="pump")
    result = Result.objects.get(what="silt")

    result.outputs = result.outputs | {"limit_m": 99.0}
    assert "otherwise" in queries.replay_result(result).words
    result.inputs = {"depth": 1}
    assert "another form" in queries.replay_result(result).words
    due.reckoning.inputs = {"pump": 3}
    assert "another form" in queries.replay_due(due).words


def test_other_units_tell_the_reasons_again_and_only_once(home, monkeypatch):
    plain = counting.tell_all
    monkeypatch.setattr(counting, "tell_all", lambda why, units: f"{plain(why, units)} {units}")
    seen(home[3])
    before = {due.kind: due.reason_text for due in current(home[3])}

    firm = account_queries.the_firm()
    accounts.change_firm(firm, asker=makers.clock(), units="metric")
    night = actions.find_due(asker=makers.clock())

    after = {due.kind: due.reason_text for due in current(home[3])}
    assert night.counted == 1
    assert before["pump"].endswith(" trade")
    assert after == {kind: words.replace(" trade", " metric") for kind, words in before.items()}
    assert actions.find_due(asker=makers.clock()).counted == 0


def test_other_rules_change_the_dates_with_the_next_count(home):
    seen(home[3])
    before = current(home[3]).get(kind="percolation").due_on

    strict = makers.make_jurisdiction(name="Lower Tarn", rule_months={"percolation": 1})
    register.change_site(home[2], asker=makers.clock(), jurisdiction=strict)
    actions.refresh_due(asker=makers.clock(), system_id=home[3].pk)

    after = current(home[3]).get(kind="percolation")
    assert after.due_on < before
    # 1 month of 30.4375 days after 10 May.
    assert after.due_on == date(2027, 6, 9)


@pytest.mark.parametrize("status", ["out_of_use", "dug_out"])
def test_a_system_out_of_use_has_no_dates_and_gets_them_back(home, dispatcher, status):
    seen(home[3])
    kinds = set(current(home[3]).values_list("kind", flat=True))
    register.set_status(home[3], asker=makers.clock(), status=status)

    actions.refresh_due(asker=makers.clock(), system_id=home[3].pk)
    assert not current(home[3]).exists()
    assert queries.due_list(dispatcher) == []

    register.set_status(home[3], asker=makers.clock(), status="in_use")
    actions.refresh_due(asker=makers.clock(), system_id=home[3].pk)
    assert set(current(home[3]).values_list("kind", flat=True)) == kinds


def test_what_stands_flagged_stays_so_when_it_is_counted_anew(home):
    actions.refresh_due(asker=makers.clock(), system_id=home[3].pk)
    actions.flag_overdue(asker=makers.clock())
    flagged = {due.kind: due.flagged_at for due in current(home[3]).exclude(flag="")}
    assert "pump" in flagged

    register.change_part(home[3].pumps.get(), asker=makers.clock(), base="", base_how="unknown")
    actions.refresh_due(asker=makers.clock(makers.later(hours=5)), system_id=home[3].pk)

    again = {due.kind: due.flagged_at for due in current(home[3]).exclude(flag="")}
    assert again == flagged


def test_a_flag_goes_with_the_look_that_was_done(home):
    actions.refresh_due(asker=makers.clock(), system_id=home[3].pk)
    actions.flag_overdue(asker=makers.clock())

    seen(home[3])

    assert current(home[3]).get(kind="pump").flag == ""


def test_the_list_is_drawn_forward_by_what_a_dead_pump_would_do_there(home):
    yard = makers.make_system(home[2], place="far corner", consequence="yard")
    for system in (home[3], yard):
        actions.refresh_due(asker=makers.clock(), system_id=system.pk)

    for due in Due.objects.current():
        # 7 days for a structure near by, none for the yard alone.
        ahead = 7 if due.system_id == home[3].pk else 0
        assert (due.due_on - due.rank_on).days == ahead
        assert due.opens_on <= due.due_on


def test_a_batch_is_counted_in_a_fixed_number_of_statements(home):
    seen(home[3])
    actions.find_due(asker=makers.clock(), force=True)
    one = statements(lambda: actions.find_due(asker=makers.clock(), force=True))
    for number in range(5):
        seen(makers.make_system(home[2], place=f"row {number}"))
    actions.find_due(asker=makers.clock(), force=True)

    six = statements(lambda: actions.find_due(asker=makers.clock(), force=True))

    assert six == one


def test_the_first_count_of_a_batch_adds_one_statement_a_system_at_most(home):
    actions.find_due(asker=makers.clock())
    one = statements(lambda: actions.find_due(asker=makers.clock(), force=True))
    for number in range(5):
        makers.make_system(home[2], place=f"row {number}")

    # and one for each of the three flags that is raised
    assert statements(lambda: actions.find_due(asker=makers.clock())) <= one + 5 + 3
    assert Reckoning.objects.count() == 6


def test_the_due_list_and_the_questions_of_a_page_take_a_fixed_number_of_statements(
    home, dispatcher
):
    def look():
        for due in queries.due_list(dispatcher):
            str(due.system.site.address + due.system.code)
        queries.flag_counts(dispatcher)
        for inspection in queries.inspections_of(home[3]):
            for one in inspection.looks.all():
                list(one.readings.all()), list(one.results.all())
        queries.history_of(home[3])
        register_queries.whole(home[3], day=TODAY)

    seen(home[3])
    few = statements(look)
    for number in range(4):
        seen(makers.make_system(home[2], place=f"row {number}"))
        seen(home[3], on=date(2026, 5, 10 + number))

    assert statements(look) == few


def test_a_household_reads_no_inspection_from_before_its_time(home, homeowner):
    before = seen(home[3], on=date(2019, 12, 31))
    since = seen(home[3], on=date(2020, 1, 1))

    assert queries.inspection_for(homeowner, since.pk) == since
    with pytest.raises(NotFound):
        queries.inspection_for(homeowner, before.pk)
