"""A season's question and answer kept as text, read again as they were, refused in words."""

import json
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.facts import Place
from drainservice.engine.rounds.season.facts import (
    GivenCosts,
    PumpRisk,
    SeasonFacts,
    SeasonSettings,
    SeasonTravel,
    SeasonVisit,
    SeasonWeek,
)
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.engine.rounds.season.stored import (
    SeasonCannotBeRead,
    SeasonQuestion,
    read_season,
    read_season_effort,
    read_season_plan,
    season_as_json,
    season_plan_as_plain,
)

MONDAY = date(2027, 6, 7)
SHORT = SeasonEffort(first_steps=20, rebuilds=50, last_steps=20)
numbers = st.floats(0, 1e6, allow_nan=False)
weeks_or_none = st.none() | st.integers(0, 3)


@st.composite
def questions(draw):
    """Up to five visits in four weeks, with rates or with given costs."""
    given_costs = st.builds(GivenCosts, st.tuples(*[numbers] * 4), numbers)
    visits = tuple(
        SeasonVisit(
            key=key,
            place=Place(draw(st.floats(-80, 80)), draw(st.floats(-170, 170))),
            work_min=draw(numbers),
            costs=draw(given_costs | st.builds(PumpRisk, numbers, numbers, numbers)),
            earliest=draw(st.integers(0, 3)),
            last=draw(weeks_or_none),
            promised=draw(weeks_or_none),
            offered=draw(weeks_or_none),
        )
        for key in range(draw(st.integers(0, 5)))
    )
    facts = SeasonFacts(
        visits=visits,
        weeks=tuple(SeasonWeek(MONDAY + timedelta(weeks=n), draw(numbers), 1.5) for n in range(4)),
        homes=(Place(44.0, -123.1),),
        storm_chances=tuple(draw(st.lists(st.floats(0, 1), min_size=4, max_size=6))),
        travel=SeasonTravel(detour=1.4),
        settings=SeasonSettings(cell_visits=6),
    )
    return SeasonQuestion(facts, {visit.key: draw(weeks_or_none) for visit in visits})


@given(questions())
def test_a_question_is_read_again_as_it_was_and_its_text_is_the_same(question):
    text = season_as_json(question)

    assert read_season(text) == question
    assert season_as_json(read_season(text)) == text


def small():
    visits = tuple(
        SeasonVisit(n, Place(44.0 + n / 100, -123.0), 45.0, PumpRisk(0.002, 50.0, 2000.0))
        for n in range(1, 7)
    )
    weeks = tuple(SeasonWeek(MONDAY + timedelta(weeks=n), 300.0) for n in range(4))
    chances = (0.02,) * 4 + (0.25,) * 10
    return SeasonFacts(visits, weeks, (Place(44.0, -123.1),), chances)


def test_an_answer_is_read_again_as_it_was_through_json():
    plan = solve_season(small(), effort=SHORT)

    assert read_season_plan(json.loads(json.dumps(season_plan_as_plain(plan)))) == plan


@pytest.mark.parametrize(
    "spoilt",
    [
        {"weeks": [[1]]},
        {"weeks": None},
        {"cost": {}},
        {"levels": [{"starts_on": "someday"}]},
        {"set_aside": [{"key": 1, "fault": "no such", "words": ""}]},
        {"effort": {"sprints": 1}},
    ],
)
def test_a_spoilt_answer_is_refused_in_words(spoilt):
    plain = season_plan_as_plain(solve_season(small(), effort=SHORT))

    with pytest.raises(SeasonCannotBeRead):
        read_season_plan(plain | spoilt)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda p: p.pop("homes"), "'homes' is missing"),
        (lambda p: p["visits"][0].pop("place"), "'place' is missing"),
        (lambda p: p["visits"][0].update(place=[1]), "not of its kind"),
        (lambda p: p["weeks"][0].update(starts_on="June"), "not of its kind"),
        (lambda p: p.update(visits=3), "not of its kind"),
        (lambda p: p["settings"].update(reserve_share="much"), "not of its kind"),
        (lambda p: p.update(form=9), "must begin"),
    ],
)
def test_a_spoilt_question_says_where(spoil, says):
    plain = json.loads(season_as_json(SeasonQuestion(small(), {})))
    spoil(plain)

    with pytest.raises(SeasonCannotBeRead, match=says):
        read_season(json.dumps(plain))


def test_an_effort_knows_its_words():
    assert read_season_effort({"rebuilds": 7, "cools_over": None}).rebuilds == 7
    with pytest.raises(SeasonCannotBeRead, match="sprints is none of them"):
        read_season_effort({"sprints": 3})
