"""A drain time carries its definition, and two definitions are never compared silently."""

import math

import pytest

from drainservice.engine.soakage.drain_time import (
    END_OF_RAIN_TO_EMPTY,
    FULL_TO_EMPTY,
    PEAK_TO_EMPTY,
    CountsFrom,
    CountsTo,
    Definition,
    DefinitionIsMuddled,
    DefinitionsDiffer,
    DrainTime,
    DrainTimeIsImpossible,
    compare_drain_times,
)
from drainservice.engine.units import UnitSystem


def test_compares_two_times_that_count_alike():
    now, before = DrainTime(30.0, PEAK_TO_EMPTY), DrainTime(20.0, PEAK_TO_EMPTY)

    assert compare_drain_times(now, before) == pytest.approx(1.5)


def test_refuses_to_compare_two_definitions_and_says_which():
    now, before = DrainTime(30.0, PEAK_TO_EMPTY), DrainTime(20.0, END_OF_RAIN_TO_EMPTY)

    with pytest.raises(DefinitionsDiffer, match=r"from the highest level.*from the end of rain"):
        compare_drain_times(now, before)


def test_two_filled_levels_are_two_definitions():
    low = Definition(CountsFrom.LEVEL, CountsTo.EMPTY, from_level_m=0.5)
    high = Definition(CountsFrom.LEVEL, CountsTo.EMPTY, from_level_m=1.0)

    with pytest.raises(DefinitionsDiffer):
        compare_drain_times(DrainTime(1.0, low), DrainTime(1.0, high))


def test_is_restated_only_with_a_reason_that_stays():
    measured = DrainTime(30.0, FULL_TO_EMPTY)

    restated = measured.restate(END_OF_RAIN_TO_EMPTY, "filled as a full storm would")

    assert restated == DrainTime(30.0, END_OF_RAIN_TO_EMPTY, "filled as a full storm would")
    with pytest.raises(DefinitionsDiffer, match="Write down why"):
        measured.restate(END_OF_RAIN_TO_EMPTY, " ")


def test_reads_as_a_phrase_in_the_units_of_the_reader():
    poured = Definition(CountsFrom.LEVEL, CountsTo.LEVEL, 0.9144, 0.3048)

    phrase = poured.describe(UnitSystem.TRADE)

    assert phrase.startswith("from a level of 3 ft")
    assert "until a level of 1 ft" in phrase


def test_writes_itself_as_a_key_that_holds_its_levels():
    poured = Definition(CountsFrom.LEVEL, CountsTo.LEVEL, 0.9144, 0.3048)

    assert PEAK_TO_EMPTY.code == "peak>empty"
    assert poured.code == "level:0.914>level:0.305"


def test_error_names_levels_in_both_units():
    poured = Definition(CountsFrom.LEVEL, CountsTo.EMPTY, from_level_m=0.9144)

    with pytest.raises(DefinitionsDiffer, match=r"3 ft.*0\.914 m"):
        compare_drain_times(DrainTime(1.0, poured), DrainTime(1.0, PEAK_TO_EMPTY))


@pytest.mark.parametrize(
    "levels",
    [
        (CountsFrom.PEAK, CountsTo.EMPTY, 0.5, 0.0),
        (CountsFrom.PEAK, CountsTo.EMPTY, 0.0, 0.5),
        (CountsFrom.LEVEL, CountsTo.EMPTY, 0.0, 0.0),
        (CountsFrom.PEAK, CountsTo.LEVEL, 0.0, 0.0),
        (CountsFrom.LEVEL, CountsTo.LEVEL, 0.5, 0.5),
    ],
)
def test_refuses_a_muddled_definition(levels):
    with pytest.raises(DefinitionIsMuddled):
        Definition(*levels)


@pytest.mark.parametrize("time_s", [-1.0, math.nan, math.inf])
def test_refuses_a_time_that_cannot_be(time_s):
    with pytest.raises(DrainTimeIsImpossible):
        DrainTime(time_s, PEAK_TO_EMPTY)


def test_refuses_to_compare_with_a_time_of_zero():
    with pytest.raises(DrainTimeIsImpossible, match="zero"):
        compare_drain_times(DrainTime(1.0, PEAK_TO_EMPTY), DrainTime(0.0, PEAK_TO_EMPTY))
