"""Every fact of the trade is a rule; what nobody knows is neither fine nor wrong."""

from dataclasses import fields, replace

import pytest

from drainservice.engine.asbuilt import facts as f
from drainservice.engine.asbuilt.check import RULES, asks_of, check_as_built, defects_of
from drainservice.engine.asbuilt.facts import AsBuilt
from drainservice.engine.asbuilt.finding import DefectKind as D
from drainservice.engine.asbuilt.known import (
    How,
    Known,
    ValueDoesNotFitHow,
    measured,
    told,
    unknown,
)

SOUND = AsBuilt(
    has_pump=measured(True),
    valve_is_present=measured(True),
    valve_leaks=measured(False),
    valve_attitude=measured(f.ValveAttitude.UPRIGHT),
    valve_arrow_with_flow=measured(True),
    valve_place=measured(f.ValvePlace.IN_PIT),
    weep_hole_is_present=measured(True),
    pump_base=measured(f.PumpBase.SOLID),
    insert_is_supported=measured(True),
    joint=measured(f.Joint.WYE),
    stone=measured(f.Stone.CLEAN_LARGE),
    fabric=measured(f.Fabric.NON_WOVEN),
    cover=measured(f.Cover.FLUSH_LID),
    lid_is_child_safe=measured(True),
    tree_is_near=measured(False),
    leaf_trap_is_present=measured(True),
    structure_is_near=measured(False),
    has_alarm=measured(True),
    has_backup=measured(False),
    outlet_is_gfci=measured(True),
    line_holds_water=measured(False),
    ground_freezes=measured(True),
    runs_without_rain=measured(False),
    water_to_start_m3=measured(0.05),
)

# Facts of the trade: common practice, no source.
WRONG = [
    ({"valve_is_present": False}, D.NO_CHECK_VALVE),
    ({"valve_leaks": True}, D.VALVE_LEAKS),
    ({"valve_attitude": f.ValveAttitude.ON_SIDE}, D.VALVE_ON_SIDE),
    ({"valve_attitude": f.ValveAttitude.UPSIDE_DOWN}, D.VALVE_UPSIDE_DOWN),
    ({"valve_arrow_with_flow": False}, D.VALVE_AGAINST_FLOW),
    ({"valve_place": f.ValvePlace.BURIED}, D.VALVE_BURIED),
    ({"weep_hole_is_present": False}, D.NO_WEEP_HOLE),
    ({"pump_base": f.PumpBase.LOOSE_STONE}, D.PUMP_ON_LOOSE_STONE),
    ({"insert_is_supported": False}, D.INSERT_NOT_SUPPORTED),
    ({"joint": f.Joint.TEE}, D.TEE_JOINT),
    ({"stone": f.Stone.SMALL}, D.FINE_STONE),
    ({"stone": f.Stone.GRADED}, D.FINE_STONE),
    ({"fabric": f.Fabric.LANDSCAPING}, D.WRONG_FABRIC),
    ({"fabric": f.Fabric.NONE}, D.WRONG_FABRIC),
    ({"cover": f.Cover.NO_LID}, D.NO_ACCESS_LID),
    ({"cover": f.Cover.BURIED_LID}, D.LID_BURIED),
    ({"lid_is_child_safe": False}, D.LID_NOT_CHILD_SAFE),
    ({"tree_is_near": True}, D.NEAR_TREES),
    ({"leaf_trap_is_present": False}, D.NO_LEAF_TRAP),
    ({"structure_is_near": True}, D.NEAR_STRUCTURE_DEPENDS_ON_PUMP),
    ({"has_alarm": False}, D.NO_ALARM),
    ({"outlet_is_gfci": False}, D.NO_GFCI),
    ({"line_holds_water": True}, D.LINE_HOLDS_WATER_FREEZES),
    ({"runs_without_rain": True}, D.RUNS_WITHOUT_RAIN),
    # 62 gal in a 4 ft square pit a foot of rise: 0.235 m3.
    ({"water_to_start_m3": 0.235}, D.BUCKET_SELDOM_STARTS_PUMP),
]


def built(**values):
    return replace(SOUND, **{name: told(value) for name, value in values.items()})


@pytest.mark.parametrize(("values", "kind"), WRONG, ids=[kind for _, kind in WRONG])
def test_each_mistake_is_found_alone(values, kind):
    found = defects_of(built(**values))

    assert [finding.kind for finding in found] == [kind]
    assert found[0].how in (How.TOLD, How.MEASURED)
    assert found[0].consequence.endswith(".")
    assert found[0].action.endswith(".")


def test_every_kind_of_defect_can_be_found():
    assert {kind for _, kind in WRONG} == set(D)


