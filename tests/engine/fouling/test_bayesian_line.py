"""A line through any number of readings. Judges: numpy's linear algebra, a grid, made lines."""

import math
from statistics import NormalDist

import numpy as np
import pytest

from drainservice.engine.fouling.bayesian_line import (
    ChanceIsImpossible,
    Line,
    LinePrior,
    PriorIsImpossible,
    ReadingsAreMuddled,
    find_crossing,
    fit_line,
)

PRIOR = LinePrior(2.6, 0.5, 0.05, 0.05)
YEARS = (0.0, 0.95, 2.02, 2.98)
VALUES = (2.64, 2.83, 2.77, 3.09)
SDS = (0.15, 0.30, 0.15, 0.15)


def test_gives_the_prior_back_without_readings():
    line = fit_line((), (), (), PRIOR)

    assert (line.intercept, line.slope) == pytest.approx((2.6, 0.05))
    assert (line.intercept_sd, line.slope_sd) == pytest.approx((0.5, 0.05))
    assert line.covariance == 0.0


def test_agrees_with_linear_algebra():
    design = np.column_stack([np.ones(4), YEARS])
    weight = np.diag(1 / np.square(SDS))
    before = np.diag([1 / 0.5**2, 1 / 0.05**2])
    covariance = np.linalg.inv(before + design.T @ weight @ design)
    mean = covariance @ (before @ [2.6, 0.05] + design.T @ weight @ VALUES)

    line = fit_line(YEARS, VALUES, SDS, PRIOR)

    assert (line.intercept, line.slope) == pytest.approx(tuple(mean))
    assert line.intercept_sd**2 == pytest.approx(covariance[0, 0])
    assert line.slope_sd**2 == pytest.approx(covariance[1, 1])
    assert line.covariance == pytest.approx(covariance[0, 1])


def test_agrees_with_prior_times_likelihood_on_a_grid():
    a, b = np.meshgrid(np.linspace(0.6, 4.6, 801), np.linspace(-0.35, 0.45, 801), indexing="ij")
    log = -0.5 * (((a - 2.6) / 0.5) ** 2 + ((b - 0.05) / 0.05) ** 2)
    rows = np.array([YEARS, VALUES, SDS]).T
    log = log - 0.5 * sum(((y - a - b * t) / s) ** 2 for t, y, s in rows)
    weight = np.exp(log - log.max())
    weight /= weight.sum()

    line = fit_line(YEARS, VALUES, SDS, PRIOR)

    assert line.slope == pytest.approx((weight * b).sum(), abs=1e-6)
    assert line.find_chance_above(3.0, 4.0) == pytest.approx(
        weight[a + 4 * b >= 3.0].sum(), abs=2e-3
    )


def test_crosses_when_the_share_of_made_lines_above_the_limit_says_so():
    line = fit_line(YEARS, VALUES, SDS, PRIOR)
    limit = math.log(72.0)
    covariance = [[line.intercept_sd**2, line.covariance], [line.covariance, line.slope_sd**2]]
    made = np.random.default_rng(11).multivariate_normal(
        [line.intercept, line.slope], covariance, 200_000
    )

    t10 = find_crossing(line, limit, 0.10)

    share = np.mean(made[:, 0] + made[:, 1] * t10 >= limit)
    assert share == pytest.approx(0.10, abs=0.003)


def test_even_odds_cross_where_the_mean_line_does():
    # 2 + 0.1 t = 3 at t = 10
    assert find_crossing(Line(2.0, 0.1, 0.1, 0.01, 0.0), 3.0, 0.5) == pytest.approx(10.0)


def test_never_crosses_with_a_chance_above_that_of_rising_at_all():
    # Phi(0.05 / 0.05) = 0.841: nine lines in ten do not rise.
    line = fit_line((), (), (), PRIOR)

    assert find_crossing(line, 4.3, 0.84) < math.inf
    assert find_crossing(line, 4.3, 0.90) == math.inf


def test_a_falling_line_does_not_cross_at_even_odds():
    assert find_crossing(Line(2.0, -0.1, 0.1, 0.01, 0.0), 3.0, 0.5) == math.inf


def test_a_line_that_hardly_rises_crosses_beyond_any_pit():
    # 1 / 1e-9 is a thousand million years.
    assert find_crossing(Line(2.0, 1e-9, 0.1, 1e-12, 0.0), 3.0, 0.5) == math.inf


def test_has_crossed_where_it_starts_above_the_limit():
    line = Line(4.0, 0.1, 0.1, 0.01, 0.0)

    assert find_crossing(line, 3.0, 0.9) == 0.0
    assert find_crossing(line, 3.0, 0.9, from_years=2.5) == 2.5


@pytest.mark.parametrize("chance", [0.0, 1.0, -0.1, math.nan])
def test_refuses_a_chance_that_cannot_be(chance):
    with pytest.raises(ChanceIsImpossible):
        find_crossing(Line(2.0, 0.1, 0.1, 0.01, 0.0), 3.0, chance)


@pytest.mark.parametrize(
    ("years", "values", "sds", "words"),
    [
        ((0.0, 1.0), (1.0,), (0.1,), "one is missing"),
        ((0.0,), (math.nan,), (0.1,), "not read"),
        ((0.0,), (1.0,), (0.0,), "above zero"),
    ],
)
def test_refuses_muddled_readings(years, values, sds, words):
    with pytest.raises(ReadingsAreMuddled, match=words):
        fit_line(years, values, sds, PRIOR)


@pytest.mark.parametrize(
    "numbers", [(0.0, 0.0, 0.0, 1.0), (0.0, 1.0, 0.0, -1.0), (math.nan, 1, 0, 1)]
)
def test_refuses_an_impossible_prior(numbers):
    with pytest.raises(PriorIsImpossible):
        LinePrior(*numbers)


def test_a_line_that_may_fall_is_above_the_limit_only_for_a_while():
    # Mean 1 + 0.1 t, sd sqrt(0.04 + 0.04 t^2). Its lower edge 1 + 0.1 t - 0.6 sd rises first and
    # sinks in the end, since 0.6 x 0.2 is more than 0.1.
    line = Line(1.0, 0.1, 0.2, 0.2, 0.0)
    chance = NormalDist().cdf(0.6)

    def edge(years):
        return 1.0 + 0.1 * years - 0.6 * math.sqrt(0.04 + 0.04 * years**2)

    # Its top by a fine table.
    top = max((edge(t / 10_000), t / 10_000) for t in range(0, 50_000))
    limit = top[0] - 1e-4

    crossing = find_crossing(line, limit, chance)

    assert 0 < crossing < top[1]
    assert edge(crossing) == pytest.approx(limit, abs=1e-9)
    assert find_crossing(line, top[0] + 1e-4, chance) == math.inf


def test_a_line_hardly_above_its_limit_has_crossed():
    line = Line(1.05, 0.1, 1e-6, 1e-6, 0.0)

    assert find_crossing(line, 1.0, 0.5) == 0.0
    # From a later time on, that time.
    assert find_crossing(line, 1.0, 0.5, from_years=2.0) == 2.0


def test_a_crossing_within_a_million_years_is_still_named():
    slow = Line(0.0, 1e-6, 1e-9, 1e-12, 0.0)

    assert find_crossing(slow, 0.5, 0.5) == pytest.approx(500_000, rel=1e-6)
    assert find_crossing(slow, 1.2, 0.5) == math.inf
