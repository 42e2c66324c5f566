"""The firm's own tests against a fleet drawn with a known spread."""

import numpy as np
import pytest

from drainservice.engine.reliability.fleet import FleetTest, log_marginal, refit
from drainservice.engine.reliability.prior import RatePrior


def drawn(count, shape, mean, seed=3):
    random = np.random.default_rng(seed)
    theta = random.gamma(shape, mean / shape, count)
    exposure = 0.195 * random.uniform(0.2, 4, count)
    passed = random.random(count) < np.exp(-theta * exposure)
    return [FleetTest(bool(p), float(m)) for p, m in zip(passed, exposure, strict=True)]


def test_few_tests_keep_the_prior():
    prior = RatePrior()

    assert refit(drawn(29, 2, 5), prior) is prior
    assert refit([FleetTest(True, 0.1)] * 100, prior) is prior


def test_many_tests_find_the_mean_they_were_drawn_with():
    fitted = refit(drawn(4000, 2, 1.8))

    # Standard error of the mean theta about 0.05 at 4,000 tests.
    assert fitted.shape / fitted.inverse_scale == pytest.approx(1.8, abs=0.2)
    assert fitted.tests == 4000
    assert fitted.failures == sum(not t.passed for t in drawn(4000, 2, 1.8))


def test_fit_is_the_best_of_a_fine_table():
    tests = drawn(300, 2, 1.5)
    fitted = refit(tests)
    best = log_marginal(tests, fitted.shape, fitted.inverse_scale)

    table = [
        log_marginal(tests, a, a / mean)
        for a in np.geomspace(0.3, 20, 25)
        for mean in np.geomspace(0.5, 4, 60)
    ]
    assert best >= max(table) - 1e-4


def test_marginal_is_that_of_the_gamma():
    # Pass (b/(b+m))^a = (2/2.5)^2 = 0.64; fail 0.36.
    got = log_marginal([FleetTest(True, 0.5), FleetTest(False, 0.5)], 2, 2)

    assert got == pytest.approx(np.log(0.64 * 0.36))
