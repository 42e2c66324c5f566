"""Textbook updates against the published examples."""

import pytest
from scipy.stats import beta, gamma

from drainservice.engine.reliability import conjugate as k
from tests.engine.cases import case


def test_E08_gamma_prior_without_failures():
    c = case("E08")
    got = k.GammaRate(c.raw("a"), c.raw("b")).after(c.raw("failures"), c.raw("exposure"))

    c.assert_holds("mean", got.mean(), "1/h")
    c.assert_holds("p05", got.quantile(0.05), "1/h")
    c.assert_holds("p95", got.quantile(0.95), "1/h")
    c.assert_holds("mission_1000h", got.mission_chance(1000))


def test_E10_beta_prior_with_two_failures():
    c = case("E10")
    got = k.BetaChance(c.raw("a"), c.raw("b")).after(c.raw("failures"), c.raw("demands"))

    c.assert_holds("mean", got.mean())
    c.assert_holds("p05", got.quantile(0.05))
    c.assert_holds("p95", got.quantile(0.95))


def test_E11_gamma_from_two_bounds():
    c = case("E11")
    got = k.gamma_from_quantiles(c.raw("p05"), c.raw("p95"))

    c.assert_holds("a", got.shape)
    c.assert_holds("b", got.inverse_scale, "h")


def test_E13_gamma_from_a_median_and_a_low_mean_life():
    c = case("E13")
    got = k.gamma_from_mtbf(c.raw("MTBF50"), c.raw("MTBF05"))

    c.assert_holds("a", got.shape)
    c.assert_holds("b", got.inverse_scale, "h")


def test_E15_right_censored_lives_with_a_flat_prior():
    c = case("E15")
    got = k.rate_from_lives(c.raw("failures"), c.raw("censored"))

    c.assert_holds("mean", got.mean(), "1/h")
    c.assert_holds("p05", got.quantile(0.05), "1/h")
    c.assert_holds("p95", got.quantile(0.95), "1/h")


def test_E25_industry_prior_per_demand():
    c = case("E25")
    got = k.BetaChance(c.raw("a"), c.raw("b"))

    c.assert_holds("mean", got.mean())
    c.assert_holds("p05", got.quantile(0.05))
    c.assert_holds("p50", got.quantile(0.50))
    c.assert_holds("p95", got.quantile(0.95))


def test_bounds_are_given_back():
    gamma = k.gamma_from_quantiles(0.02, 0.5, 0.1, 0.8)
    assert gamma.quantile(0.1) == pytest.approx(0.02, rel=1e-9)
    assert gamma.quantile(0.8) == pytest.approx(0.5, rel=1e-9)

    beta = k.beta_from_quantiles(0.02, 0.5)
    assert beta.quantile(0.05) == pytest.approx(0.02, rel=1e-6)
    assert beta.quantile(0.95) == pytest.approx(0.5, rel=1e-6)


@pytest.mark.parametrize(("shape", "probability"), [(2.0, 0.95), (0.7, 0.95), (3.0, 0.05)])
def test_mean_and_one_bound_are_given_back(shape, probability):
    truth = k.GammaRate(shape, shape / 0.2)
    got = k.gamma_from_mean(0.2, truth.quantile(probability), probability)

    assert got.shape == pytest.approx(shape, rel=1e-6)
    assert got.mean() == pytest.approx(0.2)


def test_bound_too_far_from_the_mean_is_refused_in_words():
    with pytest.raises(k.BoundsDoNotFit, match="nearer to the mean"):
        k.gamma_from_mean(0.2, 20.0)


def test_impossible_bounds_are_refused_in_words():
    with pytest.raises(k.BoundsDoNotFit, match="the lower first"):
        k.gamma_from_quantiles(0.5, 0.02)
    with pytest.raises(k.BoundsDoNotFit, match="failures must be from 0"):
        k.BetaChance(1, 1).after(3, 2)
    with pytest.raises(ValueError, match="upper bound of a chance"):
        k.beta_from_quantiles(0.5, 1.5)


@pytest.mark.parametrize(("failures", "exposure"), [(0, 10.0), (2, 10.0), (1, 1200.0)])
def test_flat_in_the_root_prior_agrees_with_scipy(failures, exposure):
    # Jeffreys' prior of a rate is Gamma(1/2, 0): Box and Tiao; judge: scipy.stats.
    posterior = k.GammaRate(0.5, 0.0).after(failures, exposure)
    theirs = gamma(0.5 + failures, scale=1 / exposure)

    assert posterior.mean() == pytest.approx(theirs.mean())
    assert posterior.quantile(0.05) == pytest.approx(theirs.ppf(0.05), rel=1e-9)
    assert posterior.quantile(0.95) == pytest.approx(theirs.ppf(0.95), rel=1e-9)


@pytest.mark.parametrize(("failures", "demands"), [(0, 4), (3, 40), (1, 1)])
def test_beta_posterior_agrees_with_scipy(failures, demands):
    posterior = k.BetaChance(0.5, 0.5).after(failures, demands)
    theirs = beta(0.5 + failures, 0.5 + demands - failures)

    assert posterior.mean() == pytest.approx(theirs.mean())
    assert posterior.quantile(0.95) == pytest.approx(theirs.ppf(0.95), rel=1e-9)
