"""Theil-Sen and Mann-Kendall. Judges: scipy.stats.theilslopes, pymannkendall, all orders."""

import math
from itertools import permutations

import numpy as np
import pymannkendall
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import theilslopes

from drainservice.engine.fouling.robust_line import (
    ConfidenceIsImpossible,
    ReadingIsNotANumber,
    TooFewReadings,
    count_mann_kendall,
    fit_theil_sen,
)
from tests.engine.cases import case

# Whole numbers, so that ties among the readings are met often.
points = st.lists(
    st.tuples(st.integers(0, 60).map(lambda q: q / 4), st.integers(-9, 9).map(float)),
    min_size=2,
    max_size=25,
    unique_by=lambda row: row[0],
)
one_day_twice = st.lists(
    st.tuples(st.integers(0, 6).map(float), st.integers(-99, 99).map(float)),
    min_size=2,
    max_size=15,
    unique_by=lambda row: row[1],
).filter(lambda rows: len({x for x, _ in rows}) > 1)
series = st.lists(st.integers(-6, 6).map(float), min_size=3, max_size=25)


def test_C09_theil_sen_slope_with_one_outlier():
    c = case("C09")

    line = fit_theil_sen(c.raw("x"), c.raw("y"))

    assert len(line.pairwise_slopes) == 21
    c.assert_holds("slope", line.slope)
    c.assert_holds("intercept", line.intercept)
    c.assert_holds("largest_pairwise", line.pairwise_slopes[-1])
    c.assert_holds("smallest_pairwise", line.pairwise_slopes[0])


def test_C11_mann_kendall_count_of_a_short_record():
    c = case("C11")

    c.assert_holds("S", count_mann_kendall(c.raw("y")).s)


@given(points | one_day_twice, st.sampled_from([0.80, 0.90, 0.95]))
def test_theil_sen_agrees_with_scipy(rows, confidence):
    x, y = zip(*rows, strict=True)

    ours = fit_theil_sen(x, y, confidence)

    theirs = theilslopes(y, x, alpha=confidence)
    assert (ours.slope, ours.intercept) == pytest.approx((theirs.slope, theirs.intercept))
    assert (ours.slope_low, ours.slope_high) == pytest.approx((theirs.low_slope, theirs.high_slope))


@given(series)
def test_mann_kendall_agrees_with_pymannkendall(values):
    ours = count_mann_kendall(values)
    if len(set(values)) == 1:
        assert (ours.s, ours.z, ours.chance_normal) == (0, 0.0, 1.0)
        return

    theirs = pymannkendall.original_test(np.array(values))
    assert ours.s == theirs.s
    assert ours.variance == pytest.approx(theirs.var_s)
    assert ours.z == pytest.approx(theirs.z)
    # pymannkendall subtracts from one, so its last digits are lost for tiny chances.
    assert ours.chance_normal == pytest.approx(theirs.p, abs=1e-12)


@given(st.permutations(range(6)))
def test_exact_chance_is_the_share_of_all_orders(values):
    ours = count_mann_kendall(values)

    counts = [abs(count_mann_kendall(order).s) for order in permutations(range(6))]
    share = sum(count >= abs(ours.s) for count in counts) / len(counts)
    assert ours.chance_exact == pytest.approx(share)


def test_exact_chance_agrees_with_the_table():
    # Gilbert (1987), table A18 (from memory), one-sided: n = 4, S = 6: 0.042; n = 5, S = 10: 0.0083
    assert count_mann_kendall([1, 2, 3, 4]).chance_exact / 2 == pytest.approx(0.042, abs=0.0005)
    assert count_mann_kendall([1, 2, 3, 4, 5]).chance_exact / 2 == pytest.approx(0.0083, abs=5e-5)


def test_ties_fall_back_on_the_normal_chance():
    ours = count_mann_kendall([1.0, 1.0, 2.0, 3.0])

    assert ours.chance_exact == ours.chance_normal


@given(st.integers(0, 10), st.floats(-1e6, 1e6))
def test_one_outlier_among_eleven_does_not_bend_the_slope(place, error):
    x = [float(i) for i in range(11)]
    y = [2.0 * value + 1.0 for value in x]
    y[place] += error

    # 45 of the 55 pairs do not hold the outlier.
    assert fit_theil_sen(x, y).slope == pytest.approx(2.0)


def test_same_days_and_same_readings_together_leave_no_wider_an_interval_than_none():
    # Here the variance formula would go below zero; it is held at zero.
    line = fit_theil_sen((0.0, 0.0, 1.0), (1.0, 1.0, 1.0))

    assert line.slope_low == line.slope == line.slope_high == 0.0


def test_leaves_out_pairs_of_one_day():
    assert fit_theil_sen((0.0, 0.0, 1.0), (1.0, 5.0, 2.0)).pairwise_slopes == (-3.0, 1.0)


@pytest.mark.parametrize(("x", "y"), [((1.0,), (1.0,)), ((), ()), ((2.0, 2.0), (1.0, 3.0))])
def test_refuses_a_line_through_one_day(x, y):
    with pytest.raises(TooFewReadings, match="two different days"):
        fit_theil_sen(x, y)


def test_refuses_a_trend_of_one_reading():
    with pytest.raises(TooFewReadings, match="at least two"):
        count_mann_kendall([3.0])


def test_refuses_a_missing_reading():
    with pytest.raises(ReadingIsNotANumber, match="not read"):
        count_mann_kendall([1.0, math.nan, 2.0])
    with pytest.raises(ReadingIsNotANumber, match="needs its time"):
        fit_theil_sen((0.0, 1.0), (1.0, 2.0, 3.0))


@pytest.mark.parametrize("confidence", [0.5, 1.0, 0.1])
def test_refuses_a_confidence_that_cannot_be(confidence):
    with pytest.raises(ConfidenceIsImpossible):
        fit_theil_sen((0.0, 1.0), (1.0, 2.0), confidence)
