"""A broken day stored and read again gives the same repair; what cannot be read is said."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainservice.engine.rounds.broken import Away, Broken, Late, StopFacts, Told
from drainservice.engine.rounds.broken_stored import broken_as_plain, read_broken
from drainservice.engine.rounds.stored_fields import InputsCannotBeRead

seconds = st.integers(0, 10**6)
brokens = st.builds(
    Broken,
    seconds,
    st.lists(st.builds(Away, st.integers(1, 9), seconds, seconds), max_size=3).map(tuple),
    st.lists(
        st.builds(Late, st.integers(1, 9), seconds, st.none() | st.integers(0, 9)), max_size=3
    ).map(tuple),
    st.lists(st.integers(0, 9), max_size=3).map(tuple),
)
known = st.builds(
    StopFacts,
    st.just("12 Elm Rd"),
    st.sampled_from(Told),
    st.booleans(),
    st.booleans(),
    st.integers(0, 3),
    st.none() | st.integers(-9, 99),
    st.none() | st.integers(1, 9),
)


@settings(max_examples=100, deadline=None)
@given(brokens, st.dictionaries(st.integers(1, 99), known, max_size=4))
def test_what_was_stored_is_read_again(broken, facts):
    stored = json.loads(json.dumps(broken_as_plain(broken, facts)))

    again = read_broken(stored, dict.fromkeys(facts, "12 Elm Rd"))

    assert again == (broken, facts)


def test_names_are_not_stored():
    plain = broken_as_plain(Broken(0), {7: StopFacts("12 Elm Rd")})

    assert "Elm" not in json.dumps(plain)
    assert read_broken(plain, {})[1][7].name == "visit 7"


@pytest.mark.parametrize(
    ("plain", "said"),
    [
        (None, "repair"),
        ({"broken": {}, "facts": []}, "repair.broken lacks 'now_s'"),
        ({"broken": {"now_s": 0, "absent": []}, "facts": []}, "a field 'absent'"),
        ({"broken": {"now_s": 0}, "facts": [{"key": 1, "told": "shouted"}]}, "must be one of: nob"),
        ({"broken": {"now_s": 0, "urgent": ["x"]}, "facts": []}, "repair.broken.urgent"),
    ],
)
def test_what_cannot_be_read_is_said(plain, said):
    with pytest.raises(InputsCannotBeRead, match=said):
        read_broken(plain, {})
