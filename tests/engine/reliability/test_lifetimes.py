"""Lives between looks, against published masses and reference fits."""

import numpy as np
import pytest
from lifelines import ExponentialFitter, KaplanMeierFitter, WeibullFitter

from drainservice.engine.reliability import lifetimes as lt
from tests.engine.cases import case


def test_E27_masses_between_looks():
    c = case("E27")
    masses = lt.masses_between_looks([tuple(pair) for pair in c.raw("intervals")])

    # The last interval is closed by one subject seen failed at 48.
    for mass in masses:
        c.assert_holds(f"({mass.after:.0f},{mass.until:.0f}]", mass.share)
    assert len(masses) == len(c.expected)
    assert sum(m.share for m in masses) == pytest.approx(1)


def test_E29_one_look_per_unit():
    c = case("E29")
    looks = [(age, bool(failed)) for age, failed in c.raw("looks")]

    exponential, weibull = lt.fit_exponential(looks), lt.fit_weibull(looks)
    share = lt.share_failed_by(looks)
    c.assert_holds("exp_mean", exponential.mean, "d")
    c.assert_holds("exp_loglik", exponential.log_likelihood)
    c.assert_holds("weib_scale", weibull.scale, "d")
    c.assert_holds("weib_shape", weibull.shape)
    c.assert_holds("weib_loglik", weibull.log_likelihood)
    c.assert_holds("F600", share(600))
    c.assert_holds("F700", share(700))


def test_weibull_fit_agrees_with_an_independent_fitter():
    random = np.random.default_rng(7)
    ages = random.uniform(0.5, 15, 400)
    looks = [(float(t), bool(10 * random.weibull(2) < t)) for t in ages]
    left = [0.0 if failed else t for t, failed in looks]
    right = [t if failed else np.inf for t, failed in looks]

    theirs = WeibullFitter().fit_interval_censoring(left, right)
    ours = lt.fit_weibull(looks)
    assert ours.shape == pytest.approx(theirs.rho_, rel=1e-3)
    assert ours.scale == pytest.approx(theirs.lambda_, rel=1e-3)


def test_masses_of_current_status_data_are_the_isotonic_curve():
    looks = [(1.0, False), (2.0, True), (3.0, False), (4.0, True), (5.0, True), (6.0, False)]
    pairs = [(0.0, t) if failed else (t, None) for t, failed in looks]
    share = lt.share_failed_by(looks)

    # Pooled by hand: F(1) = 0, F(2) = F(3) = 1/2, F(4) = F(5) = F(6) = 2/3.
    assert [share(t) for t in (0.5, 1, 2, 3, 4, 6)] == pytest.approx([0, 0, 0.5, 0.5, 2 / 3, 2 / 3])
    masses = lt.masses_between_looks(pairs)
    below = sum(m.share for m in masses if m.until is not None and m.until <= 3)
    assert below == pytest.approx(0.5, abs=1e-5)


def test_nothing_to_fit_is_said_in_words():
    with pytest.raises(lt.NothingToFit, match="both kinds"):
        lt.fit_weibull([(1.0, False), (2.0, False)])
    with pytest.raises(lt.IntervalRunsBackwards, match="last seen good"):
        lt.masses_between_looks([(3.0, 2.0)])
    with pytest.raises(lt.NothingToFit):
        lt.share_failed_by([])
    with pytest.raises(lt.IntervalRunsBackwards, match="time since installation"):
        lt.fit_exponential([(0.0, False), (2.0, True)])


def drawn_intervals(seed=11, count=300):
    """Pumps of a Weibull life of shape 2, scale 9 years, seen at visits about a year apart."""
    random = np.random.default_rng(seed)
    found = []
    for life in 9 * random.weibull(2, count):
        visits = np.cumsum(random.uniform(0.7, 1.4, 12))
        before = visits[visits < life]
        after = visits[visits >= life]
        left = float(before[-1]) if len(before) else 0.0
        found.append((left, float(after[0]) if len(after) else None))
    return found


def test_lives_between_two_visits_agree_with_independent_fitters():
    pairs = drawn_intervals()
    left = [pair[0] for pair in pairs]
    right = [np.inf if pair[1] is None else pair[1] for pair in pairs]

    weibull = WeibullFitter().fit_interval_censoring(left, right)
    exponential = ExponentialFitter().fit_interval_censoring(left, right)
    ours = lt.fit_weibull_between_looks(pairs)
    steady = lt.fit_exponential_between_looks(pairs)

    assert ours.shape == pytest.approx(weibull.rho_, rel=1e-3)
    assert ours.scale == pytest.approx(weibull.lambda_, rel=1e-3)
    assert ours.log_likelihood == pytest.approx(weibull.log_likelihood_, rel=1e-5)
    assert steady.mean == pytest.approx(exponential.lambda_, rel=1e-3)
    # A wearing life is told from a steady one.
    assert ours.log_likelihood > steady.log_likelihood + 10


def test_masses_between_looks_agree_with_an_independent_fitter():
    # lifelines takes intervals as closed; a left end moved by 1e-6 makes them (left, right].
    pairs = [(round(a), None if b is None else round(b) + 1) for a, b in drawn_intervals(3, 60)]
    left = [a + 1e-6 for a, _ in pairs]
    right = [np.inf if b is None else b for _, b in pairs]

    theirs = KaplanMeierFitter().fit_interval_censoring(left, right, tol=1e-9)
    ours = lt.masses_between_looks(pairs)

    bounds = theirs.survival_function_
    for age in (2.5, 5.5, 8.5):
        still_good = 1 - sum(m.share for m in ours if m.until is not None and m.until <= age)
        upper, lower = bounds.loc[:age].iloc[-1].max(), bounds.loc[:age].iloc[-1].min()
        assert lower - 1e-3 <= still_good <= upper + 1e-3


def test_a_life_that_ends_before_it_starts_is_refused_by_the_fits():
    with pytest.raises(lt.IntervalRunsBackwards, match="last seen good"):
        lt.fit_weibull_between_looks([(3.0, 2.0), (1.0, None)])
    with pytest.raises(lt.NothingToFit, match="0 failed of 2"):
        lt.fit_exponential_between_looks([(3.0, None), (1.0, None)])
