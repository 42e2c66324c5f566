"""The grid of theta against closed forms, quadrature and drawn fleets."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import gammaincinv

from drainservice.engine.reliability import closed_form
from drainservice.engine.reliability import posterior as ps
from drainservice.engine.reliability.posterior import Sight
from drainservice.engine.reliability.prior import RatePrior
from drainservice.engine.reliability.proof_test import mean_dead_share, solve_interval_a
from tests.engine.cases import case


def test_E17_rate_after_tests_that_only_show_passed_or_failed():
    c = case("E17")
    a, b = c.raw("a"), c.raw("b")
    passes = ps.posterior_from_durations(c.raw("history"), a, b)
    failure = ps.posterior_from_durations([("fail", 1)], a, b)

    c.assert_holds("mean_3_pass", passes.mean(), "1/a")
    c.assert_holds("mean_1_fail", failure.mean(), "1/a")
    c.assert_holds("T_months_U05_after_3_pass", 12 * solve_interval_a(passes, 0.05), "month")
    c.assert_holds("T_months_U05_after_1_fail", 12 * solve_interval_a(failure, 0.05), "month")


@pytest.mark.parametrize(
    ("passes", "failures"),
    [([], []), ([1, 1, 1], []), ([], [1]), ([1, 1], [1]), ([0.5, 0.9], [0.3, 1.2, 2.0])],
)
def test_grid_agrees_with_the_closed_form_to_eight_digits(passes, failures):
    history = [("pass", d) for d in passes] + [("fail", d) for d in failures]
    belief = ps.posterior_from_durations(history, 2, 10)

    # Computed: relative difference below 1e-8 for every history here.
    exact = closed_form.rate_mean_after(passes, failures, 2, 10)
    assert belief.mean() == pytest.approx(exact, rel=1e-8)
    exact = closed_form.dead_share_after(passes, failures, 2, 10, 1.0)
    assert mean_dead_share(belief, 1.0) == pytest.approx(exact, rel=1e-8)


def test_grid_agrees_with_quadrature_when_answers_are_doubted():
    sights = [Sight(True, 0.2, 0.6), Sight(False, 0.3, 0.9), Sight(True, 0.1)]
    belief = ps.posterior_after(sights, 0.195)

    def density(x):
        m = np.exp(-0.2 * x)
        doubted = m + 0.4 * (1 - m)
        return x * np.exp(-2 * x) * doubted * 0.9 * (1 - np.exp(-0.3 * x)) * np.exp(-0.1 * x)

    whole = quad(density, 0, 60)[0]
    mean = quad(lambda x: x * density(x), 0, 60)[0] / whole
    assert belief.mean() == pytest.approx(0.195 * mean, rel=1e-8)


def test_prior_quantiles_are_those_of_the_gamma():
    belief = ps.posterior_after([], 1.0)

    for p in (0.05, 0.1, 0.5, 0.9, 0.95):
        assert belief.theta_quantile(p) == pytest.approx(gammaincinv(2, p) / 2, rel=2e-5)
    # Gamma(2, 2): this system may be five times better or 2.4 times worse than typical.
    assert belief.theta_quantile(0.05) == pytest.approx(0.18, abs=0.005)
    assert belief.theta_quantile(0.95) == pytest.approx(2.37, abs=0.005)


def test_posterior_agrees_with_a_drawn_fleet():
    random = np.random.default_rng(11)
    theta = random.gamma(2, 0.5, 2_000_000)
    # Pass after a year, then found failed after another year, nominal 0.195 a year.
    passed = random.random(theta.size) < np.exp(-theta * 0.195)
    failed = random.random(theta.size) > np.exp(-theta * 0.195)
    alike = theta[passed & failed]
    belief = ps.posterior_after([Sight(True, 0.195), Sight(False, 0.195)], 0.195)

    # About 240,000 are alike; standard error of their mean 0.195 x 0.8/490 = 0.0003.
    assert belief.mean() == pytest.approx(0.195 * alike.mean(), abs=0.0015)


def test_doubted_passes_before_a_failure_agree_with_drawing_lives():
    """good ── 0.1 "it ran" ── 0.2 "it ran" ── 0.3 found dead, each answer right 6 times in 10"""
    random = np.random.default_rng(5)
    theta = random.gamma(2, 0.5, 2_000_000)
    life = random.exponential(1, theta.size) / theta
    seen_dead = life < 0.3
    for mark in (0.1, 0.2):
        seen_dead &= (life > mark) | (random.random(theta.size) > 0.6)
    alike = theta[seen_dead]
    belief = ps.posterior_after([Sight(False, 0.3, 0.6, (0.1, 0.2))], 1.0)

    # About 300,000 are alike; standard error of their mean 0.8/550 = 0.0015.
    assert belief.mean() == pytest.approx(alike.mean(), abs=0.006)


def test_unbelieved_pass_says_nothing():
    belief = ps.posterior_after([Sight(True, 0.5, 0.0)], 0.2)

    assert belief.mean() == pytest.approx(ps.posterior_after([], 0.2).mean(), rel=1e-12)


def test_other_prior_of_the_same_mean_spreads_wider():
    wide = ps.posterior_after([], 0.2, RatePrior(shape=1.3, inverse_scale=1.3))

    assert wide.mean() == pytest.approx(0.2, rel=1e-6)
    assert wide.quantile(0.95) > ps.posterior_after([], 0.2).quantile(0.95)


def test_impossible_histories_are_refused_in_words():
    with pytest.raises(ps.HistoryCannotBe, match="write pass or fail"):
        ps.posterior_from_durations([("maybe", 1)], 2, 10)
    with pytest.raises(ps.HistoryCannotBe, match="cannot see failures"):
        ps.posterior_after([Sight(False, 0.1, 0.0)], 0.2)
    with pytest.raises(ps.HistoryCannotBe, match="in order of time"):
        ps.posterior_after([Sight(False, 0.1, 0.9, (0.2,))], 0.2)
    with pytest.raises(ValueError, match="exposure of a test"):
        ps.posterior_after([Sight(True, -0.1)], 0.2)


def test_the_grid_has_401_points_over_the_log_of_theta():
    belief = ps.posterior_after([], 0.195)

    assert len(belief.theta) == len(belief.weight) == 401
    assert (belief.theta[0], belief.theta[-1]) == pytest.approx((1e-5, 60.0))
    assert np.diff(np.log(belief.theta)) == pytest.approx(np.log(6e6) / 400)
