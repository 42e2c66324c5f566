"""Sentences are told in plain English, and none is left without a text."""

import re
from datetime import date
from pathlib import Path

import pytest

import drainservice.engine.interval as interval
from drainservice.engine.asbuilt import facts as f
from drainservice.engine.asbuilt.finding import DefectKind
from drainservice.engine.explain import (
    CONSEQUENCES,
    DEFECTS,
    LOOKS,
    TEXTS,
    Sentence,
    SentenceUnknown,
    say_chance,
    say_date,
    tell,
    tell_all,
)
from drainservice.engine.interval.due import DueKind
from drainservice.engine.interval.due_dates import due_dates
from drainservice.engine.interval.facts import AsBuiltSince, Consequence, LookKind
from drainservice.engine.interval.pump_due import lengthening_sentences
from tests.engine.interval.makers import HANDED_OVER_ON, TODAY, make_build, make_system

POOR = make_build(valve_attitude=f.ValveAttitude.ON_SIDE, weep_hole_is_present=False)


def test_a_reason_reads_as_a_person_would_say_it():
    system = make_system(as_built=(AsBuiltSince(HANDED_OVER_ON, POOR),))
    due = due_dates(system, today=TODAY).of(DueKind.PUMP)

    assert tell_all(due.reason) == (
        "Test the pump by 25 May 2027. The wet season starts 1 June 2027 and the last passed test "
        "will then be 203 days old. With the valve lying on its side and no weep hole the chance "
        "of finding this pump dead after a year without a test is about 1 in 5. Accepted here "
        "(near a structure or patio): dead at most 10 % of the time. Range for systems like this: "
        "5 to 37 months. The rates are our judgement."
    )
    # The season keeps its date whatever is mended.
    assert tell_all(lengthening_sentences(due)[:1]) == (
        "Setting the valve upright would stretch the pump's own interval to 11 months; due then "
        "25 May 2027."
    )
    assert [tell(s)[:22] for s in lengthening_sentences(due)[1:]] == [
        "Drilling the weep hole",
        "A quarterly bucket tes",
    ]


def test_counts_are_singular_where_there_is_one():
    assert tell(Sentence("own_history", (("tests", 1), ("failures", 0)))) == (
        "1 test of this pump counted, 0 failures among them."
    )
    assert tell(Sentence("household_weighs_less", (("wrong", 1),))).startswith(
        "Answers of this household proved wrong once"
    )


def test_chances_are_said_as_people_say_them():
    assert say_chance(0.217) == "about 1 in 5"
    assert say_chance(0.46) == "about 46 in 100"
    assert say_chance(0.0001) == "below 1 in 1,000"
    assert say_date(date(2027, 5, 25)) == "25 May 2027"


def test_every_sentence_the_interval_speaks_has_a_text():
    source = "".join(p.read_text() for p in Path(interval.__file__).parent.glob("*.py"))
    spoken = set(re.findall(r'Sentence\(\s*"(\w+)"', source))

    assert len(spoken) > 25
    assert spoken <= set(TEXTS)


def test_every_code_word_has_its_phrase():
    assert set(LOOKS) == set(LookKind)
    assert set(CONSEQUENCES) == set(Consequence)
    assert set(DEFECTS) - {"household_test"} <= set(DefectKind)


def test_sentence_without_a_text_is_refused_in_words():
    with pytest.raises(SentenceUnknown, match="There is no text for 'gone'"):
        tell(Sentence("gone"))


def test_a_defect_that_cannot_wait_is_named_in_words():
    values = (("defect", "valve_against_flow"), ("due_on", "2027-05-25"))

    assert tell(Sentence("mend_defect", values)) == (
        "This cannot wait: the valve's arrow against the flow. Mend it by 25 May 2027."
    )
