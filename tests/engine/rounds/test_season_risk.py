"""The risk of waiting and of haste, worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainservice.engine.rounds.season.check import count_season_cost
from drainservice.engine.rounds.season.facts import PumpRisk
from drainservice.engine.rounds.season.plan import solve_season
from drainservice.engine.rounds.season.result import SeasonEffort
from drainservice.engine.rounds.season.risk import DEAD_UNITS, risk_curves
from tests.engine.rounds.season_makers import make_season, make_visit

HALVED_EACH_WEEK = 0.6931471805599453  # ln 2


def test_the_curve_is_high_at_both_ends_by_hand():
    # Half of what is alive dies each week; one week old; a dead pump costs 100. Storms: week 1 and
    # week 3, each with a chance of 1/2. Dead by week v: U = 1 - 2^-(1 + v) = 1/2, 3/4, 7/8, 15/16.
    #   visit in week 0: 1/2 (1 - 1/2) + 1/2 (1 - 1/8)  = 1/4 + 7/16 = 11/16 -> 68.75
    #   visit in week 1: 1/2 (1 - 1) + 1/2 (1 - 1/4)    = 3/8                -> 37.5
    #   visit in week 2: 1/2 U(1) + 1/2 (1 - 1/2)       = 3/8 + 1/4 = 5/8    -> 62.5
    #   never:           1/2 U(1) + 1/2 U(3)            = 3/8 + 15/32        -> 84.375, and 60
    # Less the least, 37.5: 31.25, 0, 25 and 106.875.
    risk = PumpRisk(HALVED_EACH_WEEK, 1.0, 100.0)

    [curve] = risk_curves([risk], [0.0, 0.5, 0.0, 0.5], weeks=3, left_out_units=60.0)

    assert curve == pytest.approx([31.25, 0.0, 25.0, 106.875], abs=1e-9)


def test_what_a_dead_pump_costs_rises_with_the_consequence():
    assert list(DEAD_UNITS.values()) == sorted(DEAD_UNITS.values())
    assert DEAD_UNITS["flooded_before"] == DEAD_UNITS["living_space"]


risks = st.builds(
    PumpRisk,
    failure_per_week=st.floats(0, 0.2),
    age_weeks=st.floats(0, 200),
    dead_units=st.sampled_from(list(DEAD_UNITS.values())),
)
chances = st.lists(st.floats(0, 1), min_size=4, max_size=30)


@given(risks, chances)
def test_leaving_out_always_costs_the_charge_above_any_week(risk, chances):
    [curve] = risk_curves([risk], chances, weeks=4, left_out_units=60.0)

    assert min(curve[:4]) == pytest.approx(0.0, abs=1e-6)
    assert curve[4] >= max(curve[:4]) + 60.0 - 1e-6


@given(risks, chances, st.floats(1, 4))
def test_doubling_what_is_at_stake_doubles_the_curve(risk, chances, factor):
    more = PumpRisk(risk.failure_per_week, risk.age_weeks, risk.dead_units * factor)

    once, times = risk_curves([risk, more], chances, weeks=4, left_out_units=0.0)

    assert times == pytest.approx(once * factor, rel=1e-6, abs=1e-6)


@given(risks, st.integers(0, 3))
def test_the_judge_counts_the_same_risk_by_steps_from_week_to_week(risk, week):
    # The judge uses another formula (a sum that decays week by week); the sums must agree.
    visit = make_visit(1, promised=week)
    visit = type(visit)(1, visit.place, 45.0, risk, promised=week)
    storms = (0.02, 0.3, 0.02, 0.25, 0.25, 0.1)
    facts = make_season([visit], crew=(600,) * 4, storm_chances=storms)
    [curve] = risk_curves([risk], storms, weeks=4, left_out_units=60.0)

    plan = solve_season(facts, effort=SeasonEffort(0, 1, None, 0))

    assert count_season_cost(facts, plan).risk == pytest.approx(curve[week], rel=1e-9, abs=1e-6)
