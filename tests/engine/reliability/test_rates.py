"""Nominal rates, their factors and the firm's one answer."""

import pytest

from drainservice.engine.failure_mode import FailureMode as M
from drainservice.engine.reliability import rates as r
from drainservice.engine.reliability.prior import (
    RatePrior,
    nominal_rate_from_share_dead,
    scale_from_share_dead,
    share_dead_from_nominal_rate,
    widened_for,
)


def test_factors_on_one_part_stop_at_four():
    # 3 x 3 = 9, capped at 4; one factor of 10 alone stays 10; 10 x 2 stays 10.
    assert r.capped_product([3, 3]) == 4
    assert r.capped_product([10]) == 10
    assert r.capped_product([10, 2]) == 10
    assert r.capped_product([1.5, 2]) == 3
    assert r.capped_product([]) == 1


def test_whole_train_stays_within_four_times_nominal():
    every = [(mode, f) for mode in M for f in (4.0, 10.0)]

    assert sum(r.rates_with(every).values()) == pytest.approx(4 * r.nominal_sum())


def test_pump_class_and_float_multiply_their_own_lines():
    rates = r.rates_with([], r.PumpClass.BUDGET, r.FloatKind.TETHERED)

    # Pump 0.06 x 1.5 = 0.09; float 0.06 x 1.5 x 1.5 = 0.135.
    assert rates[M.PUMP] == pytest.approx(0.09)
    assert rates[M.FLOAT] == pytest.approx(0.135)
    assert rates[M.VALVE] == pytest.approx(0.01)


@pytest.mark.parametrize(("dead", "rate"), [(0.17, 0.195), (0.08, 0.085)])
def test_one_answer_sets_the_nominal_rate(dead, rate):
    # r = sqrt(1 - p), b = r/(1-r), L0 = 2/b: p 0.17 gives r 0.9110, b 10.24, L0 0.1953.
    assert nominal_rate_from_share_dead(dead) == pytest.approx(rate, abs=0.0006)
    assert share_dead_from_nominal_rate(nominal_rate_from_share_dead(dead)) == pytest.approx(dead)


def test_seventeen_of_a_hundred_is_what_the_nominal_rates_say():
    assert share_dead_from_nominal_rate(r.nominal_sum()) == pytest.approx(0.1697, abs=1e-4)
    assert scale_from_share_dead(0.1697) == pytest.approx(1, abs=1e-3)


def test_unknown_quality_spreads_wider_until_own_tests_speak():
    assert widened_for(r.PumpClass.BUDGET, RatePrior()).shape == 1.3
    assert widened_for(r.PumpClass.GOOD_SUBMERSIBLE, RatePrior()).shape == 2.0
    own = RatePrior(shape=3, inverse_scale=2.5, tests=40, failures=6)
    assert widened_for(r.PumpClass.BUDGET, own) is own


def test_impossible_answers_are_refused_in_words():
    with pytest.raises(ValueError, match="share of pumps found dead is 0"):
        nominal_rate_from_share_dead(0)
    with pytest.raises(ValueError, match="scale of the rates"):
        r.rates_with([], scale=0)
    with pytest.raises(ValueError, match="shape of the prior"):
        RatePrior(shape=-1)
