"""Laws that hold for any system: what may never make a date later, or earlier."""

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.asbuilt import facts as f
from drainservice.engine.asbuilt.known import measured
from drainservice.engine.interval.due import DueKind, GovernedBy
from drainservice.engine.interval.due_dates import due_dates, read_stored, replay
from drainservice.engine.interval.facts import (
    AsBuiltSince,
    Consequence,
    JurisdictionRule,
    LookKind,
    LookOutcome,
    Origin,
)
from drainservice.engine.interval.yearly import MonthDay, Span, spell_holding
from drainservice.engine.reliability.history import PumpTest, SeenBy, SightKind
from tests.engine.interval.makers import HANDED_OVER_ON, TODAY, look, make_build, make_system, proof

# A busy machine must not make a law fail.
FEW = settings(max_examples=40, deadline=None)

month_day = st.builds(MonthDay, st.integers(1, 12), st.integers(1, 28))
days = st.integers(0, (TODAY - HANDED_OVER_ON).days).map(
    lambda n: HANDED_OVER_ON + timedelta(days=n)
)


@st.composite
def spans(draw, longest):
    start = date(2001, 1, 1) + timedelta(days=draw(st.integers(0, 364)))
    end = start + timedelta(days=draw(st.integers(10, longest)))
    return Span(MonthDay(start.month, start.day), MonthDay(end.month, end.day))


pump_tests = st.builds(
    lambda on, kind, passed, seen_by: PumpTest(
        on, kind, passed, seen_by, mended_on=None if passed else on
    ),
    days,
    st.sampled_from([SightKind.PROOF, SightKind.BUCKET, SightKind.STORM_RUN]),
    st.booleans(),
    st.sampled_from(list(SeenBy)),
)
builds = st.builds(
    make_build,
    valve_attitude=st.sampled_from(list(f.ValveAttitude)),
    weep_hole_is_present=st.booleans(),
    pump_base=st.sampled_from(list(f.PumpBase)),
    tree_is_near=st.booleans(),
    valve_place=st.sampled_from(list(f.ValvePlace)),
)


@st.composite
def systems(draw):
    looked = draw(st.lists(days, max_size=3))
    kinds = st.sampled_from(list(LookKind))
    return make_system(
        origin=draw(st.sampled_from(list(Origin))),
        consequence=draw(st.sampled_from(list(Consequence))),
        as_built=(AsBuiltSince(HANDED_OVER_ON, draw(builds)),),
        looks=(
            *(look(LookKind.PUMP, on) for on in looked),
            *draw(st.lists(st.builds(look, kinds, days), max_size=4)),
        ),
        tests=tuple(draw(st.lists(pump_tests, max_size=5))),
        wet_seasons=tuple(draw(st.lists(spans(120), max_size=2))),
        hard_frosts=tuple(draw(st.lists(spans(90), max_size=1))),
    )


def pump_due(system):
    return due_dates(system, today=TODAY).of(DueKind.PUMP)


@FEW
@given(systems(), days)
def test_a_failed_test_is_never_due_later_than_a_passed_one(system, on):
    passed = replace(system, tests=(*system.tests, proof(on)))
    failed = replace(system, tests=(*system.tests, proof(on, passed=False, mended_on=on)))
    looked = (*system.looks, look(LookKind.PUMP, on))

    assert (
        pump_due(replace(failed, looks=looked)).due_on
        <= pump_due(replace(passed, looks=looked)).due_on
    )


@FEW
@given(systems(), st.floats(0.02, 0.4), st.floats(0.1, 1))
def test_a_stricter_target_is_never_later(system, target, strictness):
    slack = replace(system, target_chosen=measured(target))
    strict = replace(system, target_chosen=measured(target * strictness))

    assert pump_due(strict).due_on <= pump_due(slack).due_on


@FEW
@given(systems())
def test_a_graver_consequence_is_never_later(system):
    dates = [pump_due(replace(system, consequence=c)).due_on for c in Consequence]

    assert dates == sorted(dates, reverse=True)


@FEW
@given(systems())
def test_no_look_falls_in_hard_frost(system):
    looks = [
        due
        for due in due_dates(system, today=TODAY)
        if due.kind not in (DueKind.MEND, DueKind.ACCESS) and due.governed_by is not GovernedBy.DOWN
    ]

    assert len(looks) >= 5
    assert [d.kind for d in looks if spell_holding(system.hard_frosts, d.due_on)] == []
    assert [d.kind for d in looks if spell_holding(system.hard_frosts, d.opens_on)] == []


@FEW
@given(systems(), st.sampled_from(list(LookKind)), days)
def test_a_look_that_was_not_done_moves_nothing(system, kind, on):
    tried = look(kind, on, LookOutcome.NOT_DONE, "gate")
    after = replace(system, looks=(*system.looks, tried))

    assert due_dates(after, today=TODAY).dues == due_dates(system, today=TODAY).dues


@FEW
@given(systems(), st.integers(30, 400))
def test_a_rule_never_makes_anything_later(system, every_days):
    rule = JurisdictionRule(LookKind.PUMP, "County code", every_days=every_days)

    assert pump_due(replace(system, rules=(rule,))).due_on <= pump_due(system).due_on


@FEW
@given(systems(), st.integers(1, 600))
def test_dates_do_not_recede_from_night_to_night(system, later):
    still = [due for due in due_dates(system, today=TODAY) if due.governed_by is GovernedBy.CAP]
    tomorrow = due_dates(system, today=TODAY + timedelta(days=later))

    assert [tomorrow.of(due.kind).due_on for due in still] == [due.due_on for due in still]


@FEW
@given(systems())
def test_what_governs_is_the_earliest_and_its_window_opens_first(system):
    for due in due_dates(system, today=TODAY):
        earliest = min(c.on for c in due.candidates)
        assert due.opens_on <= due.due_on
        assert due.due_on == earliest or due.governed_by is GovernedBy.FROST
        assert due.governed_by in {c.governed_by for c in due.candidates}


@FEW
@given(systems())
def test_what_is_stored_replays_to_the_same(system):
    counted = due_dates(system, today=TODAY)

    assert read_stored(counted.as_stored()) == counted
    assert replay(counted.as_stored()) == counted
