"""Mean dead shares against the exact cases and against numerical integration."""

import math

import pytest
from scipy.integrate import quad

from drainservice.engine.reliability import unavailability as u
from drainservice.engine.reliability.checked import NotAPositiveNumber, NotAShare
from tests.engine.cases import case

MONTH_A = 1 / 12


def test_E05_mean_unavailability_with_a_constant_rate():
    c = case("E05")
    rate, interval = c.raw("rate"), c.raw("interval")

    c.assert_holds("exact", u.mean_unavailability(rate, interval))
    c.assert_holds("half_rule", u.half_rule(rate, interval))


def test_E06_mean_unavailability_over_an_uncertain_rate():
    c = case("E06")
    a, b = c.raw("a"), c.raw("b")

    c.assert_holds("U", u.mean_unavailability_gamma(a, b, c.raw("T")))
    c.assert_holds("T_for_U_0.05", u.interval_for_unavailability_gamma(a, b, 0.05), "a")
    c.assert_holds("T_for_U_0.10", u.interval_for_unavailability_gamma(a, b, 0.10), "a")


def test_E19_frequent_partial_tests_between_yearly_full_ones():
    c = case("E19")
    rate, full = c.raw("rate"), c.raw("full_interval")
    given = (rate, c.raw("coverage"), c.raw("partial_interval"), full)

    c.assert_holds("U", u.mean_unavailability_with_partial_tests(*given))
    c.assert_holds("U_full_only", u.mean_unavailability(rate, full))
    c.assert_holds("approx", u.partial_test_rule(*given))


def test_E21_one_test_a_year_before_or_after_the_season():
    c = case("E21")
    season = c.raw("season") * MONTH_A
    # The case counts 365 days to the year.
    before = 14 / 365
    # Tested at the season's end, the next season begins 12 - 4 = 8 months later.
    after = 1 - season

    got_before = u.mean_unavailability_between(c.raw("rate"), before, before + season)
    c.assert_holds("test_before", got_before)
    c.assert_holds("test_at_season_end", u.mean_unavailability_between(c.raw("rate"), after, 1))


@pytest.mark.parametrize("shape", [0.5, 1.0, 1.0 + 1e-9, 1.3, 2.0, 5.0])
def test_gamma_form_is_the_integral_of_the_dead_share(shape):
    # The chance of being alive after s, averaged over Gamma(a, b), is (b/(b+s))^a.
    by_quad = 1 - quad(lambda s: (10 / (10 + s)) ** shape, 0, 1.7)[0] / 1.7

    assert u.mean_unavailability_gamma(shape, 10, 1.7) == pytest.approx(by_quad, abs=1e-9)


@pytest.mark.parametrize("interval", [0.1, 0.25, 0.6, 1.0, 1.1, 2.37])
def test_partial_tests_agree_with_integrating_the_saw_tooth(interval):
    rate, coverage, every = 0.4, 0.7, 0.25

    def dead(s):
        return 1 - math.exp(-(1 - coverage) * rate * s - coverage * rate * (s % every))

    corners = [k * every for k in range(1, 10) if k * every < interval]
    by_quad = quad(dead, 0, interval, points=corners or None, limit=200)[0] / interval

    got = u.mean_unavailability_with_partial_tests(rate, coverage, every, interval)
    assert got == pytest.approx(by_quad, abs=1e-9)


def test_complete_partial_tests_are_full_tests():
    got = u.mean_unavailability_with_partial_tests(0.3, 1.0, 0.25, 1.0)

    assert got == pytest.approx(u.mean_unavailability(0.3, 0.25), abs=1e-12)


@pytest.mark.parametrize("rate", [1e-4, 9.9e-4, 1.1e-3, 0.2, 3.0])
def test_two_pumps_are_both_dead_far_less(rate):
    by_quad = quad(lambda s: math.expm1(-rate * s) ** 2, 0, 1, epsabs=1e-16)[0]

    assert u.mean_unavailability_of_two(rate, 1) == pytest.approx(by_quad, rel=1e-8)


def test_tiny_exposures_keep_their_digits():
    # U = x/2 - x^2/6 + x^3/24 for small x.
    for x in (1e-12, 1e-6, 0.99e-5, 1.01e-5, 1e-4):
        assert u.mean_unavailability(x, 1) == pytest.approx(x / 2 - x * x / 6, rel=3e-9, abs=1e-15)


def test_solved_interval_gives_back_its_target():
    for target in (0.001, 0.05, 0.2, 0.9, 0.99):
        interval = u.interval_for_unavailability(0.2, target)
        assert u.mean_unavailability(0.2, interval) == pytest.approx(target, abs=1e-11)
        interval = u.interval_for_unavailability_gamma(1.3, 8, target)
        assert u.mean_unavailability_gamma(1.3, 8, interval) == pytest.approx(target, abs=1e-9)


def test_impossible_numbers_are_refused_in_words():
    with pytest.raises(NotAPositiveNumber, match="interval is 0; give a number above zero"):
        u.mean_unavailability(0.2, 0)
    with pytest.raises(NotAPositiveNumber, match="failure rate"):
        u.interval_for_unavailability(-0.2, 0.1)
    with pytest.raises(NotAShare, match="between 0 and 1"):
        u.exposure_for_unavailability(1.0)
    with pytest.raises(NotAShare, match="coverage"):
        u.mean_unavailability_with_partial_tests(0.2, 1.1, 0.25, 1)


def test_two_wet_seasons_agree_with_integrating_over_both():
    # Tested 1 May: June to September, then mid December to mid March.
    seasons = [(1 * MONTH_A, 5 * MONTH_A), (7.5 * MONTH_A, 10.5 * MONTH_A)]
    area = sum(quad(lambda s: 1 - math.exp(-0.2 * s), a, b)[0] for a, b in seasons)

    got = u.mean_unavailability_over_seasons(0.2, seasons)

    assert got == pytest.approx(area / (7 * MONTH_A), rel=1e-12)
    # One season alone is the mean over it.
    assert u.mean_unavailability_over_seasons(0.2, seasons[:1]) == pytest.approx(
        u.mean_unavailability_between(0.2, *seasons[0]), rel=1e-14
    )


def test_no_season_is_refused_in_words():
    with pytest.raises(NotAPositiveNumber, match="length of all seasons"):
        u.mean_unavailability_over_seasons(0.2, [])
    with pytest.raises(NotAPositiveNumber, match="length of the season"):
        u.mean_unavailability_over_seasons(0.2, [(0.5, 0.5)])


@pytest.mark.parametrize("interval", [0.5, 2.0])
def test_pairs_and_halves_count_the_length_of_the_interval(interval):
    both = quad(lambda s: (1 - math.exp(-0.3 * s)) ** 2, 0, interval)[0] / interval

    assert u.mean_unavailability_of_two(0.3, interval) == pytest.approx(both, rel=1e-12)
    # A pair of small exposure by its series.
    assert u.mean_unavailability_of_two(1e-4, interval) == pytest.approx(
        (1e-4 * interval) ** 2 / 3, rel=1e-3
    )
    assert u.half_rule(0.3, interval) == pytest.approx(0.15 * interval)
