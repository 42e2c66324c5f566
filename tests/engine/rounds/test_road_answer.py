"""Reading a road engine's answer: proper ones exactly, lies and garbage by a sentence.

The shape is the table service of OSRM's HTTP API, version 1: docs/http.md of its repository.
"""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.roads.answer import (
    AnswerCannotBeRead,
    Road,
    judge_road,
    read_code,
    read_table,
)

# One hundredth of a degree of a meridian: 1,111.95 m as the crow flies.
A, B = Place(45.0, -100.0), Place(45.01, -100.0)


def answer(durations, distances, **more):
    return json.dumps(
        {"code": "Ok", "durations": durations, "distances": distances} | more
    ).encode()


def test_a_proper_answer_is_read_with_seconds_rounded_up_and_metres_to_the_nearest():
    roads = read_table(
        answer([[0, 120.2], [140, 0]], [[0, 1500.4], [1600.6, 0]], sources=[{}, {}]),
        (A, B),
        (A, B),
    )

    assert roads == ((Road(0, 0), Road(121, 1500)), (Road(140, 1601), Road(0, 0)))


@pytest.mark.parametrize(("s", "m"), [(None, None), (None, 1500), (120, None)])
def test_no_road_is_no_road(s, m):
    assert read_table(answer([[s]], [[m]]), (A,), (B,)) == ((Road(),),)


@pytest.mark.parametrize(
    ("s", "m", "why"),
    [
        # At least 1,111.95 x 0.99 - 100 = 1,000.8 m, at most 1,111.95 x 6 + 100 = 6,771.7 m.
        (120, 1000, "shorter than the crow flies"),
        (120, 1001, ""),
        (1200, 6771, ""),
        (1200, 6772, "more than 6 times as far as the crow flies"),
        # 130 km/h is 36.11 m/s: (1,500 - 100) / 36.11 = 38.8 s at least.
        (38, 1500, "faster than 130 km/h"),
        (39, 1500, ""),
        # 3 km/h is 0.8333 m/s: 1,500 / 0.8333 + 600 = 2,400 s at most.
        (2400, 1500, ""),
        (2401, 1500, "slower than walking"),
        (0, 1500, "faster than 130 km/h"),
        (-1, 1500, "less than nothing"),
        (120, -1500, "less than nothing"),
    ],
)
def test_a_road_no_car_has_driven_is_refused_with_the_rule(s, m, why):
    assert judge_road(A, B, s, m).refused == why
    assert (judge_road(A, B, s, m).s is None) is bool(why)


def test_a_road_of_more_than_a_day_is_refused():
    far = Place(45.0, 80.0)

    assert judge_road(A, far, 86_401, 12_000_000).refused == "faster than 130 km/h"
    assert judge_road(A, Place(53.0, -100.0), 86_401, 1_200_000).refused == "slower than walking"


def test_neighbours_may_stand_on_one_spot_of_the_road():
    """20 m apart, both moved to the same point of their street."""
    assert judge_road(A, Place(45.00018, -100.0), 0, 0) == Road(0, 0)


@pytest.mark.parametrize(
    ("octets", "words"),
    [
        (b"", "no JSON"),
        (b"<html>busy</html>", "no JSON"),
        (b"\xff\xfe\x00", "no JSON"),
        (b"[" * 100_000, "no JSON"),
        (b'{"code": "Ok", "durations": [[NaN]], "distances": [[1500]]}', "no JSON"),
        (b'{"code": "Ok", "durations": [[-Infinity]], "distances": [[1500]]}', "no JSON"),
        (b'{"code": "Ok", "durations": [[' + b"9" * 5000 + b']], "distances": [[1]]}', "no JSON"),
        (b'{"code": "Ok", "durations": [[1e999]], "distances": [[1500]]}', "no number"),
        (b"[]", "not marked as Ok"),
        (b'"Ok"', "not marked as Ok"),
        (b'{"code": "NoTable", "durations": [[1]], "distances": [[1]]}', "not marked as Ok"),
        (b'{"code": "Ok", "durations": [[120]]}', "no distances"),
        (b'{"code": "Ok", "distances": [[1500]]}', "no durations"),
        (answer({"0": [1]}, [[1500]]), "no durations"),
        (answer([[120], [120]], [[1500]]), "durations are not 1 rows of 1"),
        (answer([[120]], [[1500, 1500]]), "distances are not 1 rows of 1"),
        (answer([120], [[1500]]), "durations are not 1 rows of 1"),
        (answer([["120"]], [[1500]]), "no number"),
        (answer([[True]], [[1500]]), "no number"),
        (answer([[120]], [[10**12]]), "no number"),
    ],
)
def test_what_is_no_table_is_refused_in_words(octets, words):
    with pytest.raises(AnswerCannotBeRead, match=words):
        read_table(octets, (A,), (B,))


@pytest.mark.parametrize(
    ("octets", "code"),
    [
        (b'{"code": "TooBig", "message": "Too many table coordinates"}', "TooBig"),
        (b'{"code": "a b"}', ""),
        (b'{"code": 7}', ""),
        (b"[]", ""),
        (b"no", ""),
        (b'{"code": "' + b"x" * 41 + b'"}', ""),
    ],
)
def test_a_refusals_code_is_read_where_it_is_a_word(octets, code):
    assert read_code(octets) == code


@given(st.binary(max_size=200))
def test_no_octets_make_it_fail_otherwise(octets):
    try:
        rows = read_table(octets, (A,), (B,))
    except AnswerCannotBeRead:
        return
    assert [len(row) for row in rows] == [1]


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=9), inner),
        max_leaves=12,
    ),
    st.sampled_from(["durations", "distances", "code"]),
)
def test_no_json_makes_it_fail_otherwise(thing, place):
    told = {"code": "Ok", "durations": [[120]], "distances": [[1500]]} | {place: thing}
    try:
        ((road,),) = read_table(json.dumps(told).encode(), (A,), (B,))
    except AnswerCannotBeRead:
        return
    assert road == Road() or road.refused or (1000 < road.m < 6773 and road.s >= 0)
