"""Age and use."""

import math

import pytest
from scipy.integrate import quad

from drainservice.engine.reliability import ageing as ag
from tests.engine.cases import case


def test_E33_ageing_pump_over_the_next_interval():
    c = case("E33")
    beta, eta, interval = c.raw("beta"), c.raw("eta"), c.raw("T")

    c.assert_holds("new", ag.mean_unavailability_ageing(0, interval, beta, eta))
    c.assert_holds("new_approx", ag.new_unit_rule(interval, beta, eta))
    c.assert_holds("age8", ag.mean_unavailability_ageing(8, interval, beta, eta))


def test_ageing_agrees_with_adaptive_quadrature():
    def dead(t):
        return 1 - math.exp((5 / 9) ** 3 - ((5 + t) / 9) ** 3)

    by_quad = quad(dead, 0, 4)[0] / 4
    assert ag.mean_unavailability_ageing(5, 4, 3, 9) == pytest.approx(by_quad, abs=1e-10)


def test_old_pump_wears_faster_than_a_young_one():
    # Up to 8 a: 0.06 a year. From 8 to 9: (9/12)^2 - (8/12)^2 = 0.5625 - 0.4444 = 0.1181.
    assert ag.exposure_of_pump(2, 5, 0.06) == pytest.approx(0.18)
    assert ag.exposure_of_pump(8, 9, 0.06) == pytest.approx(0.1181, abs=1e-4)
    assert ag.exposure_of_pump(7, 9, 0.06) == pytest.approx(0.1781, abs=1e-4)
    # Twice the nominal rate wears twice as fast.
    assert ag.exposure_of_pump(7, 9, 0.12) == pytest.approx(0.3561, abs=1e-4)


def test_use_adds_up_to_a_share_of_a_life():
    # 20,000 of 100,000 starts and 300 of 3,000 hours: 0.2 + 0.1.
    assert ag.wear_from_use(20_000, 300, 3_000) == pytest.approx(0.3)


def test_more_than_twice_the_starts_of_the_rain_is_too_many():
    assert ag.starts_are_too_many(201, 100)
    assert not ag.starts_are_too_many(200, 100)
    assert not ag.starts_are_too_many(50, 0)


def test_replacement_is_wise_above_twice_the_target():
    assert ag.replacement_is_wise(0.21, 0.10)
    assert not ag.replacement_is_wise(0.20, 0.10)
