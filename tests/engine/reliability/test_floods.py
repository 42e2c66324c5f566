"""Dead, then a storm: exact chances against quadrature, Monte Carlo and the cases."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from drainservice.engine.reliability import floods as f
from drainservice.engine.reliability.checked import NotAPositiveNumber
from drainservice.engine.reliability.flood_belief import mean_flood_chance
from drainservice.engine.reliability.posterior import posterior_from_durations
from tests.engine.cases import case


def test_E23_hidden_failure_then_a_demand():
    c = case("E23")
    rate, demand, interval = c.raw("rate"), c.raw("demand"), c.raw("T")

    c.assert_holds("floods_per_year", f.flood_chance(rate, demand, interval), "1/a")
    c.assert_holds("product_rule", f.product_rule(rate, demand, interval), "1/a")
    c.assert_holds("floods_T_quarter", f.flood_chance(rate, demand, 0.25), "1/a")


def test_E35_storms_only_in_a_four_month_season():
    c = case("E35")
    season, before = c.raw("season") / 12, 14 / 365.25
    stretches = [(before, 0), (season, c.raw("storms_per_year") / season), (1 - before - season, 0)]

    c.assert_holds("flood_chance", f.flood_chance_over(c.raw("rate"), stretches), "1/a")


def test_test_right_after_the_season_leaves_three_times_the_floods():
    # Computed: 0.165 a year against 0.056 for a test 14 days before.
    got = f.flood_chance_over(0.2, [(8 / 12, 0), (4 / 12, 12)])

    assert got == pytest.approx(0.165, abs=5e-4)


@pytest.mark.parametrize(("demand", "saved"), [(30, 0.035), (4, 0.48), (1, 0.67)])
def test_quarterly_tests_help_less_the_more_it_storms(demand, saved):
    # Computed: at 30 storms a year 0.176 becomes 0.170; at 4, 48 % less; at 1, 67 % less.
    yearly, quarterly = f.flood_chance(0.2, demand, 1), f.flood_chance(0.2, demand, 0.25)

    assert 1 - quarterly / yearly == pytest.approx(saved, abs=0.006)


def test_equal_rates_of_failure_and_storm_need_no_special_case():
    # D = l: P(X + Y < T) = 1 - e^{-lT}(1 + lT) for two equal exponentials (gamma of shape 2).
    for nudge in (0, 1e-12, 1e-7):
        got = f.flood_chance(0.5, 0.5 + nudge, 2)
        assert got == pytest.approx((1 - math.exp(-1) * 2) / 2, abs=1e-7)


def test_seasonal_chance_agrees_with_quadrature():
    shares = [0.02, 0.02, 0.04, 0.06, 0.1, 0.2, 0.25, 0.15, 0.08, 0.04, 0.02, 0.02]
    stretches = f.monthly_stretches(6, shares, 4.5, 1.3)
    ends = np.cumsum([h for h, _ in stretches])

    def storms_after(s):
        starts = ends - [h for h, _ in stretches]
        return sum(
            d * max(0.0, e - max(s, b))
            for (_, d), b, e in zip(stretches, starts, ends, strict=True)
        )

    def integrand(s):
        return 0.3 * math.exp(-0.3 * s) * (1 - math.exp(-storms_after(s)))

    by_quad = quad(integrand, 0, ends[-1], points=ends[:-1], limit=500)[0] / ends[-1]
    assert f.flood_chance_over(0.3, stretches) == pytest.approx(by_quad, rel=1e-8)


def test_chance_agrees_with_drawing_lives_and_storms():
    random = np.random.default_rng(20270601)
    death = random.exponential(1 / 0.4, 400_000)
    wait = random.exponential(1 / 3, 400_000)

    by_draw = np.mean(death + wait < 1.5) / 1.5
    # Standard error sqrt(0.3 x 0.7/4e5)/1.5 = 0.0005.
    assert f.flood_chance(0.4, 3, 1.5) == pytest.approx(by_draw, abs=0.002)


def test_averaging_over_a_belief_is_summing_over_its_rates():
    belief = posterior_from_durations([("pass", 1), ("fail", 1)], 2, 10)
    stretches = [(0.2, 0.0), (0.3, 12.0), (0.4, 0.2), (0.1, 0.0)]

    by_sum = sum(
        w * f.flood_chance_over(r, stretches)
        for w, r in zip(belief.weight, belief.rate, strict=True)
    )
    assert mean_flood_chance(belief, stretches) == pytest.approx(by_sum, rel=1e-10)


def test_months_of_a_broken_year_add_up():
    stretches = f.monthly_stretches(12, [1 / 12] * 12, 10.25, 1.5)

    assert sum(h for h, _ in stretches) == pytest.approx(1.5)
    assert stretches[0] == (pytest.approx(0.75 / 12), pytest.approx(12))


def test_outage_is_a_floor_no_test_lowers():
    # 4 storms a year, power out in one of ten: 1 - e^-0.4 = 0.3297; beside 0.1: 1 - 0.9 x 0.6703.
    floor = f.outage_floor(4, 0.1)

    assert floor == pytest.approx(0.3297, abs=1e-4)
    assert f.with_floor(0.1, floor) == pytest.approx(0.3967, abs=1e-4)


def test_impossible_demand_is_refused_in_words():
    with pytest.raises(f.MonthSharesDoNotFit, match="twelve numbers"):
        f.monthly_stretches(4, [0.5, 0.5], 0, 1)
    with pytest.raises(f.StretchesDoNotFollow, match="length above zero"):
        f.flood_chance_over(0.2, [])
    with pytest.raises(NotAPositiveNumber, match="storms a year"):
        f.flood_chance(0.2, -1, 1)