def test_sound_system_has_neither_defect_nor_question():
    check = check_as_built(SOUND)

    assert check.findings == ()
    assert check.asks == ()


def test_unknown_system_has_no_defect_and_a_question_for_every_fact():
    check = check_as_built(AsBuilt())

    assert check.findings == ()
    assert {ask.fact for ask in check.asks} == {field.name for field in fields(AsBuilt)}
    assert all(ask.what.endswith("?") and ask.why.endswith(".") for ask in check.asks)


@pytest.mark.parametrize("name", [field.name for field in fields(AsBuilt)])
def test_one_unknown_fact_asks_one_question(name):
    as_built = replace(SOUND, **{name: unknown()})

    assert defects_of(as_built) == []
    assert [ask.fact for ask in asks_of(as_built)] == [name]


def test_pit_without_a_pump_hears_nothing_of_pump_valve_or_line():
    bare = AsBuilt(has_pump=told(False), fabric=told(f.Fabric.LANDSCAPING))

    assert [finding.kind for finding in defects_of(bare)] == [D.WRONG_FABRIC]
    assert {"valve_place", "pump_base", "joint", "has_alarm"}.isdisjoint(
        ask.fact for ask in asks_of(bare)
    )


def test_missing_valve_is_not_asked_how_it_lies():
    as_built = replace(built(valve_is_present=False), valve_attitude=unknown())

    assert [finding.kind for finding in defects_of(as_built)] == [D.NO_CHECK_VALVE]
    assert asks_of(as_built) == []


def test_line_that_holds_water_is_fine_where_nothing_freezes():
    as_built = replace(built(line_holds_water=True), ground_freezes=told(False))

    assert defects_of(as_built) == []


def test_two_facts_are_only_as_sure_as_the_weaker():
    as_built = replace(SOUND, line_holds_water=Known(True, How.ASSUMED))

    assert [finding.how for finding in defects_of(as_built)] == [How.ASSUMED]


def test_circumstances_are_not_called_defects():
    kinds = {r.kind for r in RULES if not r.is_defect}

    assert kinds == {D.NEAR_TREES, D.BUCKET_SELDOM_STARTS_PUMP}
    assert [x.is_defect for x in defects_of(built(structure_is_near=True))] == [False]


def test_what_cannot_wait_says_so():
    urgent = {r.kind for r in RULES if r.mend_now}

    assert urgent == {D.VALVE_AGAINST_FLOW, D.VALVE_UPSIDE_DOWN, D.LID_NOT_CHILD_SAFE}


def test_a_value_must_fit_how_it_is_known():
    with pytest.raises(ValueDoesNotFitHow, match="mark it unknown"):
        Known(True, How.UNKNOWN)
    with pytest.raises(ValueDoesNotFitHow, match="say how it is known"):
        Known(None, How.TOLD)


def test_without_a_valve_nothing_else_is_said_of_it():
    bad_valve = {
        "valve_is_present": False,
        "valve_leaks": True,
        "valve_attitude": f.ValveAttitude.ON_SIDE,
        "valve_arrow_with_flow": False,
        "valve_place": f.ValvePlace.BURIED,
        "weep_hole_is_present": False,
    }
    for attitude in (f.ValveAttitude.ON_SIDE, f.ValveAttitude.UPSIDE_DOWN):
        found = defects_of(built(**(bad_valve | {"valve_attitude": attitude})))
        assert [finding.kind for finding in found] == [D.NO_CHECK_VALVE]


def test_a_pit_without_a_pump_has_only_its_pit_and_lid_judged():
    bare = replace(SOUND, has_pump=told(False))
    wrong = {name: told(value) for values, _ in WRONG for name, value in values.items()}

    found = {finding.kind for finding in defects_of(replace(bare, **wrong, has_pump=told(False)))}

    assert found == {
        D.INSERT_NOT_SUPPORTED,
        D.FINE_STONE,
        D.WRONG_FABRIC,
        D.LID_BURIED,
        D.LID_NOT_CHILD_SAFE,
        D.NEAR_TREES,
        D.NO_LEAF_TRAP,
    }
    no_lid = replace(bare, cover=told(f.Cover.NO_LID))
    assert [finding.kind for finding in defects_of(no_lid)] == [D.NO_ACCESS_LID]


def test_a_bucket_is_enough_up_to_four_of_them():
    # Four pails of 5 US gallons: 20 x 3.785411784 L = 75.7 L.
    assert defects_of(built(water_to_start_m3=0.0757)) == []
    assert [x.kind for x in defects_of(built(water_to_start_m3=0.0758))] == [
        D.BUCKET_SELDOM_STARTS_PUMP
    ]
